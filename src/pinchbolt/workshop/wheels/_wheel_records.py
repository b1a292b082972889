"""What is on record of a wheel: which parts of a bike are wheels, what was said of one, and its readings that stand."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from django.db.models import QuerySet

from pinchbolt.errors import NotFound, NotPossibleNow
from pinchbolt.records.models import BrokenSpoke, Job, NippleTurn, Part, SpokesHeard, WheelReading, WheelSaid
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import part_by_id
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.bikes.build_sheet import build_of, kind_row, parts_on
from pinchbolt.workshop.bikes.wheel_hit import NOT_HIT
from pinchbolt.workshop.common.from_plain import from_plain
from pinchbolt.workshop.questions.ask_wheel_plan import WheelFacts, WheelLimitsAsked


@dataclass(frozen=True, slots=True)
class WheelKnown:
    """What was measured of a wheel: rim, hub and lacing, its limits, the row of its spokes; whether the rim is carbon, or was hit."""

    wheel: WheelFacts
    limits: WheelLimitsAsked = field(default_factory=WheelLimitsAsked)
    spoke_kind: str = ""
    carbon: bool = False
    hit: str = NOT_HIT


@dataclass(frozen=True, slots=True)
class SpokeRead:
    """What one reading says of a spoke; None where it was not read. `share` of its side's mean. [mm, N, -]"""

    side_mm: float
    up_mm: float
    tension_n: float | None = None
    low_n: float | None = None
    high_n: float | None = None
    share: float | None = None

    @property
    def as_row(self) -> list[float | None]:
        """As the records keep it."""
        return [self.side_mm, self.up_mm, self.tension_n, self.low_n, self.high_n, self.share]


def is_wheel(part: Part) -> bool:
    """Whether a part carries others and stands for what a rim hangs on."""
    row = kind_row(part.kind)
    return row.carries and len(row.stands_for) > 1


def wheels_on(job: Job) -> list[Part]:
    """Return the wheels that are on a job's bike now."""
    return [part for part in parts_on(job.bike) if is_wheel(part)]


def wheel_of_job(job: Job, part: int) -> Part:
    """Return the wheel, if it is on this job's bike or was read at this stay.

    Raises:
        NotFound: No such part.
        NotPossibleNow: It is no wheel of this bike.
    """
    there = {one.pk: one for one in wheels_on(job)}
    if part in there:
        return there[part]
    found = part_by_id(part)
    if is_wheel(found) and WheelReading.objects.filter(job=job, part=found).exists():
        return found
    names = ", ".join(f"{one} ({one.pk})" for one in there.values()) or worded("none is on its build sheet")
    raise NotPossibleNow(
        worded(
            "{part} is no wheel of {tag}: {names}. Choose one of these.",
            part=part,
            tag=job.bike.tag,
            names=names,
        )
    )


@once_a_look
def known_of(part: Part) -> WheelKnown | None:
    """Return what was last measured of a wheel, on whatever bike it was then."""
    row = WheelSaid.objects.filter(part=part, event__corrected_by__isnull=True).order_by("pk").last()
    return from_plain(WheelKnown, row.facts) if row is not None else None


def known_here(part: Part, job: Job) -> WheelKnown | None:
    """Return what was last measured of a wheel; its rim is carbon too where the build sheet alone says so."""
    known, build = known_of(part), build_of(job.bike)
    on = build.part(part.pk)
    if known is None or known.carbon or on is None:
        return known
    # The table tells what a wheel stands for from the outside in: its rim comes first.
    kinds = (part.kind, *kind_row(part.kind).stands_for[:1])
    there = (one for one in build.parts if one.side == on.side and one.kind.id in kinds)
    return replace(known, carbon=any(one.value("material") == "carbon" for one in there))


def measured(part: Part) -> WheelKnown:
    """Return what was measured of a wheel.

    Raises:
        NotPossibleNow: Nobody measured it yet.
    """
    found = known_of(part)
    if found is None:
        raise NotPossibleNow(
            worded("This {part} was not measured yet: write down its rim, hub and lacing first.", part=part)
        )
    return found


