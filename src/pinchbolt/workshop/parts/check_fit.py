"""Does it fit: the whole build of a bike, as it is or as a swap would leave it."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TypeVar

from pinchbolt.engines.fit import BuildVerdict, FitWord, check_build
from pinchbolt.records.models import BinPart
from pinchbolt.values import Json
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import facts_of_bike
from pinchbolt.workshop.bikes.movable import kind_and_end, names_of
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.parts._swap_offers import TEETH, facts_at, forgotten, what_of
from pinchbolt.workshop.parts.take_in_parts import BinView

# A judgement takes some 3 ms: of one kind no more are judged that are not alike. Own choice.
_MOST_JUDGED = 24
InBins = TypeVar("InBins", BinPart, BinView)
BEST_FIRST = (None, FitWord.FITS, FitWord.FITS_WITH, FitWord.CANNOT_TELL, FitWord.DOES_NOT_FIT)


def fit_bike(tag: str, changes: Json | None = None) -> BuildVerdict:
    """Return what the fit rules say about a bike as it is, or with *changes* to its facts.

    Raises:
        NotFound: No bike has this tag.
        InputRefused: A value out of any sense.
    """
    build = {**facts_of_bike(bike_by_tag(tag)), **(changes or {})}
    changed: Collection[str] | None = list(changes) if changes else None
    return check_build(build, tables(), changed)


@dataclass(frozen=True, slots=True)
class InPlace:
    """What the fit rules say of a part of the bins at its place on a bike; verdict None where no rule looks at such a part."""

    verdict: FitWord | None
    because: str = ""


def each_in_place(
    rows: Iterable[InBins], kind: str, side: str, build: Mapping[str, object]
) -> Iterator[tuple[InBins, InPlace]]:
    """Yield parts of the bins with what the fit rules say of each; one that is no such part is left out. See `fits_in_place`."""
    judged: dict[str, InPlace | None] = {}
    for row in rows:
        alike = f"{row.kind} {row.place} {sorted(row.facts.items())}"
        if alike not in judged and len(judged) == _MOST_JUDGED:
            if _places(row, kind, side):
                yield (
                    row,
                    InPlace(FitWord.CANNOT_TELL, worded("not looked at: so many of this kind lie there")),
                )
            continue
        if alike not in judged:
            judged[alike] = fits_in_place(row, kind, side, build)
        told = judged[alike]
        if told is not None:
            yield row, told


def fits_in_place(
    row: BinPart | BinView, kind: str, side: str, build: Mapping[str, object]
) -> InPlace | None:
    """Return whether a part of the bins fits a *build* where a part of this kind is renewed; None where it is no such part.

    What was known of the old part and is not of this one is not known. A doubt that the bike had before is none of the part.
    """
    named = kind_and_end(row.kind.strip().lower())[0]
    if named not in tables().kinds:
        return InPlace(FitWord.CANNOT_TELL, worded("not known what kind of part it is"))
    said = [_in_place(what, facts_at(row.facts, what), build) for what in _places(row, kind, side)]
    return max(said, key=lambda one: BEST_FIRST.index(one.verdict), default=None)


def _places(row: BinPart | BinView, kind: str, side: str) -> tuple[str, ...]:
    """Where a part of the bins can go when a part of this kind is renewed there; nowhere where it is no such part."""
    if kind_and_end(row.kind.strip().lower())[0] != kind:
        return ()
    return tuple(
        what for what in what_of(row) if kind_and_end(what)[1] in ("", side or kind_and_end(what)[1])
    )


def _in_place(what: str, facts: Mapping[str, object], build: Mapping[str, object]) -> InPlace:
    if not names_of(what):
        return InPlace(None)
    if not facts:
        return InPlace(
            FitWord.CANNOT_TELL,
            worded("not known: nothing of this part is written down that a fit rule reads"),
        )
    new = {**forgotten(what, build, facts), **facts}
    told = check_build({**build, **new}, tables(), [name for name in new if name not in TEETH], before=build)
    worst = next((check for check in told.checks if check.verdict is told.verdict), None)
    if worst is None:
        return InPlace(told.verdict, "; ".join(told.cannot_tell[:1]))
    needs = ", ".join(told.shopping) if told.verdict is FitWord.FITS_WITH else ""
    return InPlace(told.verdict, needs or worst.because)


def why_it_fits_instead(row: BinPart, of: BinPart, tag: str) -> str:
    """Return why a part of the bins fits a bike in the place of another one.

    "" where it does not, needs something besides, or nobody can tell. Where nobody said at which end the other one goes, it has
    to fit at both: a rotor that fits in front is none for the rear.

    Raises:
        NotFound: No bike has this tag.
    """
    said: list[str] = []
    for what in what_of(of):
        facts = facts_at(row.facts, what) if what in what_of(row) else {}
        told = fit_bike(tag, dict(facts)) if facts else None
        if told is None or told.verdict is not FitWord.FITS or not told.checks:
            return ""
        said += [check.because for check in told.checks[:2]]
    return "; ".join(dict.fromkeys(said))
