"""From single rides to stretches, and files beside what was said."""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from math import fsum, hypot, isfinite

from pinchbolt.engines.use._refuse_stretches import stretches_by_host
from pinchbolt.engines.use.use_types import Difference, Reconciled, Stretch
from pinchbolt.errors import InputRefused
from pinchbolt.values import Reason
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

LONGEST_GAP_DAYS = 35
"""Days without a ride that files still speak for: a holiday. Longer, and they fell silent. Our assumption. [day]"""

_DISAGREE = 2.0
_PACE_SPREAD = 0.3
_BY_FILES = "ride files"
_COUNTED = 0.05
"""A statement known so well or better is a count, an odometer's. Our assumption. [-]"""

_ONE_DAY = timedelta(days=1)


def stretches_of_rides(
    host: str,
    km_by_day: Mapping[date, float],
    sd_share: float,
    unsure_km: Mapping[date, float] | None = None,
) -> tuple[Stretch, ...]:
    """Return the stretches that ride files of one host speak for, day by day.

    Each day with rides is a stretch of its own; days without a ride between two such days are a stretch of 0 km, as long as
    they are no more than 35 in a row: a holiday. A longer silence is not spoken for at all.

    Args:
        host: Bike or trainer. [-]
        km_by_day: Distance of each day with rides. [km]
        sd_share: Relative standard deviation that all of these distances share. [-]
        unsure_km: Standard deviation of a day's distance because it may have been another bike's; none where it was told. [km]

    Returns:
        Stretches in order of time, not overlapping. [km, day]

    Raises:
        InputRefused: A distance that is not a number or below 0.

    Valid for: Files of every ride of this host within a span. Rides without a file look like days without a ride.

    Example:
        >>> found = stretches_of_rides("road bike", {date(2026, 5, 1): 40.0, date(2026, 5, 4): 60.0}, 0.02)
        >>> [(stretch.end.day, stretch.km) for stretch in found]
        [(1, 40.0), (3, 0.0), (4, 60.0)]

    Source: Arithmetic; 35 days are our assumption, no source.
    """
    for day, km in km_by_day.items():
        if not (isfinite(km) and km >= 0):
            sentence = worded(
                "distance of {host} on {day} is {km:g} km: 0 or more is possible. Correct the ride.",
                host=host,
                day=day,
                km=km,
            )
            raise InputRefused(sentence, errors={"km_by_day": sentence})
    found: list[Stretch] = []
    before: date | None = None
    unsure = unsure_km or {}
    for day in sorted(km_by_day):
        km = km_by_day[day]
        share = hypot(sd_share, unsure[day] / km) if km > 0 and unsure.get(day) else sd_share
        if before is not None and 1 < (day - before).days <= LONGEST_GAP_DAYS + 1:
            found.append(Stretch(host, before, day - _ONE_DAY, 0.0, sd_share, _BY_FILES, shared=True))
        found.append(Stretch(host, day - _ONE_DAY, day, km, share, _BY_FILES, shared=True))
        before = day
    return tuple(found)


