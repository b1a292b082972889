"""What a wheel went through, on whatever bike: readings, turns, what broke, newest first."""

from dataclasses import dataclass
from datetime import date

from pinchbolt.records.models import BrokenSpoke, Part, WheelReading
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
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
    tight = (
        worded(", {least:.0f} to {greatest:.0f} N", least=min(pulls), greatest=max(pulls))
        if pulls
        else worded(", tension as shares only")
    )
    words = worded(
        "read: {side:.1f} mm side, {up:.1f} mm up{tight}",
        side=max(side) - min(side),
        up=max(up) - min(up),
        tight=tight,
    )
    if quarters:
        words += worded(
            "; then {quarters} quarter turn{s}", quarters=quarters, s="" if quarters == 1 else "s"
        )
    return WheelPast(local_day(row.event.at), row.event.bike.tag if row.event.bike else "", words)


def _broke(number: int, row: BrokenSpoke) -> WheelPast:
    which = worded("spoke {spoke}", spoke=row.spoke) if row.spoke else worded("a spoke")
    gone = (
        worded(
            ", at {distance_km} km ({known})", distance_km=figure_text(row.distance_km, 0), known=row.known
        )
        if row.distance_km is not None
        else worded(", distance not known")
    )
    return WheelPast(
        local_day(row.event.at),
        row.event.bike.tag if row.event.bike else "",
        worded(
            "{which} broke at the {at}{gone}: number {number} of this wheel",
            which=which,
            at=row.at,
            gone=gone,
            number=number,
        ),
    )
