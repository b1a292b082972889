"""One reading of a whole wheel: side, up and tension at every spoke, by a meter, in newtons, or by ear."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Job, Part, WheelReading
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.common.checks import number
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.questions.ask_wheel_plan import wheel_shape
from pinchbolt.workshop.tools.tension_meter import read_by_meter
from pinchbolt.workshop.wheels._by_ear import heard_tensions
from pinchbolt.workshop.wheels._findings_of_wheel import write_limits_read
from pinchbolt.workshop.wheels._wheel_records import (
    SpokeRead,
    WheelKnown,
    heard_now,
    measured,
    sides_of,
    spokes_of,
    wheel_of_job,
)
from pinchbolt.workshop.wheels._wheel_state import state_of_wheel

METER, NEWTON, EAR = HOW = ("meter", "newton", "ear")
# What a tension that somebody typed in newtons is out by, one sd. As the plan takes it.
TYPED_SD = 45.0


@dataclass(frozen=True, slots=True)
class ReadWheelRequest:
    """A wheel read at every spoke, from spoke 1 on: side above 0 to the right, up above 0 outwards. [mm]

    `how`: by a meter (`tool` and what it `shown`), in `tension_n`, or by ear (spokes that were plucked since the wheel last changed;
    `reference_spoke` with its tension `reference_n` in N, where one is known). None is a spoke whose tension was not read.
    """

    job: int
    part: int
    side_mm: tuple[float, ...]
    up_mm: tuple[float, ...]
    how: str = NEWTON
    tension_n: tuple[float | None, ...] = ()
    tool: int | None = None
    shown: tuple[float | None, ...] = ()
    dish_mm: float | None = None
    reference_spoke: int | None = None
    reference_n: float | None = None


@dataclass(frozen=True, slots=True)
class WheelReadView:
    """A reading as it was written: its event, its spokes, what a tension is out by (one sd), and doubts. [N]"""

    event: int
    spokes: tuple[SpokeRead, ...]
    tension_sd_n: float
    doubts: tuple[str, ...]


def read_wheel(request: ReadWheelRequest, *, by: int, key: str, now: datetime) -> WheelReadView:
    """Write down a reading of a whole wheel, as one act.

    Raises:
        InputRefused: A figure too many or too few, or out of any sense; nothing is written then.
        NotPossibleNow: The wheel was not measured, the job is closed, or the meter can't be read from.
        Unknown: A mark outside of the meter's table.
    """
    with act("wheel read", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        part = wheel_of_job(job, request.part)
        if this.repeated:
            row = WheelReading.objects.get(event=this.done_before)
            return WheelReadView(row.pk, spokes_of(row), row.tension_sd, ())
        still_open(job)
        known = measured(part)
        count = known.wheel.spokes
        side = _figures(request.side_mm, "side_mm", "side", count)
        up = _figures(request.up_mm, "up_mm", "up", count)
        if request.dish_mm is not None:
            number(request.dish_mm, "dish_mm", worded("The dish"), -30, 30, "mm")
        bare = tuple(SpokeRead(one, two) for one, two in zip(side, up, strict=True))
        spokes, sd, doubts = _with_tension(request, known, job, part, bare)
        this.said = {**as_json(request), "words": str(part)}
        row = WheelReading.objects.create(
            event=this.write(job=job),
            job=job,
            part=part,
            tool_id=request.tool if request.how == METER else None,
            how=request.how,
            spokes=[one.as_row for one in _shared(spokes, known)],
            dish=request.dish_mm,
            tension_sd=sd,
        )
        write_limits_read(this, job, part, state_of_wheel(row, known))
        return WheelReadView(row.pk, spokes_of(row), sd, doubts)


def _figures(told: Sequence[float], field: str, name: str, count: int) -> list[float]:
    if len(told) != count:
        sentence = worded(
            "{name}: {told} figures for {count} spokes. Read every spoke once, from spoke 1 on; "
            "0 where it stands right.",
            name=name,
            told=len(told),
            count=count,
        )
        raise InputRefused(sentence, {field: sentence})
    return [
        number(one, field, worded("{name} at spoke {spoke}", name=name, spoke=spoke), -30, 30, "mm")
        for spoke, one in enumerate(told, 1)
    ]


def _with_tension(
    request: ReadWheelRequest, known: WheelKnown, job: Job, part: Part, bare: tuple[SpokeRead, ...]
) -> tuple[tuple[SpokeRead, ...], float, tuple[str, ...]]:
    """The spokes with their tension, what one is out by, and doubts."""
    if request.how == EAR:
        shape, heard = wheel_shape(known.wheel), heard_now(part, job)
        return heard_tensions(known, shape, bare, heard, request.reference_spoke, request.reference_n)
    if request.how == METER:
        if request.tool is None:
            sentence = worded("Which meter it was read with is missing: choose one of the board.")
            raise InputRefused(sentence, {"tool": sentence})
        _as_many(request.shown, "shown", len(bare))
        read = read_by_meter(request.tool, known.spoke_kind, request.shown)
        found = tuple(
            one if pull is None else replace(one, tension_n=middle, low_n=round(pull.low, 1), high_n=round(pull.high, 1))
            for one, pull, middle in zip(bare, read.tensions, read.middles, strict=True)
        )  # fmt: skip
        return found, read.sd, read.doubts
    if request.how != NEWTON:
        sentence = worded(
            'How the tension was read is "{how}": {allowed}. Choose one.',
            how=request.how[:20],
            allowed=", ".join(HOW),
        )
        raise InputRefused(sentence, {"how": sentence})
    _as_many(request.tension_n, "tension_n", len(bare))
    for spoke, one in enumerate(request.tension_n, 1):
        if one is not None:
            number(one, "tension_n", worded("The tension of spoke {spoke}", spoke=spoke), 0, 4000, "N")
    typed = zip(bare, request.tension_n, strict=True)
    return tuple(replace(one, tension_n=pull) for one, pull in typed), TYPED_SD, ()


def _as_many(told: Sequence[float | None], field: str, count: int) -> None:
    if len(told) != count:
        sentence = worded(
            "tension: {told} figures for {count} spokes. One for each, from spoke 1 on; leave "
            "one empty that was not read.",
            told=len(told),
            count=count,
        )
        raise InputRefused(sentence, {field: sentence})


def _shared(spokes: Sequence[SpokeRead], known: WheelKnown) -> tuple[SpokeRead, ...]:
    """Each spoke as a share of its side's mean, where that is not said already."""
    right, means = sides_of(known), dict[bool, float]()
    for side in (False, True):
        read = [one.tension_n for one, is_right in zip(spokes, right, strict=True) if is_right is side]
        there = [one for one in read if one is not None]
        means[side] = sum(there) / len(there) if there else 0.0
    return tuple(
        replace(one, share=round(one.tension_n / means[is_right], 4))
        if one.tension_n is not None and means[is_right] > 0
        else one
        for one, is_right in zip(spokes, right, strict=True)
    )
