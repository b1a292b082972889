"""Parts for a job, and what is short for the jobs promised until the end of the next open day."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Q
from django.utils import timezone

from pinchbolt.engines.build import end_of
from pinchbolt.engines.fit import FitWord
from pinchbolt.records.models import BinPart, Job
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.state import jobs_here, that_stand
from pinchbolt.workshop.bikes.build_sheet import facts_of_bike
from pinchbolt.workshop.bikes.opened_joints import place_of_line
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.parts.check_fit import BEST_FIRST, InPlace, each_in_place
from pinchbolt.workshop.parts.wanted import HERE, OVER, WantedView, due_words, open_wanted, wanted_of
from pinchbolt.workshop.stays.promise import open_days_ahead, promise_in
from pinchbolt.workshop.stays.standing import open_lines, standing_of

_MOST_BINS, _MOST_READ, _SHORTEST = 8, 400, 2
_GROUPS = {FitWord.FITS: 0, None: 0, FitWord.FITS_WITH: 0, FitWord.CANNOT_TELL: 1, FitWord.DOES_NOT_FIT: 2}


@dataclass(frozen=True, slots=True)
class BinOffer:
    """A part that lies in the bins: its words with where how many lie, and what the fit rules say of it on this bike.

    `fit` is "" where no rule looks at such a part.
    """

    number: str
    words: str
    fit: str
    because: str


@dataclass(frozen=True, slots=True)
class NeededPart:
    """A part of an agreed line that is not done: what became of it, in one word; bins that may hold it, what fits first.

    `misfits` lie there too and don't fit this bike.
    """

    line: int
    part: int
    line_words: str
    words: str
    count: int
    wanted: WantedView | None
    state: str
    bins: tuple[BinOffer, ...] = ()
    misfits: tuple[BinOffer, ...] = ()


@dataclass(frozen=True, slots=True)
class ShortPart:
    """A part that a job needs soon and that is not here."""

    job: int
    tag: str
    promise: datetime
    words: str
    state: str


@dataclass(frozen=True, slots=True)
class PartsPage:
    """Every part that is wanted, by where it stands, and what is short for tomorrow."""

    wanted: tuple[WantedView, ...]
    short: tuple[ShortPart, ...]

    def at(self, *states: str) -> tuple[WantedView, ...]:
        """Those that stand at one of these."""
        return tuple(one for one in self.wanted if one.state in states)


def parts_for(job: Job, now: datetime, *, with_bins: bool = True) -> tuple[NeededPart, ...]:
    """Return the parts of the agreed lines of a job that are not done yet."""
    stand, today = standing_of(job), local_day(now)
    left = set(stand.agreed) - set(stand.done)
    wanted = {(one.line, one.part): one for one in wanted_of(job) if one.state not in OVER}
    parts = [
        (line, at, part) for line in open_lines(job) if line.pk in left for at, part in enumerate(line.parts)
    ]
    open_ones = {str(part["name"]) for line, at, part in parts if (line.pk, at) not in wanted}
    bins = _rows_for(open_ones) if with_bins else {}
    build = facts_of_bike(job.bike) if any(bins.values()) else {}
    found = []
    for line, at, part in parts:
        name, there = str(part["name"]), wanted.get((line.pk, at))
        state = worded("nobody has looked for it yet") if there is None else _word(there, today)
        lies = _offers(name, place_of_line(line), bins.get(name, ()), build) if there is None else ()
        may = tuple(one for one in lies if one.fit != FitWord.DOES_NOT_FIT)[:_MOST_BINS]
        not_so = tuple(one for one in lies if one.fit == FitWord.DOES_NOT_FIT)
        found.append(
            NeededPart(
                line.pk, at, line.words, name, int(part["count"]), there, state, may, not_so[:_MOST_BINS]
            )
        )
    return tuple(found)


def _word(found: WantedView, today: date) -> str:
    if found.state == "from the bins":
        return f"in {found.bin}"
    if found.state in HERE:
        return "here"
    return due_words(found, today)


def _first(words: str) -> str:
    """The word by which a bin is looked for."""
    return words.split(maxsplit=1)[0].strip(",").lower() if words.split() else ""


def _kind_of(name: str) -> str:
    """The kind of a line's part: that of the shelf price which it is called by, else the longest kind that its words begin with."""
    row = next((one for one in tables().prices.values() if one.name == name), None)
    if row is not None:
        return row.part
    kinds = (one for one in tables().kinds.values() if name.lower().startswith((one.id, one.words.lower())))
    return max((one.id for one in kinds), key=len, default="")


