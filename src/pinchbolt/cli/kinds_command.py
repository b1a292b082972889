"""pinchbolt kinds: the kinds of part that the tables know, with their facts, limits and joints."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer

if TYPE_CHECKING:
    from pinchbolt.workshop.bikes.kinds_view import KindView, LimitOfKind


def kinds(
    kind: Annotated[str, typer.Argument(help="One kind, such as rotor; left out: all of them.")] = "",
    as_json: AsJson = False,
) -> None:
    """List the kinds of part, or one with what it can be asked, its limits and its joints."""
    from pinchbolt.cli.starting import load

    load()
    from pinchbolt.workshop.bikes.kinds_view import kinds_view
    from pinchbolt.workshop.common import plain_json as plain

    found = kinds_view(kind)
    lines = list(_whole(found[0])) if kind.strip() else [_line(one) for one in found]
    answer(plain.as_json(found), lines, as_json=as_json)


def _line(one: "KindView") -> str:
    name = one.kind if one.words == one.kind else f"{one.kind} ({one.words})"
    where = {"each": ", at each end", "any": ", at either end or none"}.get(one.ends, "")
    return f"{name}{where}: {len(one.facts)} facts, {len(one.limits)} limits, {len(one.joints)} joints"


def _whole(one: "KindView") -> Iterator[str]:
    yield _line(one)
    for fact in one.facts:
        answers = ", ".join(fact.choices) or f"a value{f' in {fact.unit}' if fact.unit else ''}"
        yield f"  fact {fact.fact}: {fact.words}? {answers}. {fact.ask}"
    yield from (f"  always {name}: {value}" for name, value in one.settled.items())
    if one.read_as:
        yield f"  read as {', '.join(one.read_as)} too, where none stands apart"
    for limit in one.limits:
        yield f"  limit {limit.limit}: {limit.words}, {_bounds(limit)}{_when(limit.when)}"
    for joint in one.joints:
        yield f"  joint {joint.joint}: {joint.words}, {joint.low_n_m:g} to {joint.high_n_m:g} N·m" + _when(
            joint.when
        )
    if one.joints:
        yield "The marking on the part and its maker's instructions win."


def _bounds(limit: "LimitOfKind") -> str:
    if limit.direction == "flag":
        return f"the bad answer is {limit.at}"
    if limit.at is None:
        return f"read in {limit.unit}, too little and too much"
    watch = "" if limit.warn is None else f"watched from {limit.warn:g}, "
    at = f"{limit.at:g}" if isinstance(limit.at, int | float) else limit.at
    return f"{watch}at its limit at {at} {limit.unit}"


def _when(conditions: tuple[str, ...]) -> str:
    return f"; where {', '.join(conditions)}" if conditions else ""
