"""Torque by trying every mark of every scale: whole numbers, no algebra, nothing of the engine's but its types.

A tool that shows s and is d percent out has given anything from s / (1 + d) to s / (1 - d) (deviation as ISO 6789-1 defines it). A
mark is legal where both lie in what the joint accepts. Figures are hundredths; a scale of inch-pounds is tried in inch-pounds.
"""

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from math import ceil

from pinchbolt.engines.torque import JointSpec, ToolSpec, TorqueMarking, TorqueRange
from pinchbolt.workshop.questions.ask_setting import SettingRequest

TODAY = date(2026, 11, 28)
PER = 100
# Cosines that are plain fractions: in line, 60 degrees, square, 120 degrees, turned back.
COSINE = {
    0.0: Fraction(1),
    60.0: Fraction(1, 2),
    90.0: Fraction(0),
    120.0: Fraction(-1, 2),
    180.0: Fraction(-1),
}


@dataclass(frozen=True, slots=True)
class Tried:
    """What trying says: the window, or none where two parts disagree; every legal mark with its tool; where to aim."""

    window: tuple[Fraction, Fraction] | None
    legal: tuple[tuple[int, Fraction], ...] = ()
    aim: Fraction = Fraction(0)


def hundredths(value: float) -> Fraction:
    """A printed figure, exactly."""
    return Fraction(in_hundredths(value), PER)


def in_hundredths(value: float) -> int:
    """A printed figure as a count of hundredths: scales are walked through in whole numbers, which is as exact and much sooner done."""
    return round(value * PER)


def marks(tool: ToolSpec) -> Iterator[int]:
    """Every mark of a tool that is vouched for, in hundredths: a preset's values, or the scale from a fifth of its greatest."""
    if tool.steps:
        yield from (in_hundredths(value) for value in tool.steps)
        return
    at, greatest = in_hundredths(tool.least), in_hundredths(tool.greatest)
    while at <= greatest:
        if at * 5 >= greatest:
            yield at
        at += in_hundredths(tool.step)


def doubted(tool: ToolSpec) -> bool:
    """Past its date, or never calibrated."""
    return tool.untested or (tool.due is not None and tool.due < TODAY)


