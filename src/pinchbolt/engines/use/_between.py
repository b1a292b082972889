"""Distance of a part between two days."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import fsum, sqrt

from pinchbolt.engines.use._refuse_stretches import (
    WEEK_VARIATION,
    refuse_backwards,
    stays_in_order,
    stretches_by_host,
)
from pinchbolt.engines.use.use_types import Stay, Stretch, Use
from pinchbolt.values import Reason
from pinchbolt.values.wording import worded


@dataclass(slots=True)
class _Taken:
    """How much of one stretch fell to the part."""

    stretch: Stretch
    days: int = 0
    whole_ride: bool = False

    @property
    def share(self) -> float:
        length = (self.stretch.end - self.stretch.start).days
        return float(self.whole_ride) if length == 0 else self.days / length


def use_between(stays: Sequence[Stay], stretches: Sequence[Stretch], start: date, end: date) -> Use:
    """Return how far a part was used from *start* to *end*, added up over the bikes and trainers it was on.

    ``km = sum of share * stretch``, where the share of a stretch is that of its days on which the part was there. The
    variance of one stretch is ``(share * sd_share * km)^2``, and, when only some of its days count, that of riding
    that is not even: ``km^2 * share * (1 - share) / (weeks / v^2 + 1)``, a beta distribution whose weeks vary by v.
    Stretches are taken as independent, but for those that say that they share their error: theirs add up.

    Args:
        stays: Where the part was, resolved to bikes and trainers. [day]
        stretches: Distances of those hosts; others are left aside. [km, day]
        start: First day of the span, itself not counted. [day]
        end: Last day of the span, counted. [day]

    Returns:
        Distance with its spread, and the days on a host for which no stretch speaks. [km, day]

    Raises:
        InputRefused: Stretches of one host that overlap, an end before its start, a distance or spread out of range,
            or a part in two places at once.

    Valid for: Distances known to the day. Days without any stretch are counted, never filled in.

    Example:
        >>> stays = [Stay("road bike", date(2026, 1, 1), date(2026, 1, 11)), Stay("trainer", date(2026, 1, 11), None)]
        >>> rides = [Stretch("road bike", date(2026, 1, 1), date(2026, 1, 21), 200.0, 0.0, "ride files")]
        >>> use = use_between(stays, rides, date(2026, 1, 1), date(2026, 1, 16))
        >>> use.km, use.days, use.days_unknown
        (100.0, 15, 5)

    Source: Adding up: arithmetic. Variance of a share: beta distribution, any handbook; that weeks vary by 0.7 of their
        mean is our assumption, no source.
    """
    refuse_backwards(start, end)
    by_host = stretches_by_host(stretches)
    taken: dict[tuple[str, int], _Taken] = {}
    days = covered = 0
    for stay in stays_in_order(stays, worded("the part")):
        first, last = max(stay.start, start), min(stay.end or date.max, end)
        if last <= first:
            continue
        days += (last - first).days
        own = by_host.get(stay.host, [])
        for number in range(bisect_right(own, first, key=lambda stretch: stretch.end), len(own)):
            stretch = own[number]
            if stretch.start > last:
                break
            piece = taken.setdefault((stay.host, number), _Taken(stretch))
            together = (min(last, stretch.end) - max(first, stretch.start)).days
            piece.days += max(together, 0)
            covered += max(together, 0)
            # A single ride belongs to the span whose days hold it: after the first, up to and with the last.
            piece.whole_ride |= stretch.start == stretch.end and first < stretch.start <= last
    pieces = [piece for piece in taken.values() if piece.share > 0]
    return Use(
        km=fsum(piece.share * piece.stretch.km for piece in pieces),
        sd=sqrt(_variance_of(pieces)),
        days=days,
        days_unknown=days - covered,
        known=tuple(dict.fromkeys(piece.stretch.known for piece in pieces)),
        reasons=_reasons(pieces, days - covered),
    )


def _variance_of(pieces: Sequence[_Taken]) -> float:
    """Independent errors add their squares; those that stretches of one host share add up before they are squared."""
    alike: dict[tuple[str, str], list[float]] = defaultdict(list)
    single = []
    for piece in pieces:
        error = piece.stretch.km * piece.share * piece.stretch.sd_share
        if piece.stretch.shared:
            alike[piece.stretch.host, piece.stretch.known].append(error)
        else:
            single.append(error**2)
        single.append(_unevenness(piece))
    return fsum(single) + fsum(fsum(errors) ** 2 for errors in alike.values())


def _unevenness(piece: _Taken) -> float:
    """Variance of what fell into some days of a stretch, as riding is not even."""
    share, stretch = piece.share, piece.stretch
    weeks = (stretch.end - stretch.start).days / 7
    uneven = share * (1 - share) / (weeks / WEEK_VARIATION**2 + 1)
    return stretch.km**2 * uneven * (1 + stretch.sd_share**2)


def _reasons(pieces: Sequence[_Taken], unknown: int) -> tuple[Reason, ...]:
    reasons = []
    for host in dict.fromkeys(piece.stretch.host for piece in pieces):
        own = [piece for piece in pieces if piece.stretch.host == host]
        known = ", ".join(dict.fromkeys(piece.stretch.known for piece in own))
        km = fsum(piece.share * piece.stretch.km for piece in own)
        by_days = any(piece.share < 1 for piece in own)
        how = worded("; a stretch that was shared is split by its days") if by_days else ""
        reasons.append(
            Reason(worded("On {host}: {km:.0f} km ({known}){how}.", host=host, km=km, known=known, how=how))
        )
    if unknown:
        words = worded(
            "For {unknown} of the days on a bike or trainer no distance is known; they add nothing here.",
            unknown=unknown,
        )
        reasons.append(Reason(words))
    return tuple(reasons)
