"""Since when the parts of a bike are on it, as its owner says: so that rides from before it came here count for them."""

from dataclasses import dataclass
from datetime import date, datetime

from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.records.models import A_DAY, ALL_ALONG, Bike, Fitting, Reading
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.common.checks import not_in_future
from pinchbolt.workshop.rides.exposure import ends_before

_EARLIEST = date(1950, 1, 1)


@dataclass(frozen=True, slots=True)
class SinceRequest:
    """Parts of a bike that were on it before the records began, or one of them by number, and since when: a day, or all along.

    Neither takes back what was said: nobody knows.
    """

    tag: str
    part: int | None = None
    day: date | None = None
    all_along: bool = False


def say_since(request: SinceRequest, *, by: int, key: str, now: datetime) -> int:
    """Write down since when parts are on a bike, as its owner says; returns how many it is said of.

    Raises:
        InputRefused: A day and all along both, a day ahead or before bikes, or after a part was seen there.
        NotFound: No such bike, or the part is not on it.
    """
    with act("on since said", by=by, key=key, now=now, request=request) as this:
        bike = bike_by_tag(request.tag)
        fittings = first_fittings(bike, request.part)
        if this.repeated:
            return len(fittings)
        this.write(bike=bike)
        write_since(fittings, request.day, now, all_along=request.all_along)
        return len(fittings)


def first_fittings(bike: Bike, part: int | None = None) -> list[Fitting]:
    """Return the first fittings of the parts on a bike whose start no hand knows; of one part alone, by number.

    Raises:
        NotFound: The part is not on the bike, or it is known since when.
    """
    numbers = [one.pk for one in parts_on(bike)]
    rows = Fitting.objects.filter(part__in=numbers).select_related("part").order_by("part", "start", "pk")
    firsts: dict[int, Fitting] = {}
    for row in rows:
        firsts.setdefault(row.part_id, row)
    found = [row for row in firsts.values() if not row.start_known]
    if part is None:
        return found
    found = [row for row in found if row.part_id == part]
    if not found:
        raise NotFound(
            worded(
                "Part {part} is not on {tag}, or was fitted on a day that is known. Choose one of "
                "its build sheet.",
                part=part,
                tag=bike.tag,
            )
        )
    return found


def write_since(
    fittings: list[Fitting], day: date | None, now: datetime, *, all_along: bool, field: str = "day"
) -> None:
    """Set since when these parts are on, as the owner says; *field* is what a refusal names.

    Raises:
        InputRefused: A day and all along both, a day ahead or before bikes, or after a part was seen there.
    """
    if day is not None and all_along:
        sentence = worded("Since a day, or as long as the owner has it: one of both. Choose.")
        raise InputRefused(sentence, {field: sentence})
    if day is not None:
        _refuse_day(fittings, day, now, field)
    for fitting in fittings:
        fitting.since_said = ALL_ALONG if all_along else A_DAY if day is not None else ""
        fitting.seen_from = fitting.seen_from or fitting.start
        fitting.start = day if day is not None else fitting.seen_from
    Fitting.objects.bulk_update(fittings, ["since_said", "seen_from", "start"])


def _refuse_day(fittings: list[Fitting], day: date, now: datetime, field: str) -> None:
    not_in_future(day, now, field, worded("The day"))
    if day < _EARLIEST:
        sentence = worded(
            "The day is {day:%d %b %Y}: from {earliest:%Y} on is possible. Type it again.",
            day=day,
            earliest=_EARLIEST,
        )
        raise InputRefused(sentence, {field: sentence})
    for fitting in fittings:
        before = max(ends_before(fitting.part, fitting), default=None)
        if before is not None and day < before:
            sentence = worded(
                "The day is {day:%d %b %Y}: another {part} was there until {before:%d %b %Y}. "
                "Correct the day.",
                day=day,
                part=fitting.part,
                before=before,
            )
            raise InputRefused(sentence, {field: sentence})
        seen = Reading.objects.filter(
            part=fitting.part_id, day__lt=day, event__corrected_by__isnull=True
        ).first()
        if seen is not None or (fitting.end is not None and fitting.end < day):
            last = seen.day if seen is not None else fitting.end
            sentence = worded(
                "The day is {day:%d %b %Y}: this {part} was seen on {last:%d %b %Y} already. If it "
                "is a new one, replace it on the build sheet with its day.",
                day=day,
                part=fitting.part,
                last=last,
            )
            raise InputRefused(sentence, {field: sentence})
