"""pinchbolt kinds: the kinds of part that the tables know, with their facts, limits and joints."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.workshop.bikes.kinds_view import KindView, LimitOfKind


def kinds(
    kind: Annotated[str, typer.Argument(help=worded("One kind, such as rotor; left out: all of them."))] = "",
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
    where = {"each": worded(", at each end"), "any": worded(", at either end or none")}.get(one.ends, "")
    return worded(
        "{name}{where}: {facts} facts, {limits} limits, {joints} joints",
        name=name,
        where=where,
        facts=len(one.facts),
        limits=len(one.limits),
        joints=len(one.joints),
    )


def _whole(one: "KindView") -> Iterator[str]:
    yield _line(one)
    for fact in one.facts:
        answers = ", ".join(fact.choices) or worded(
            "a value{unit}", unit=f" in {fact.unit}" if fact.unit else ""
        )
        yield worded(
            "  fact {fact}: {words}? {answers}. {ask}",
            fact=fact.fact,
            words=fact.words,
            answers=answers,
            ask=fact.ask,
        )
    yield from (
        worded("  always {name}: {value}", name=name, value=value) for name, value in one.settled.items()
    )
    if one.read_as:
        yield worded("  read as {read_as} too, where none stands apart", read_as=", ".join(one.read_as))
    for limit in one.limits:
        yield worded(
            "  limit {limit}: {words}, {bounds}{when}",
            limit=limit.limit,
            words=limit.words,
            bounds=_bounds(limit),
            when=_when(limit.when),
        )
    for joint in one.joints:
        yield worded(
            "  joint {joint}: {words}, {low_n_m:g} to {high_n_m:g} N·m",
            joint=joint.joint,
            words=joint.words,
            low_n_m=joint.low_n_m,
            high_n_m=joint.high_n_m,
        ) + _when(joint.when)
    if one.joints:
        yield worded("The marking on the part and its maker's instructions win.")


def _bounds(limit: "LimitOfKind") -> str:
    if limit.direction == "flag":
        return worded("the bad answer is {at}", at=limit.at)
    if limit.at is None:
        return worded("read in {unit}, too little and too much", unit=limit.unit)
    watch = "" if limit.warn is None else worded("watched from {warn:g}, ", warn=limit.warn)
    at = f"{limit.at:g}" if isinstance(limit.at, int | float) else limit.at
    return worded("{watch}at its limit at {at} {unit}", watch=watch, at=at, unit=limit.unit)


def _when(conditions: tuple[str, ...]) -> str:
    return worded("; where {conditions}", conditions=", ".join(conditions)) if conditions else ""
