"""Parts for a job, and what is short for the jobs promised until the end of the next open day."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Q
from django.utils import timezone

from pinchbolt.records.models import BinPart, Job
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.state import jobs_here, that_stand
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.parts.wanted import HERE, OVER, WantedView, due_words, open_wanted, wanted_of
from pinchbolt.workshop.stays.promise import open_days_ahead, promise_in
from pinchbolt.workshop.stays.standing import open_lines, standing_of

_MOST_BINS, _MOST_READ, _SHORTEST = 8, 400, 2


@dataclass(frozen=True, slots=True)
class NeededPart:
    """A part of an agreed line that is not done: what became of it, in one word, and bins that may hold it."""

    line: int
    part: int
    line_words: str
    words: str
    count: int
    wanted: WantedView | None
    state: str
    bins: tuple[tuple[str, str], ...] = ()


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
    open_ones = [str(part["name"]) for line, at, part in parts if (line.pk, at) not in wanted]
    bins = _bins_that_may(open_ones) if with_bins else {}
    found = []
    for line, at, part in parts:
        name, there = str(part["name"]), wanted.get((line.pk, at))
        state = worded("nobody has looked for it yet") if there is None else _word(there, today)
        lies = bins.get(name, ()) if there is None else ()
        found.append(NeededPart(line.pk, at, line.words, name, int(part["count"]), there, state, lies))
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


def _bins_that_may(names: Iterable[str]) -> dict[str, tuple[tuple[str, str], ...]]:
    """Rows of the bins whose kind or words hold a part's first word, asked for together: number, and where how many lie."""
    firsts = {name: first for name in names if len(first := _first(name)) > _SHORTEST}
    if not firsts:
        return {}
    asked = Q()
    for first in set(firsts.values()):
        asked |= Q(words__icontains=first) | Q(kind__icontains=first)
    rows = list(
        BinPart.objects.filter(asked, count__gt=0, meets="").order_by("-count", "number")[:_MOST_READ]
    )
    return {
        name: tuple(
            (row.number, f"{row.words}, {row.count} in {row.bin or worded('the bins')}")
            for row in sorted(rows, key=lambda row: -_words_alike(name, row.words))
            if first in row.words.lower() or first in row.kind.lower()
        )[:_MOST_BINS]
        for name, first in firsts.items()
    }


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
