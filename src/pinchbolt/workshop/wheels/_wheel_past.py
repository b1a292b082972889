"""What a wheel went through, on whatever bike: readings, turns, what broke, newest first."""

from dataclasses import dataclass
from datetime import date

from pinchbolt.records.models import BrokenSpoke, Part, WheelReading
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.wheels._wheel_records import broken_of, readings_that_stand, spokes_of, turned_after

MOST = 40


@dataclass(frozen=True, slots=True)
class WheelPast:
    """One thing of a wheel's past: the day, the tag of the bike that it was on, and what it was."""

    day: date
    tag: str
    words: str


def past_of(part: Part) -> tuple[WheelPast, ...]:
    """Return a wheel's past, the newest first."""
    rows = readings_that_stand(part)
    turned = turned_after(rows)
    told = [(row.pk, _read(row, sum(abs(one.quarters) for one in turned[row.pk].values()))) for row in rows]
    broken = broken_of(part)
    told += [(row.pk, _broke(number, row)) for number, row in enumerate(broken, 1)]
    return tuple(one for _, one in sorted(told, key=lambda each: -each[0]))[:MOST]


def _read(row: WheelReading, quarters: int) -> WheelPast:
    spokes = spokes_of(row)
    side, up = [one.side_mm for one in spokes], [one.up_mm for one in spokes]
    pulls = [one.tension_n for one in spokes if one.tension_n is not None]
    tight = f", {min(pulls):.0f} to {max(pulls):.0f} N" if pulls else ", tension as shares only"
    words = f"read: {max(side) - min(side):.1f} mm side, {max(up) - min(up):.1f} mm up{tight}"
    if quarters:
        words += f"; then {quarters} quarter turn{'' if quarters == 1 else 's'}"
    return WheelPast(local_day(row.event.at), row.event.bike.tag if row.event.bike else "", words)


def _broke(number: int, row: BrokenSpoke) -> WheelPast:
    which = f"spoke {row.spoke}" if row.spoke else "a spoke"
    gone = (
        f", at {row.distance_km:,.0f} km ({row.known})"
        if row.distance_km is not None
        else ", distance not known"
    )
    return WheelPast(
        local_day(row.event.at),
        row.event.bike.tag if row.event.bike else "",
        f"{which} broke at the {row.at}{gone}: number {number} of this wheel",
    )
