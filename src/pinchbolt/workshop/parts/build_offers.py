"""What a build sheet may take: the kinds of part of each corner, where there is room for them, and what each is asked."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pinchbolt.engines.build import ELSEWHERE
from pinchbolt.records.models import Bike
from pinchbolt.reference.rows.condition import Condition
from pinchbolt.reference.rows.kinds import PartKind
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import facts_of_bike
from pinchbolt.workshop.bikes.build_view import BuildView
from pinchbolt.workshop.bikes.change_build import ends_of
from pinchbolt.workshop.bikes.part_questions import QuestionOfPart, questions_of_kind
from pinchbolt.workshop.common.table_words import code_in_words
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.parts.check_fit import BEST_FIRST, each_in_place
from pinchbolt.workshop.parts.take_in_parts import bins

# Up to so many steps are counted off on buttons; more are typed.
_BUTTONS = 14


@dataclass(frozen=True, slots=True)
class KindOffered:
    """A kind of part that may be added; `ends` are those that are free, an empty one where none need be said."""

    kind: str
    words: str
    ends: tuple[str, ...]

    @property
    def taps(self) -> tuple[str, ...]:
        """The ends to tap: each where it must be said; where it need not be, it is asked afterwards."""
        return ("",) if "" in self.ends else self.ends


@dataclass(frozen=True, slots=True)
class ChoiceOffered:
    """An answer to tap, with what it means where its word alone does not tell."""

    value: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class AskOffered:
    """A question about a part: answers to tap, else a figure in `unit` between `low` and `high`, else words.

    `decides`: readings, joints, cautions or sign-off turn on it.
    """

    fact: str
    words: str
    ask: str
    unit: str
    choices: tuple[ChoiceOffered, ...]
    low: float | None
    high: float | None
    decides: bool

    @property
    def is_figure(self) -> bool:
        """Whether a figure is typed."""
        return not self.choices and (self.low is not None or bool(self.unit))


@dataclass(frozen=True, slots=True)
class InTheBins:
    """A part in the bins that would do by its kind: its words, and what the fit rules say of it on this bike; "" where none looks at it."""

    number: str
    words: str
    fit: str
    because: str


@dataclass(frozen=True, slots=True)
class BikeBeside:
    """Another bike of the same owner."""

    tag: str
    words: str


def kinds_at(seen: BuildView, corner: str) -> tuple[KindOffered, ...]:
    """Return the kinds of part that may be added at a corner of a bike, in the order of the table."""
    taken = {(part.kind, part.end) for part in seen.parts}
    found = []
    for kind in tables().kinds.values():
        if kind.fitted_to == "supply":
            continue
        ends = tuple(
            end
            for end in ends_of(kind, seen.bike_kind)
            if (kind.id, end) not in taken and corner_of(kind, end) == corner
        )
        if ends:
            found.append(KindOffered(kind.id, kind.words, ends))
    return tuple(found)


def kinds_matching(seen: BuildView, words: str) -> tuple[KindOffered, ...]:
    """Return the kinds that may be added and whose name or id holds these words, at whatever corner."""
    wanted = " ".join(words.lower().split())
    return tuple(
        one
        for corner in tables().corners
        for one in kinds_at(seen, corner)
        if wanted and (wanted in one.words.lower() or wanted in one.kind)
    )


def corner_of(kind: PartKind, end: str) -> str:
    """Return the corner of the bike at which a part of this kind is; one that nobody foresaw is with the frame."""
    return tables().spots.get(kind.station_at(end), ELSEWHERE)


def free_ends(seen: BuildView, kind: PartKind) -> tuple[str, ...]:
    """Return the ends at which a bike has room for one more of a kind."""
    taken = {part.end for part in seen.parts if part.kind == kind.id}
    return tuple(end for end in ends_of(kind, seen.bike_kind) if end not in taken)


def asks_of(kind: PartKind, side: str) -> tuple[AskOffered, ...]:
    """Return what a part of this kind is asked, first what something turns on."""
    deciding = facts_that_decide(kind)
    asks = [_ask(one, one.fact in deciding) for one in questions_of_kind(kind, side)]
    return tuple(sorted(asks, key=lambda one: not one.decides))


def facts_that_decide(kind: PartKind) -> frozenset[str]:
    """Return the facts of a kind that a limit, a joint, an item, a caution, a price or an operation turns on."""
    own = {kind.id, *kind.stands_for}
    found = {one.fact for one in _conditions() if one.what in own or one.what == "*"}
    for on in own:
        whens = [
            *(row.when for row in tables().limits_on.get(on, ())),
            *(row.when for row in tables().joints_on.get(on, ())),
        ]
        found |= {one.fact for when in whens for one in when if one.what == ""}
    return frozenset(found & set(kind.facts))


def _conditions() -> Iterator[Condition]:
    rows = tables()
    whens: Iterable[Iterable[Condition]] = (
        *(row.when for row in rows.limits.values()),
        *(row.when for row in rows.joints.values()),
        *(row.when for row in rows.operations.values()),
        *(row.when for row in rows.prices.values()),
        *(row.when for row in rows.cautions.values()),
        *(row.applies for row in rows.signoff.values()),
        *(row.any for row in rows.features.values()),
        *(row.all for row in rows.features.values()),
    )
    for when in whens:
        yield from when


def _ask(question: QuestionOfPart, decides: bool) -> AskOffered:
    row = tables().facts[question.fact]
    low, high = row.number or row.whole or (None, None)
    words = question.choices
    if row.whole and row.whole[1] - row.whole[0] < _BUTTONS:
        words = tuple(str(count) for count in range(row.whole[0], row.whole[1] + 1))
    choices = tuple(ChoiceOffered(word, code_in_words(question.fact, word)) for word in words)
    return AskOffered(question.fact, question.words, question.ask, question.unit, choices, low, high, decides)


def in_the_bins(tag: str, kind: PartKind, end: str) -> tuple[InTheBins, ...]:
    """Return the parts of a kind that lie in the bins and would do at an end of a bike, what fits first."""
    side = end.partition(" ")[0]
    lie = [
        one
        for one in bins(kind.id)
        if one.count > 0 and (not one.place or not side or one.place.partition(" ")[0] == side)
    ]
    build = facts_of_bike(bike_by_tag(tag)) if lie else {}
    judged = sorted(
        each_in_place(lie, kind.id, side, build), key=lambda found: BEST_FIRST.index(found[1].verdict)
    )
    return tuple(
        InTheBins(one.number, one.words, told.verdict.value if told.verdict else "", told.because)
        for one, told in judged
    )


def bikes_beside(tag: str) -> tuple[BikeBeside, ...]:
    """Return the other bikes of a bike's owner."""
    bike = bike_by_tag(tag)
    others = Bike.objects.filter(owner_id=bike.owner_id).exclude(pk=bike.pk).order_by("tag")
    return tuple(BikeBeside(one.tag, one.words) for one in others)