@once_a_look
def readings_that_stand(part: Part) -> tuple[WheelReading, ...]:
    """Return every reading of a wheel that stands, the oldest first, each with its event and bike."""
    rows = WheelReading.objects.filter(part=part, event__corrected_by__isnull=True)
    return tuple(rows.select_related("event__by", "event__bike", "tool").order_by("pk"))


@once_a_look
def broken_of(part: Part) -> tuple[BrokenSpoke, ...]:
    """Return the spokes of a wheel that broke, the first one first."""
    rows = BrokenSpoke.objects.filter(part=part, event__corrected_by__isnull=True)
    return tuple(rows.select_related("event__bike").order_by("pk"))


def rounds_of(part: Part, job: Job) -> tuple[WheelReading, ...]:
    """Return the readings of this stay that hang together: since the last spoke that broke, of as many spokes as the newest."""
    broke = max((one.pk for one in broken_of(part)), default=0)
    rows = [one for one in readings_that_stand(part) if one.job_id == job.pk and one.pk > broke]
    return tuple(one for one in rows if len(one.spokes) == len(rows[-1].spokes))


def not_here_any_more(part: Part, reading: WheelReading) -> str:
    """Return that a wheel was read since on another bike; "" where this reading is its newest."""
    newest = readings_that_stand(part)[-1]
    if newest.job_id == reading.job_id:
        return ""
    on = newest.event.bike.tag if newest.event.bike else worded("another job")
    return worded(
        "This wheel was read since on {on}, by {name}: its turns go on there, or read it here again.",
        on=on,
        name=newest.event.by.name,
    )


def spokes_of(reading: WheelReading) -> tuple[SpokeRead, ...]:
    """Return a reading's spokes, from spoke 1 on."""
    return tuple(SpokeRead(*row) for row in reading.spokes)


def turned_after(readings: Iterable[WheelReading]) -> dict[int, dict[int, NippleTurn]]:
    """Return what was turned after each reading, by spoke; a nipple that was not turned after all is left out."""
    found: dict[int, dict[int, NippleTurn]] = {one.pk: {} for one in readings}
    rows = NippleTurn.objects.filter(reading__in=found, event__corrected_by__isnull=True)
    for row in rows.order_by("pk"):
        if row.quarters:
            found[row.reading_id][row.spoke] = row
    return found


def heard_now(part: Part, job: Job) -> dict[int, tuple[float, float]]:
    """Return the pitch of each spoke that was plucked at this stay since the wheel last changed, with its sd; the newest counts. [Hz]

    It changed when a spoke broke or a nipple was turned; and what a reading has taken up is not read again.
    """
    read = readings_that_stand(part)
    changed = [one.pk for one in (*read, *broken_of(part))]
    changed += [one.pk for turns in turned_after(read[-1:]).values() for one in turns.values()]
    rows: QuerySet[SpokesHeard] = SpokesHeard.objects.filter(
        part=part, job=job, event__corrected_by__isnull=True, pk__gt=max(changed, default=0)
    )
    found: dict[int, tuple[float, float]] = {}
    for row in rows.order_by("pk"):
        found.update({int(spoke): (pitch[0], pitch[1]) for spoke, pitch in row.pitches.items()})
    return found


def sides_of(known: WheelKnown) -> tuple[bool, ...]:
    """Return of each spoke, from spoke 1 on, whether it goes to the right."""
    letters: Sequence[str] = known.wheel.sides.upper().replace(" ", "")
    return tuple(one == "R" for one in letters) or tuple(at % 2 == 1 for at in range(known.wheel.spokes))


def spoke_number(spoke: int, count: int) -> int:
    """Return the spoke's number, if the wheel has it.

    Raises:
        NotFound: It has none of that number.
    """
    if not 1 <= spoke <= count:
        raise NotFound(
            worded(
                "There is no spoke {spoke}: this wheel has {count}. Count from the valve.",
                spoke=spoke,
                count=count,
            )
        )
    return spoke