def _rows_for(names: Collection[str]) -> dict[str, tuple[BinPart, ...]]:
    """Rows of the bins that may be one of these parts, asked for together: of its kind, or with its first word; likest words first."""
    sought = {name: (_kind_of(name), _first(name)) for name in names}
    asked = Q()
    for kind, first in set(sought.values()):
        asked |= Q(kind__icontains=kind) if kind else Q()
        asked |= Q(words__icontains=first) | Q(kind__icontains=first) if len(first) > _SHORTEST else Q()
    if not asked:
        return {}
    rows = list(
        BinPart.objects.filter(asked, count__gt=0, meets="").order_by("-count", "number")[:_MOST_READ]
    )
    return {
        name: tuple(
            row
            for row in sorted(rows, key=lambda row: -_words_alike(name, row.words))
            if (kind and kind in row.kind.lower())
            or (len(first) > _SHORTEST and (first in row.words.lower() or first in row.kind.lower()))
        )
        for name, (kind, first) in sought.items()
    }


def _offers(
    name: str, place: str, rows: Sequence[BinPart], build: Mapping[str, object]
) -> tuple[BinOffer, ...]:
    """What of these rows could take the part's place, what fits first; a part that no kind is known of is offered by its words."""
    kind, side = _kind_of(name), end_of(place)
    found: list[tuple[tuple[int, int, int], BinOffer]] = []
    judged = each_in_place(rows, kind, side, build) if kind else ((row, InPlace(None)) for row in rows)
    for row, told in judged:
        words = f"{row.words}, {row.count} in {row.bin or worded('the bins')}"
        offer = BinOffer(row.number, words, told.verdict.value if told.verdict else "", told.because)
        # What the line names comes before what would fit as well: a rotor of 160 before one of 140.
        order = (_GROUPS[told.verdict], -_words_alike(name, row.words), BEST_FIRST.index(told.verdict))
        found.append((order, offer))
    return tuple(offer for _, offer in sorted(found, key=lambda one: one[0]))


def _words_alike(name: str, words: str) -> int:
    """How many words of a part's name stand in a bin's words: a 12-speed chain is offered before a 9-speed one."""
    return len(set(name.lower().replace(",", " ").split()) & set(words.lower().replace(",", " ").split()))


def parts_page(now: datetime) -> PartsPage:
    """Return every part that is wanted, and what is short for tomorrow."""
    return PartsPage(open_wanted(), short_for_tomorrow(now))


def short_for_tomorrow(now: datetime) -> tuple[ShortPart, ...]:
    """Return parts of agreed work, promised up to the end of the next open day, that are neither here nor in a bin."""
    today = local_day(now)
    after = next((day for day in open_days_ahead(now, 8) if day > today), today + timedelta(days=1))
    found = []
    # Most jobs are promised for later: their events are read together, and only what is due soon is looked into.
    for job in jobs_here().select_related("bike", "bike__owner").prefetch_related("events__by"):
        at = promise_in(that_stand(job.events.all()), job).at
        if at is None or timezone.localtime(at).date() > after:
            continue
        for part in parts_for(job, now, with_bins=False):
            if part.wanted is None or part.wanted.state not in HERE:
                found.append(ShortPart(job.pk, job.bike.tag, at, part.words, part.state))
    return tuple(sorted(found, key=lambda one: (one.promise, one.job)))
