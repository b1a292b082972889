"""Refusals of the use engine, and the one constant about riding that two answers share."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from itertools import pairwise
from math import isfinite

from pinchbolt.engines.use.use_types import Stay, Stretch
from pinchbolt.errors import InputRefused

WEEK_VARIATION = 0.7
"""Standard deviation of one week's distance over its mean. Our assumption, no source. [-]"""

_MOST_KM = 200_000.0
_MOST_SHARE = 2.0


def stretches_by_host(stretches: Iterable[Stretch]) -> dict[str, list[Stretch]]:
    """Return sound *stretches* by host and in order of time; refuse the rest."""
    by_host: dict[str, list[Stretch]] = defaultdict(list)
    for stretch in stretches:
        _check_stretch(stretch)
        by_host[stretch.host].append(stretch)
    for host, found in by_host.items():
        found.sort(key=lambda stretch: (stretch.start, stretch.end))
        _refuse_overlap(host, found)
    return dict(by_host)


def stays_in_order(stays: Iterable[Stay], what: str) -> list[Stay]:
    """Return *stays* of one thing in order of time; refuse an end before its start and two places at once."""
    found = sorted(stays, key=lambda stay: (stay.start, stay.end or date.max))
    for stay in found:
        if stay.end is not None and stay.end < stay.start:
            _refuse(
                "stays",
                f"{what} leaves {stay.host} on {stay.end}, before it came on {stay.start}: a stay ends on or after the "
                "day it starts. Correct the days of this fitting.",
            )
    for before, after in pairwise(found):
        if before.end is None or before.end > after.start:
            left = f"until {before.end}" if before.end else "still"
            _refuse(
                "stays",
                f"{what} is on {before.host} {left} and comes to {after.host} on {after.start}: it is in one place "
                "at a time. Give the earlier fitting its end.",
            )
    return found


def refuse_backwards(start: date, end: date) -> None:
    """Refuse a span that ends before it starts."""
    if end < start:
        _refuse("end", f"span is {start} to {end}: it ends on or after the day it starts. Swap the days.")


def _check_stretch(stretch: Stretch) -> None:
    if stretch.end < stretch.start:
        _refuse("end", f"{_named(stretch)}: it ends on or after the day it starts. Swap the days.")
    if not (isfinite(stretch.km) and 0 <= stretch.km <= _MOST_KM):
        _refuse(
            "km", f"{_named(stretch)} is {stretch.km:g} km: from 0 to {_MOST_KM:g} km. Correct the distance."
        )
    if not (isfinite(stretch.sd_share) and 0 <= stretch.sd_share <= _MOST_SHARE):
        _refuse(
            "sd_share",
            f"{_named(stretch)} has a spread of {stretch.sd_share:g} of itself: from 0 to {_MOST_SHARE:g}. Write 15 percent "
            "as 0.15.",
        )


def _named(stretch: Stretch) -> str:
    return f"distance of {stretch.host} from {stretch.start} to {stretch.end}"


def _refuse_overlap(host: str, found: Sequence[Stretch]) -> None:
    """Refuse two stretches that hold a day both; single rides may fall on the ends of a stretch, not inside it."""
    latest: Stretch | None = None
    for stretch in found:
        if latest is not None and stretch.start < latest.end and stretch.start > latest.start:
            _refuse_pair(host, latest, stretch)
        if latest is not None and stretch.start == latest.start < min(stretch.end, latest.end):
            _refuse_pair(host, latest, stretch)
        if latest is None or stretch.end > latest.end:
            latest = stretch


def _refuse_pair(host: str, one: Stretch, other: Stretch) -> None:
    _refuse(
        "start",
        f"{host} has a distance from {one.start} to {one.end} and another from {other.start} to {other.end}: each day "
        "counts once. Correct one of them.",
    )


def _refuse(field: str, sentence: str) -> None:
    raise InputRefused(sentence, errors={field: sentence})
