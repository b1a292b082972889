"""What would fit, where a question leaves one thing open: the chain for ten speeds, the valve for a rim of 50 mm."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice, product

from pinchbolt.engines.fit._decide import GOOD
from pinchbolt.engines.fit._inputs import RuleInput, asked, in_words
from pinchbolt.engines.fit._rule import run_rule
from pinchbolt.engines.fit._sold import sold
from pinchbolt.engines.fit._tables import FitTables, field_of, items_of, text_of
from pinchbolt.engines.fit.fit_types import FitVerdict, FitWord
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

MOST_SAID, _MOST_OTHERS = 12, 60


@dataclass(frozen=True, slots=True)
class WouldFit:
    """What would fit for one thing that was left open: as it is, and with something besides. Where nothing is sure to fit,
    what no rule speaks against is not ruled out. `unless` are facts that were not told and decide as well; `values` are those
    that fit as they are, as the rule takes them.
    """

    input: str
    name: str
    fits: tuple[str, ...]
    fits_with: tuple[str, ...]
    not_ruled_out: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()
    values: tuple[object, ...] = ()


def what_would_fit(
    rule: object, given: Mapping[str, object], named: Sequence[str], view: FitTables
) -> tuple[WouldFit, ...]:
    """What fits for each thing that was named without a value; where none was, for the one thing that is lacking."""
    wants = asked(rule, view)
    needs = [str(name) for name in items_of(field_of(rule, "needs"))]
    lacking = [name for name in needs if name not in given]
    open_now = [name for name in named if name not in given] or (lacking if len(lacking) == 1 else [])
    if not given:
        return ()
    return tuple(
        found for name in open_now[:2] if (found := _one(rule, wants, given, name, lacking, view)) is not None
    )


def _one(
    rule: object,
    wants: Mapping[str, RuleInput],
    given: Mapping[str, object],
    name: str,
    lacking: Sequence[str],
    view: FitTables,
) -> WouldFit | None:
    tried = _to_try(wants[name], view)
    others = {other: _to_try(wants[other], view) for other in lacking if other != name}
    said = _where_one_is_good(rule, given, name, tried, others, view)
    if said is None:
        open_yet = [value for value in tried if _not_against(_said(rule, {**given, name: value}, view))]
        left = tuple(_in_words(wants[name], open_yet, tried, view))
        return (
            WouldFit(name, wants[name].name.removeprefix("the "), (), (), left)
            if 0 < len(open_yet) < len(tried)
            else None
        )
    as_it_is = [value for value, verdict in said if verdict is not None and verdict.verdict is FitWord.FITS]
    with_more = _with_more(wants[name], said, view)
    unless = tuple(wants[other].name.removeprefix("the ") for other in others)
    short = [] if wants[name].kind in ("number", "whole") and as_it_is else with_more[:MOST_SAID]
    fits = tuple(_in_words(wants[name], as_it_is, tried, view))
    return WouldFit(
        name, wants[name].name.removeprefix("the "), fits, tuple(short), (), unless, tuple(as_it_is)
    )


def _where_one_is_good(
    rule: object,
    given: Mapping[str, object],
    name: str,
    tried: Sequence[object],
    others: Mapping[str, Sequence[object]],
    view: FitTables,
) -> list[tuple[object, FitVerdict | None]] | None:
    """What the rule says of each value, beside the first of the other things left open that lets one be good; None: beside none."""
    some = tried[:: max(1, len(tried) // 6)]
    for rest in islice(product(*others.values()), _MOST_OTHERS):
        told = {**given, **dict(zip(others, rest, strict=True))}
        if others and not any(_is_good(_said(rule, {**told, name: value}, view)) for value in some):
            continue
        said = [(value, _said(rule, {**told, name: value}, view)) for value in tried]
        if any(_is_good(verdict) for _, verdict in said):
            return said
    return None


def _with_more(
    want: RuleInput, said: Sequence[tuple[object, FitVerdict | None]], view: FitTables
) -> list[str]:
    """What fits with something besides: values that need the same together."""
    needs = {
        place: worded(" and ").join(verdict.with_items)
        for place, (_, verdict) in enumerate(said)
        if verdict is not None and verdict.verdict is FitWord.FITS_WITH and verdict.with_items
    }
    tried = [value for value, _ in said]
    return [
        f"{words}: {need}"
        for need in dict.fromkeys(needs.values())
        for words in _in_words(want, [tried[at] for at, other in needs.items() if other == need], tried, view)
    ]


def _to_try(want: RuleInput, view: FitTables) -> tuple[object, ...]:
    if sizes := sold(want, view):
        return sizes
    if want.kind == "flag":
        return (True, False)
    if want.kind in ("number", "whole"):
        low, high = (float(str(end)) for end in want.allowed)
        step = 0.5 if high - low <= 12 and want.kind == "number" else 1.0
        count = int((high - low) / step)
        return tuple(_whole(low + step * at) for at in range(min(count, 400) + 1))
    return ()


def _whole(value: float) -> float | int:
    return int(value) if value == int(value) else value


def _is_good(verdict: FitVerdict | None) -> bool:
    return verdict is not None and verdict.verdict in GOOD


def _not_against(verdict: FitVerdict | None) -> bool:
    return verdict is not None and verdict.verdict is not FitWord.DOES_NOT_FIT


def _said(rule: object, told: Mapping[str, object], view: FitTables) -> FitVerdict | None:
    try:
        return run_rule(text_of(rule, "id"), told, view)
    except InputRefused:
        return None


def _in_words(
    want: RuleInput, values: Sequence[object], tried: Sequence[object], view: FitTables
) -> Iterator[str]:
    """Words one by one; figures of a scale as spans, 'from 62 mm' where the scale ends."""
    if want.kind not in ("number", "whole") or want.sold or not values:
        yield from (in_words(want, value, view) for value in values[:MOST_SAID])
        return
    at = [tried.index(value) for value in values]
    start = 0
    for place in range(1, len(at) + 1):
        if place == len(at) or at[place] != at[place - 1] + 1:
            yield _span(want, tried, at[start], at[place - 1], view)
            start = place


def _span(want: RuleInput, tried: Sequence[object], low: int, high: int, view: FitTables) -> str:
    first, last = in_words(want, tried[low], view), in_words(want, tried[high], view)
    if low == high:
        return first
    if high == len(tried) - 1:
        return worded("{first} and more", first=first)
    return (
        worded("up to {last}", last=last) if low == 0 else worded("{first} to {last}", first=first, last=last)
    )