def reconciled(
    files: Sequence[Stretch], said: Sequence[Stretch], counted_by: str = "ride files"
) -> Reconciled:
    """Return what counts where ride files and statements stand beside each other, and where they disagree.

    Files win on the days they speak for. A statement keeps its other days: those get what is left of it when the files' part is
    taken off, with both errors, ``km = said - files``; where the files alone already exceed the statement, or leave less than
    nothing, they get its pace, ``said * days / all days``, with a spread of 0.3 at least; of a count (known to 0.05 or better) they
    get nothing then.

    Args:
        files: Stretches by ride files, of any hosts. [km, day]
        said: Stretches by an odometer or somebody's word, of any hosts. [km, day]
        counted_by: What *files* are by, as it is said in words. [-]

    Returns:
        Stretches that do not overlap, and a difference for each statement that files speak to. [km, day]

    Raises:
        InputRefused: Stretches of one host and one kind that overlap, or a value out of range.

    Valid for: Statements about the same host as the files.

    Example:
        >>> told = Stretch("road bike", date(2026, 4, 1), date(2026, 4, 11), 300.0, 0.15, "owner's word")
        >>> files = stretches_of_rides("road bike", {date(2026, 4, 6): 50.0, date(2026, 4, 11): 70.0}, 0.02)
        >>> [round(stretch.km) for stretch in reconciled(files, [told]).stretches]
        [180, 50, 0, 70]

    Source: Arithmetic; that a statement is about all days of its span and the 0.3 are our assumptions, no source.
    """
    by_files, by_word = stretches_by_host(files), stretches_by_host(said)
    stretches: list[Stretch] = [stretch for own in by_files.values() for stretch in own]
    differences: list[Difference] = []
    for host, own in by_word.items():
        for stretch in own:
            # A single ride's distance is that of its day.
            single = stretch.start == stretch.end
            told = replace(stretch, start=stretch.start - _ONE_DAY) if single else stretch
            over = _overlapping(by_files.get(host, []), told)
            if not over:
                stretches.append(stretch)
                continue
            rest, difference = _beside(told, over, counted_by)
            stretches += rest
            differences.append(difference)
    order = sorted(stretches, key=lambda stretch: (stretch.host, stretch.start, stretch.end))
    return Reconciled(tuple(order), tuple(differences))


def _overlapping(files: Sequence[Stretch], word: Stretch) -> list[Stretch]:
    return [
        one
        for one in files
        if (one.start < word.end and one.end > word.start)
        or (one.start == one.end and word.start < one.start <= word.end)
    ]


def _share(stretch: Stretch, start: date, end: date) -> float:
    """How much of a stretch lies within a span."""
    length = (stretch.end - stretch.start).days
    if length == 0:
        return 1.0
    return max((min(stretch.end, end) - max(stretch.start, start)).days, 0) / length


def _beside(word: Stretch, files: Sequence[Stretch], counted_by: str) -> tuple[list[Stretch], Difference]:
    """The days of a statement that files do not speak for, with what is left of it, and how both compare."""
    km = fsum(one.km * _share(one, word.start, word.end) for one in files)
    km_sd = fsum(one.km * one.sd_share * _share(one, word.start, word.end) for one in files)
    free = _free_spans(word, files)
    free_days = sum((end - start).days for start, end in free)
    days = (word.end - word.start).days
    left, spread = word.km - km, hypot(word.km * word.sd_share, km_sd)
    comparable = word.km * (1 - free_days / days) if days else word.km
    difference = _difference(word, km, km_sd, free_days, comparable, counted_by)
    if not free_days:
        return [], difference
    if left <= 0 or spread > 2 * left:
        if word.sd_share <= _COUNTED:
            # A count holds the files too: what it leaves over is all there is.
            return _shared_out(word, free, free_days, max(left, 0.0), spread / max(left, 1.0)), difference
        pace = word.km * free_days / days
        share = max(word.sd_share, _PACE_SPREAD)
        return _shared_out(word, free, free_days, pace, share), difference
    return _shared_out(word, free, free_days, left, spread / left), difference


def _free_spans(word: Stretch, files: Sequence[Stretch]) -> list[tuple[date, date]]:
    """Spans of a statement for which no file speaks."""
    found, at = [], word.start
    for one in sorted(files, key=lambda stretch: stretch.start):
        if one.start > at:
            found.append((at, min(one.start, word.end)))
        at = max(at, one.end)
    if at < word.end:
        found.append((at, word.end))
    return found


def _shared_out(
    word: Stretch, free: Sequence[tuple[date, date]], free_days: int, km: float, share: float
) -> list[Stretch]:
    return [
        Stretch(word.host, start, end, km * (end - start).days / free_days, share, word.known, shared=True)
        for start, end in free
    ]


