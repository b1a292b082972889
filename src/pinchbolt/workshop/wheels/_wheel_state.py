"""How true a wheel was at a reading."""

from dataclasses import dataclass, replace

from pinchbolt.records.models import WheelReading
from pinchbolt.workshop.wheels._wheel_records import WheelKnown, sides_of, spokes_of


@dataclass(frozen=True, slots=True)
class WheelStateView:
    """How true a wheel was at a reading; None where it can't be told. [mm, percent, N]"""

    side_mm: float
    up_mm: float
    dish_mm: float | None
    spread_percent: float | None
    mean_left_n: float | None
    mean_right_n: float | None
    least_n: float | None
    greatest_n: float | None


def state_of_wheel(row: WheelReading, known: WheelKnown | None) -> WheelStateView:
    """Return how true a wheel was at a reading: run-out from one end to the other, each side's mean, the widest departure."""
    spokes = spokes_of(row)
    side, up = [one.side_mm for one in spokes], [one.up_mm for one in spokes]
    bare = WheelStateView(
        round(max(side) - min(side), 2), round(max(up) - min(up), 2), row.dish, None, None, None, None, None
    )
    shares = [one.share for one in spokes if one.share is not None]
    if len(shares) < len(spokes) or known is None or known.wheel.spokes != len(spokes):
        return bare
    bare = replace(bare, spread_percent=round(100 * max(abs(one - 1) for one in shares), 1))
    right = sides_of(known)
    pulls = [one.tension_n for one in spokes if one.tension_n is not None]
    if len(pulls) < len(spokes):
        return bare
    means = []
    for is_right in (False, True):
        there = [pull for pull, one in zip(pulls, right, strict=True) if one is is_right]
        means.append(round(sum(there) / len(there), 1) if there else None)
    return replace(
        bare,
        mean_left_n=means[0],
        mean_right_n=means[1],
        least_n=round(min(pulls), 1),
        greatest_n=round(max(pulls), 1),
    )
