"""Weighing what the copies say: which readings stand, and which of the three answers that makes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pinchbolt.engines.markings._letters import CopyLine
from pinchbolt.engines.markings._parsed import Parsed
from pinchbolt.engines.markings.markings_types import (
    DoubtKind,
    MarkingCandidate,
    MarkingDoubt,
    MarkingKind,
    MarkingRead,
    Sureness,
    TextSeen,
)
from pinchbolt.values.wording import worded

# What a vote with such a doubt is worth beside one without. Chosen on drawn markings (docs/methods/markings.md).
WORTH: Mapping[DoubtKind, float] = {
    DoubtKind.LETTERS: 0.6,
    DoubtKind.UNITS: 0.4,
    DoubtKind.POINT: 0.6,
    DoubtKind.RANGE: 0.1,
    DoubtKind.TABLE: 0.2,
    DoubtKind.NO_UNIT: 0.5,
}
LOOSE = 0.4
# What a copy with figures that the grammar has no use for speaks against the others.
UNREAD = 0.3
# Sure enough: so many copies without a doubt, from so many cuts, this share of all votes, and the reader this sure on the mean.
COPIES, CUTS, SHARE, MEAN = 5, 2, 0.9, 0.85
# The same where the marking bears itself out: two units agree, or a pair stands in the tables beside its name.
COPIES_CHECKED, SHARE_CHECKED, MEAN_CHECKED = 4, 0.7, 0.75
# Worth choosing from: this weight at least, and this share of the best; three at most.
LEAST, BESIDE, MOST = 0.8, 0.08, 3

SAID: Mapping[DoubtKind, str] = {
    DoubtKind.LETTERS: worded("a letter was read where a figure stands"),
    DoubtKind.COPIES: worded("copies of the photo read differently"),
    DoubtKind.ALONE: worded("too few copies of the photo show it"),
    DoubtKind.UNITS: worded("two units on it disagree"),
    DoubtKind.POINT: "a decimal point may be lost",
    DoubtKind.RANGE: worded("outside of what this place allows"),
    DoubtKind.TABLE: "not in the tables",
    DoubtKind.NO_UNIT: worded("no unit, or no word of what it limits, was read beside it"),
    DoubtKind.FAINT: "the reader itself is not sure",
}
TYPE_IT = worded("Type it, or take the photo again: nearer, square to the part, the light from the side.")


@dataclass(frozen=True, slots=True)
class _Vote:
    """One reading of one copy, and what it weighs."""

    parsed: Parsed
    line: CopyLine

    @property
    def clean(self) -> bool:
        return not self.parsed.doubts and not self.parsed.loose

    @property
    def weight(self) -> float:
        found = self.line.score * (LOOSE if self.parsed.loose else 1.0)
        for doubt in self.parsed.doubts:
            found *= WORTH[doubt]
        return found


@dataclass(frozen=True, slots=True)
class _Reading:
    """All votes for one reading."""

    votes: tuple[_Vote, ...]

    @property
    def weight(self) -> float:
        return sum(vote.weight for vote in self.votes)

    @property
    def best(self) -> _Vote:
        return max(
            self.votes,
            key=lambda vote: (vote.parsed.checked, vote.clean, vote.weight, len(vote.parsed.words)),
        )

    @property
    def clean(self) -> tuple[_Vote, ...]:
        return tuple(vote for vote in self.votes if vote.clean)


def judged(
    kind: MarkingKind, votes: Sequence[tuple[Parsed, CopyLine]], against: float, seen: Sequence[TextSeen]
) -> MarkingRead:
    """Return the answer that all copies together give; *against* weighs copies that speak for no reading."""
    by_key: dict[tuple[tuple[str, float | str], ...], list[_Vote]] = {}
    for parsed, line in votes:
        by_key.setdefault(parsed.keyed(), []).append(_Vote(parsed, line))
    readings = sorted((_Reading(tuple(one)) for one in by_key.values()), key=lambda one: -one.weight)
    kept = [one for one in readings if one.weight >= LEAST and one.weight >= BESIDE * readings[0].weight][
        :MOST
    ]
    if not kept:
        words = (
            worded("No marking of this kind is read.")
            if seen
            else worded("Nothing that could be a marking is seen.")
        )
        return MarkingRead(kind, Sureness.CANNOT, (), f"{words} {TYPE_IT}", tuple(seen))
    whole = against + sum(one.weight for one in readings)
    more = _not_sure_because(kept[0], whole)
    candidates = tuple(_candidate(one, more if one is kept[0] else _beside(one)) for one in kept)
    if not more:
        first = candidates[0]
        words = worded(
            "Read: {words}. Look at it beside the photo, and take it with one tap.", words=first.words
        )
        return MarkingRead(kind, Sureness.SURE, (first,), words, tuple(seen))
    named = " or ".join(one.words for one in candidates)
    return MarkingRead(
        kind,
        Sureness.ONE_OF,
        candidates,
        worded("Perhaps {named}. Look at the part, then choose or type it.", named=named),
        tuple(seen),
    )


def _not_sure_because(one: _Reading, whole: float) -> tuple[DoubtKind, ...]:
    """What keeps the best reading from being sure enough; nothing where it is."""
    clean = one.clean
    checked = [vote for vote in clean if vote.parsed.checked]
    found: list[DoubtKind] = list(_own_doubts(one))
    disagree = sum(vote.weight for vote in one.votes if DoubtKind.UNITS in vote.parsed.doubts)
    if disagree > sum(vote.weight for vote in checked) and DoubtKind.UNITS not in found:
        found.append(DoubtKind.UNITS)
    copies, share, mean = (
        (COPIES_CHECKED, SHARE_CHECKED, MEAN_CHECKED) if len(checked) > 1 else (COPIES, SHARE, MEAN)
    )
    if len(clean) < copies or len({vote.line.cut for vote in clean}) < CUTS:
        found.append(DoubtKind.ALONE)
    if sum(vote.weight for vote in clean) < share * whole:
        found.append(DoubtKind.COPIES)
    if clean and sum(vote.line.score for vote in clean) / len(clean) < mean:
        found.append(DoubtKind.FAINT)
    return tuple(dict.fromkeys(found))


def _own_doubts(one: _Reading) -> tuple[DoubtKind, ...]:
    """Doubts of the best vote, where no vote is without them."""
    return () if one.clean else tuple(sorted(one.best.parsed.doubts)) or (DoubtKind.COPIES,)


def _beside(one: _Reading) -> tuple[DoubtKind, ...]:
    return tuple(dict.fromkeys((*_own_doubts(one), DoubtKind.COPIES)))


def _candidate(one: _Reading, doubts: Sequence[DoubtKind]) -> MarkingCandidate:
    best = one.best
    copies = tuple(dict.fromkeys(vote.line.copy for vote in one.votes))
    count = worded(
        "{count} {copies} of the photo show it",
        count=len(copies),
        copies=worded("copy") if len(copies) == 1 else worded("copies"),
    )
    return MarkingCandidate(
        best.parsed.words,
        best.parsed.figures,
        best.line.text,
        copies,
        best.line.box,
        (count, *best.parsed.why),
        tuple(MarkingDoubt(kind, SAID[kind]) for kind in doubts),
    )