def _difference(
    word: Stretch, km: float, km_sd: float, free_days: int, comparable: float, counted_by: str
) -> Difference:
    """Whether files and statement agree on the days both speak for."""
    spread = hypot(comparable * word.sd_share, km_sd)
    if free_days and km <= word.km:
        # The statement's other days can hold what is left of it.
        agree = True
    else:
        agree = abs(km - comparable) <= _DISAGREE * max(spread, 1e-9)
    verdict = (
        worded("they agree")
        if agree
        else worded("they do not agree; the {rsplit} count", rsplit=counted_by.rsplit(maxsplit=1)[-1])
    )
    span = worded("{start:%d %b %Y} to {end:%d %b %Y}", start=word.start, end=word.end)
    covered = "all" if not free_days else f"{(word.end - word.start).days - free_days}"
    words = worded(
        "{span}: {said_km} km were said ({known}), {counted_by} hold {held_km} km for {covered} of "
        "its {days} days; {verdict}.",
        span=span,
        said_km=figure_text(word.km, 0),
        known=word.known,
        counted_by=counted_by,
        held_km=figure_text(km, 0),
        covered=covered,
        days=(word.end - word.start).days,
        verdict=verdict,
    )
    return Difference(word, km, free_days, agree, Reason(words))


def merged(stretches: Sequence[Stretch], days: Sequence[date]) -> tuple[Stretch, ...]:
    """Return fewer stretches that say the same at each of *days*: those that follow on each other between two days are one.

    Args:
        stretches: Of any hosts, not overlapping. [km, day]
        days: The days that will be asked about. [day]

    Returns:
        Stretches of the same kilometres; none is cut by a day of *days* that did not cut one before. [km, day]

    Raises:
        InputRefused: Stretches of one host that overlap, or a value out of range.

    Valid for: Stretches that share their error; others are left as they are, since their errors would no longer be told apart.

    Example:
        >>> rides = stretches_of_rides("road bike", {date(2026, 5, n): 10.0 for n in range(1, 31)}, 0.02)
        >>> [(one.start.day, one.end.day, one.km) for one in merged(rides, [date(2026, 5, 10)])]
        [(30, 10, 100.0), (10, 30, 200.0)]

    Source: Arithmetic.
    """
    cuts = sorted(days)
    found: list[Stretch] = []
    for own in stretches_by_host(stretches).values():
        last: Stretch | None = None
        for one in own:
            uncut = last is not None and bisect_right(cuts, last.start) == bisect_left(cuts, one.end)
            if last is not None and uncut and _goes_on(last, one):
                last = _joined(last, one)
                found[-1] = last
            else:
                last = one
                found.append(one)
    return tuple(found)


def _joined(one: Stretch, other: Stretch) -> Stretch:
    """Both as one: errors that are shared add up as they are."""
    km = one.km + other.km
    sd = one.km * one.sd_share + other.km * other.sd_share
    return replace(
        one, end=other.end, km=km, sd_share=sd / km if km > 0 else max(one.sd_share, other.sd_share)
    )


def _goes_on(one: Stretch, other: Stretch) -> bool:
    """Whether a stretch follows another of the same kind with the same error, both longer than a single ride's day."""
    return (
        one.shared
        and other.shared
        and one.end == other.start
        and other.end > other.start
        and one.end > one.start
        and one.known == other.known
        and (one.sd_share == other.sd_share or one.known == _BY_FILES)
    )


def months_of(stretches: Sequence[Stretch]) -> dict[int, tuple[float, float]]:
    """Return weeks and km by month of the year, each stretch spread evenly over its days."""
    weeks: dict[int, float] = defaultdict(float)
    km: dict[int, float] = defaultdict(float)
    for stretch in stretches:
        days = (stretch.end - stretch.start).days
        for first, after in pairwise(_cuts(stretch.start, stretch.end)):
            month = (first + _ONE_DAY).month
            weeks[month] += (after - first).days / 7
            km[month] += stretch.km * (after - first).days / days
    return {month: (weeks[month], km[month]) for month in weeks}


def _cuts(start: date, end: date) -> list[date]:
    """A span cut at the last day of each month in it; the days after the first belong to it."""
    found, at = [start], start
    while at < end:
        nxt = at + _ONE_DAY
        month_end = (nxt.replace(day=28) + timedelta(days=4)).replace(day=1) - _ONE_DAY
        at = min(month_end, end)
        found.append(at)
    return found
