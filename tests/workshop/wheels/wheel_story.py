"""A rear wheel on a bike here: as it truly is, as a stand and a meter show it, and what turning its nipples truly does."""

from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from pinchbolt.engines.wheels import Noise, Wire, spoke_frequencies, trueness
from pinchbolt.records.models import BinPart, Tool
from pinchbolt.workshop.questions.ask_wheel_plan import WheelFacts, WheelLimitsAsked
from pinchbolt.workshop.tools.tension_meter import MeterPoint, MeterTableRequest, set_meter_table
from pinchbolt.workshop.wheels._by_ear import free_length
from pinchbolt.workshop.wheels.describe_wheel import DescribeWheelRequest, describe_wheel
from pinchbolt.workshop.wheels.read_wheel import ReadWheelRequest, WheelReadView, read_wheel
from pinchbolt.workshop.wheels.turn_nipple import TurnNippleRequest, turn_nipple
from pinchbolt.workshop.wheels.wheel_sheet import WheelSheetView, job_wheels, wheel_sheet
from ratios.wheel_bench import DrawnWheel, read, turned, wheel
from tests import story
from tests.kept_stages import kept
from tests.story import NOW, Story

KIND = "butted-2.0-1.8-2.0"
MARKED = 1350.0
# A meter whose marks go in steps of 30 N from 200 N on.
POINTS = tuple(MeterPoint(float(mark), 200.0 + 30.0 * mark) for mark in range(0, 46, 5))


def facts(count: int = 32) -> WheelFacts:
    """The wheel of `ratios/wheel_bench.py`, as it is measured."""
    return WheelFacts(count, 602.0, 45.0, 45.0, 35.0, 17.5, 3, 3)


@dataclass(slots=True)
class OnStand:
    """The wheel in the stand, and the job that it belongs to."""

    told: Story
    part: int
    drawn: DrawnWheel
    rng: np.random.Generator

    def sheet(self) -> WheelSheetView:
        """The sheet as it stands."""
        return wheel_sheet(self.told.job, self.part)

    def figures(self, noise: Noise | None = None) -> ReadWheelRequest:
        """What stand and hand read now, in newtons."""
        seen = read(self.rng, self.drawn.state, noise or Noise())
        return ReadWheelRequest(
            self.told.job,
            self.part,
            tuple(round(float(one) * 1000, 2) for one in seen.side),
            tuple(round(float(one) * 1000, 2) for one in seen.up),
            "newton",
            tuple(round(float(one), 0) for one in seen.tension),
        )

    def read(self, **other: object) -> WheelReadView:
        """Read it and write it down."""
        asked = replace(self.figures(), **other)  # type: ignore[arg-type]
        return read_wheel(asked, by=self.told.first, key=self.told.key(), now=NOW)

    def turn(self, spoke: int, quarters: int) -> None:
        """Turn a nipple, and tap it."""
        if 1 <= spoke <= self.drawn.shape.count:
            self.does(spoke, quarters)
        asked = TurnNippleRequest(self.told.job, self.part, spoke, quarters)
        turn_nipple(asked, by=self.told.first, key=self.told.key(), now=NOW)

    def does(self, spoke: int, quarters: int) -> None:
        """What the turn truly does."""
        turns = np.zeros(self.drawn.shape.count)
        turns[spoke - 1] = quarters
        self.drawn = turned(self.drawn, turns)

    @property
    def is_straight(self) -> bool:
        """Whether it truly is inside its limits."""
        return trueness(self.drawn.state, self.drawn.shape.right).straight(self.drawn.limits)

    def sounds(self) -> list[float]:
        """What each spoke truly sounds, its ends held three quarters of the way. [Hz]"""
        shape = self.drawn.shape
        wires = [Wire(((free_length(shape, side), shape.thickness[side]),)) for side in (0, 1)]
        return [
            float(spoke_frequencies(wires[int(right)], float(pull), 0.75)[0])
            for right, pull in zip(shape.right, self.drawn.state.tension, strict=True)
        ]


@kept
def brought(template: str = "road-disc") -> Story:
    """A road bike is here whose rear wheel shimmies."""
    return story.checked_in(template)


def rear_of(told: Story) -> int:
    """The rear wheel's number."""
    return next(one.part for one in job_wheels(told.record) if one.name.startswith("Rear"))


def in_stand(seed: int = 3, *, told: Story | None = None) -> OnStand:
    """The rear wheel in the stand, measured and not yet read."""
    told = told or brought()
    rng = np.random.default_rng(seed)
    part = rear_of(told)
    asked = DescribeWheelRequest(told.job, part, facts(), WheelLimitsAsked(greatest_n=MARKED), KIND)
    describe_wheel(asked, by=told.first, key=told.key(), now=NOW)
    return OnStand(told, part, wheel(rng, rear=True), rng)


def meter(told: Story) -> int:
    """A tension meter on the board, with a table for these spokes."""
    tool = Tool.objects.create(table_id="spoke-tension-meter", name="spoke tension meter")
    set_meter_table(MeterTableRequest(tool.pk, KIND, POINTS), by=told.first, key=told.key(), now=NOW)
    return tool.pk


# What stands for the rear wheel's number in an address.
REAR = "REAR"
_MEASURED = {
    "spoke_count": "32", "erd_mm": "602", "rim_offset_mm": "0", "circle_left_mm": "45", "circle_right_mm": "45", "offset_left_mm": "35",
    "offset_right_mm": "17,5", "crossings_left": "3", "crossings_right": "3", "spoke_kind": KIND, "sides": "",
}  # fmt: skip


def measures(told: Story) -> dict[str, object]:
    """What a form sends of a measured wheel; a comma is a point."""
    return {
        **_MEASURED,
        "greatest_n": "1350",
        "side_mm": "0.5",
        "up_mm": "0.6",
        "spread_percent": "20",
        "dish_mm": "0.5",
        "hit": "no",
    }


def wheel_measured(told: Story) -> Story:
    """The rear wheel was measured."""
    in_stand(told=told)
    return told


def wheel_was_read(told: Story) -> Story:
    """And read once."""
    in_stand(told=told).read()
    return told


def wheel_figures(told: Story) -> dict[str, object]:
    """What a form sends of a reading in newtons."""
    asked = in_stand(told=told).figures()
    typed: dict[str, object] = {"how": "newton"}
    for name, values in (("side", asked.side_mm), ("up", asked.up_mm), ("pull", asked.tension_n)):
        typed |= {f"{name}-{spoke}": f"{value:g}" for spoke, value in enumerate(values, 1)}
    return typed


def wheel_parts(told: Story) -> Story:
    """Spokes of two lengths in the bins."""
    for number, long in (("S-292", 292.0), ("S-290", 290.0)):
        made = {"spoke_thread": "FG2.3", "nipple_thread": "FG2.3", "spoke_length_stock": long}
        BinPart.objects.create(
            number=number,
            kind="spokes",
            words=f"spoke {long:g} mm",
            price=Decimal("0.90"),
            count=40,
            facts=made,
        )
    return told


def build_figures(told: Story) -> dict[str, object]:
    """What a form sends of a build."""
    return {**_MEASURED, "hole_mm": "2.5", "spokes_left": "S-292", "spokes_right": "S-290"}