def legal_of(
    tool: ToolSpec, deviation: Fraction, floor: Fraction, cap: Fraction, gain: Fraction = Fraction(1)
) -> list[Fraction]:
    """The marks at which a bolt gets what it accepts at the worst of the tool: gain * mark / (1 + deviation) is the floor at
    least, gain * mark / (1 - deviation) the cap at most."""
    lowest, highest = ceil(PER * floor * (1 + deviation) / gain), int(PER * cap * (1 - deviation) // gain)
    return [Fraction(shown, PER) for shown in marks(tool) if lowest <= shown <= highest]


def tried(joint: JointSpec, tools: Sequence[ToolSpec]) -> Tried:
    """Try every mark of every tool for a joint."""
    marked = {one.part for one in joint.markings}
    caps = [hundredths(one.greatest) for one in joint.markings]
    floors = [hundredths(one.least) for one in joint.markings if one.least is not None]
    if not caps or any(part not in marked for part in joint.parts):
        caps.append(hundredths(joint.trade.greatest))
    if not floors:
        floors.append(hundredths(joint.trade.least))
    floor, cap = max(floors), min(caps)
    if floor > cap:
        return Tried(None)
    low, high = floor * Fraction(11, 10), cap / Fraction(11, 10)
    usual = hundredths(joint.trade.typical)
    aim = (floor + cap) / 2 if low > high else min(max(usual, low), high)
    legal = tuple(
        (number, shown)
        for number, tool in enumerate(tools)
        for shown in legal_of(tool, _out(tool), floor, cap)
    )
    return Tried((floor, cap), legal, aim)


def _out(tool: ToolSpec) -> Fraction:
    own = Fraction(round(tool.deviation * PER), PER)
    return max(own, Fraction(15, 100)) if doubted(tool) else own


def a_joint(draw: random.Random) -> JointSpec:
    """A joint of one to three parts, some marked, some twice, some with a range."""
    parts = tuple(f"part {number}" for number in range(draw.randint(1, 3)))
    low = draw.randint(5, 400)
    high = low + draw.randint(0, low)
    table = TorqueRange(low / 10, high / 10, draw.randint(low, high) / 10, "drawn")
    found = []
    for part in parts:
        for _ in range(draw.choice((0, 0, 1, 1, 2))):
            most = draw.randint(max(1, low * 2 // 3), high + low // 2)
            least = draw.randint(max(1, most // 2), most) if draw.random() < 0.3 else None
            found.append(TorqueMarking(part, most / 10, None if least is None else least / 10))
    return JointSpec("drawn", "drawn joint", parts, table, markings=tuple(found))


def a_tool(draw: random.Random, number: int) -> ToolSpec:
    """A tool with a scale or with values, in date or not, tested or never."""
    due = draw.choice((None, TODAY, TODAY + timedelta(days=99), TODAY - timedelta(days=1)))
    out, untested = draw.choice((0, 1, 2, 4, 6, 10)) / PER, draw.random() < 0.2
    if draw.random() < 0.25:
        values = tuple(sorted(draw.randint(10, 600) / 10 for _ in range(draw.randint(1, 4))))
        return ToolSpec(
            f"t{number}", "preset", values[0], values[-1], out, 0.1, values, due, untested=untested
        )
    least, greatest = draw.choice(((0.5, 5.0), (2.0, 14.0), (5.0, 25.0), (10.0, 60.0), (1.0, 6.0)))
    step = draw.choice((0.05, 0.1, 0.25, 0.5, 1.0))
    return ToolSpec(f"t{number}", "wrench", least, greatest, out, step, due=due, untested=untested)


def a_question(draw: random.Random) -> SettingRequest:
    """A window and a tool in any unit, with or without an adapter; two parts that disagree now and then."""
    unit = draw.choice(("N·m", "in-lb", "ft-lb", "kgf-cm"))
    size = {"N·m": 1, "in-lb": 9, "ft-lb": 1, "kgf-cm": 10}[unit]
    floor = draw.randint(10, 350) * size / 10
    cap = round(floor * draw.randint(96, 180) / 100, 1)
    least, greatest = draw.choice(((2, 14), (5, 25), (10, 60)))
    steps = (
        tuple(round(floor + (cap - floor) * draw.random(), 1) for _ in range(2))
        if draw.random() < 0.2
        else ()
    )
    adapter = draw.choice((0.0, 0.0, 25.0, 60.0))
    return SettingRequest(
        floor, cap, least * size, greatest * size, draw.choice((0, 1, 2, 4, 6)), draw.choice((0.1, 0.25, 0.5, 1.0)) * size,
        steps, unit, adapter, 250.0, draw.choice(tuple(COSINE)),
    )  # fmt: skip


def legal_marks(asked: SettingRequest) -> list[tuple[Fraction, Fraction]]:
    """Every legal mark of a question with its room to the nearer limit, relative, all in the unit that was asked in."""
    gain = Fraction(1)
    if asked.adapter_mm:
        arm = Fraction(round(asked.arm_mm or 0))
        gain = (arm + Fraction(round(asked.adapter_mm)) * COSINE[asked.angle_deg]) / arm
    floor, cap = hundredths(asked.floor), hundredths(asked.cap)
    tool = ToolSpec(
        "asked", "tool", asked.tool_least, asked.tool_greatest, 0.0, asked.step or 0.1, asked.steps
    )
    out = Fraction(round(asked.deviation_percent), 100)
    found = []
    for shown in legal_of(tool, out, floor, cap, gain):
        low, high = gain * shown / (1 + out), gain * shown / (1 - out)
        found.append((shown, min(low / floor - 1, 1 - high / cap)))
    return found
