"""Refusals of the use engine, and the one constant about riding that two answers share."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from itertools import pairwise
from math import isfinite

from pinchbolt.engines.use.use_types import Stay, Stretch
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

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
                worded(
                    "{what} leaves {host} on {end}, before it came on {start}: a stay ends on or after "
                    "the day it starts. Correct the days of this fitting.",
                    what=what,
                    host=stay.host,
                    end=stay.end,
                    start=stay.start,
                ),
            )
    for before, after in pairwise(found):
        if before.end is None or before.end > after.start:
            left = worded("until {end}", end=before.end) if before.end else "still"
            _refuse(
                "stays",
                worded(
                    "{what} is on {host} {left} and comes to {after_host} on {start}: it is in one place "
                    "at a time. Give the earlier fitting its end.",
                    what=what,
                    host=before.host,
                    left=left,
                    after_host=after.host,
                    start=after.start,
                ),
            )
    return found


def refuse_backwards(start: date, end: date) -> None:
    """Refuse a span that ends before it starts."""
    if end < start:
        _refuse(
            "end",
            worded(
                "span is {start} to {end}: it ends on or after the day it starts. Swap the days.",
                start=start,
                end=end,
            ),
        )


def _check_stretch(stretch: Stretch) -> None:
    if stretch.end < stretch.start:
        _refuse(
            "end",
            worded("{named}: it ends on or after the day it starts. Swap the days.", named=_named(stretch)),
        )
    if not (isfinite(stretch.km) and 0 <= stretch.km <= _MOST_KM):
        _refuse(
            "km",
            worded(
                "{named} is {km:g} km: from 0 to {most_km:g} km. Correct the distance.",
                named=_named(stretch),
                km=stretch.km,
                most_km=_MOST_KM,
            ),
        )
    if not (isfinite(stretch.sd_share) and 0 <= stretch.sd_share <= _MOST_SHARE):
        _refuse(
            "sd_share",
            worded(
                "{named} has a spread of {sd_share:g} of itself: from 0 to {most_share:g}. Write 15 "
                "percent as 0.15.",
                named=_named(stretch),
                sd_share=stretch.sd_share,
                most_share=_MOST_SHARE,
            ),
        )


def _named(stretch: Stretch) -> str:
    return worded(
        "distance of {host} from {start} to {end}", host=stretch.host, start=stretch.start, end=stretch.end
    )


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
        worded(
            "{host} has a distance from {start} to {end} and another from {other_start} to "
            "{other_end}: each day counts once. Correct one of them.",
            host=host,
            start=one.start,
            end=one.end,
            other_start=other.start,
            other_end=other.end,
        ),
    )


def _refuse(field: str, sentence: str) -> None:
    raise InputRefused(sentence, errors={field: sentence})
