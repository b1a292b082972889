"""Parts for a job, and what is short for the jobs promised until the end of the next open day."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils import timezone

from pinchbolt.records.models import BinPart, Job
from pinchbolt.workshop.acts.state import jobs_here
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.parts.wanted import HERE, OVER, WantedView, due_words, open_wanted, wanted_of
from pinchbolt.workshop.stays.promise import open_days_ahead, promise_of
from pinchbolt.workshop.stays.propose import open_lines
from pinchbolt.workshop.stays.standing import standing_of

_MOST_BINS = 8


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
    return tuple(
        NeededPart(
            line.pk,
            at,
            line.words,
            str(part["name"]),
            int(part["count"]),
            found := wanted.get((line.pk, at)),
            "nobody has looked yet" if found is None else _word(found, today),
            _bins_for(str(part["name"])) if with_bins and found is None else (),
        )
        for line in open_lines(job)
        if line.pk in left
        for at, part in enumerate(line.parts)
    )


def _word(found: WantedView, today: object) -> str:
    if found.state == "from the bins":
        return f"in {found.bin}"
    if found.state in HERE:
        return "here"
    return due_words(found, today)  # type: ignore[arg-type]


def _bins_for(words: str) -> tuple[tuple[str, str], ...]:
    """Rows of the bins whose kind or words hold the part's first word: number, and where how many lie."""
    first = words.split(maxsplit=1)[0].strip(",") if words.split() else ""
    rows = BinPart.objects.filter(words__icontains=first) | BinPart.objects.filter(kind__icontains=first)
    found = (
        rows.filter(count__gt=0, meets="").order_by("-count", "number")[:_MOST_BINS] if len(first) > 2 else ()
    )
    return tuple((row.number, f"{row.words}, {row.count} in {row.bin or 'the bins'}") for row in found)


def parts_page(now: datetime) -> PartsPage:
    """Return every part that is wanted, and what is short for tomorrow."""
    return PartsPage(open_wanted(), short_for_tomorrow(now))


def short_for_tomorrow(now: datetime) -> tuple[ShortPart, ...]:
    """Return parts of agreed work, promised up to the end of the next open day, that are neither here nor in a bin."""
    today = local_day(now)
    after = next((day for day in open_days_ahead(now, 8) if day > today), today + timedelta(days=1))
    found = []
    for job in jobs_here().select_related("bike", "bike__owner"):
        at = promise_of(job).at
        if at is None or timezone.localtime(at).date() > after:
            continue
        for part in parts_for(job, now, with_bins=False):
            if part.wanted is None or part.wanted.state not in HERE:
                found.append(ShortPart(job.pk, job.bike.tag, at, part.words, part.state))
    return tuple(sorted(found, key=lambda one: (one.promise, one.job)))
