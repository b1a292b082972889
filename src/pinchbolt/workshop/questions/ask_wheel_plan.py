"""Which nipples to turn next, from what was read at each spoke: asked by hand or from a file, without a record."""

from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass
from math import sqrt
from typing import cast, get_args, get_type_hints

import numpy as np

from pinchbolt.engines.wheels import (
    USUAL_RIM,
    Limits,
    Noise,
    RimStiffness,
    RoundPlan,
    State,
    Trueness,
    Turn,
    WheelRound,
    WheelShape,
    alternating,
    plan_round,
    turns_ahead,
)
from pinchbolt.errors import InputRefused, Unknown
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.from_plain import from_plain

_MM = 1e-3


@dataclass(frozen=True, slots=True)
class WheelFacts:
    """Rim, hub and lacing. [mm, N m2]

    Left is the side away from the sprockets; offsets are from the middle between the locknuts. `sides` says of each spoke
    from spoke 1 on L or R; left out, they alternate, spoke 1 to the left. The rim's three stiffnesses stand together or not
    at all; without them three rims are taken at once.
    """

    spokes: int
    erd_mm: float
    circle_left_mm: float
    circle_right_mm: float
    offset_left_mm: float
    offset_right_mm: float
    crossings_left: int
    crossings_right: int
    sides: str = ""
    diameter_left_mm: float = 1.8
    diameter_right_mm: float = 1.8
    rim_offset_mm: float = 0.0
    rim_up_n_m2: float | None = None
    rim_sideways_n_m2: float | None = None
    rim_twist_n_m2: float | None = None


@dataclass(frozen=True, slots=True)
class WheelRoundRead:
    """What was read at each spoke in one round, and the quarters turned after it (none for the last). [mm, N, quarters]

    Side is above 0 to the right, up above 0 outwards, from whatever zero the stand had; `dish_mm` is the rim's middle from the
    middle between the locknuts, above 0 to the right, where it was read.
    """

    side_mm: tuple[float, ...]
    up_mm: tuple[float, ...]
    tension_n: tuple[float | None, ...]
    dish_mm: float | None = None
    turned_quarters: tuple[float, ...] | None = None


@dataclass(frozen=True, slots=True)
class WheelLimitsAsked:
    """What a true wheel keeps: runout peak to peak, departure from the side's mean, dish; the greatest tension marked. [mm, percent, N]"""

    side_mm: float = 0.5
    up_mm: float = 0.6
    spread_percent: float = 20.0
    dish_mm: float = 0.5
    greatest_n: float | None = None


@dataclass(frozen=True, slots=True)
class WheelPlanRequest:
    """The wheel, its limits, the rounds so far, and what one reading is out by. [mm, N]"""

    wheel: WheelFacts
    rounds: tuple[WheelRoundRead, ...]
    limits: WheelLimitsAsked = WheelLimitsAsked()
    side_sd_mm: float = 0.08
    up_sd_mm: float = 0.08
    tension_sd_n: float = 45.0
    read_times: int = 1


@dataclass(frozen=True, slots=True)
class TrueView:
    """How true: runout peak to peak, dish, departure from the side's mean, tensions. [mm, percent, N]"""

    side_mm: float
    up_mm: float
    dish_mm: float | None
    spread_percent: float
    mean_left_n: float
    mean_right_n: float
    least_n: float
    greatest_n: float


@dataclass(frozen=True, slots=True)
class TurnView:
    """One nipple: spoke, its side, quarters (above 0 tightens), in words, and the greatest tension once it is done. [quarters, N]

    `over_n`: how far a spoke is then above the mark, or above what it had before where that was more. [N]
    """

    spoke: int
    side: str
    quarters: int
    words: str
    greatest_n: float
    over_n: float


@dataclass(frozen=True, slots=True)
class WheelPlanView:
    """The next turns in the order of the hands, how true it is and will be, whether the rim is bent, cautions."""

    words: str
    done: bool
    bent: bool
    turns: tuple[TurnView, ...]
    in_all_quarters: tuple[int, ...]
    now: TrueView
    foreseen: TrueView
    at_the_end: TrueView
    greatest_on_the_way_n: float
    cautions: tuple[str, ...]
    working: tuple[str, ...]


def wheel_plan(request: WheelPlanRequest) -> WheelPlanView:
    """Return the next turns for a wheel from the readings of all rounds so far.

    Raises:
        InputRefused: A figure out of any sense, or rounds that do not fit together.
        Unknown: A spoke whose tension was not read.
    """
    shape, rounds, limits = _asked(request)
    found = plan_round(shape, rounds, limits, _rim(request.wheel), _noise(request))
    return _view(found, shape)


def wheel_turns_ahead(
    request: WheelPlanRequest, done: tuple[int, ...], ahead: tuple[tuple[int, int], ...]
) -> tuple[TurnView, ...]:
    """Return the turns ahead (spoke and quarters) with what they leave, after what was truly turned since the last reading.

    Raises:
        InputRefused: A figure out of any sense, or rounds that do not fit together.
        Unknown: A spoke whose tension was not read.
    """
    shape, rounds, limits = _asked(request)
    turned = np.array(done, dtype=np.int64)
    found = turns_ahead(shape, rounds, limits, turned, ahead, _rim(request.wheel), _noise(request))
    return tuple(_turn_view(one, shape) for one in found)


def _asked(request: WheelPlanRequest) -> tuple[WheelShape, list[WheelRound], Limits]:
    """Wheel, rounds and limits as the engine takes them."""
    asked, shape = request.limits, wheel_shape(request.wheel)
    rounds = [_round(shape.count, number, one) for number, one in enumerate(request.rounds, 1)]
    limits = Limits(
        asked.side_mm * _MM,
        asked.up_mm * _MM,
        asked.spread_percent / 100,
        asked.dish_mm * _MM,
        asked.greatest_n,
    )
    return shape, rounds, limits


def plan_request_of(told: object) -> WheelPlanRequest:
    """Return the request that a JSON file holds; a word that is not known is refused, so that no limit is lost by a slip.

    Raises:
        InputRefused: Something is missing, of another kind, or not known.
    """
    strange = list(_strange(WheelPlanRequest, told, ""))
    if strange:
        sentence = worded(
            "{strange}: not a word of this file. Look at its spelling; docs/methods/wheels.md lists them.",
            strange=", ".join(strange),
        )
        raise InputRefused(sentence, {strange[0]: sentence})
    try:
        return from_plain(WheelPlanRequest, told)
    except ValueError as fault:
        sentence = worded("{fault}. Correct the file; docs/methods/wheels.md shows one.", fault=fault)
        raise InputRefused(sentence, {"file": sentence}) from fault


def _strange(kind: type, told: object, where: str) -> list[str]:
    """Names in *told* that *kind* does not know, each with its place."""
    if not isinstance(told, Mapping):
        return []
    hints = get_type_hints(kind)
    found = [f"{where}{name}" for name in told if name not in hints]
    for one in fields(kind):
        hint = hints[one.name]
        inside = (
            hint if is_dataclass(hint) else next((arg for arg in get_args(hint) if is_dataclass(arg)), None)
        )
        there = told.get(one.name)
        if inside is None:
            continue
        each = there if isinstance(there, list) else [there]
        for value in each:
            found += _strange(cast(type, inside), value, f"{where}{one.name}.")
    return found


def wheel_shape(facts: WheelFacts) -> WheelShape:
    """Return the wheel as the engine takes it.

    Raises:
        InputRefused: Sides that do not fit the count, or a count that no wheel has.
    """
    sides = facts.sides.upper().replace(" ", "")
    if sides and (set(sides) - set("LR") or len(sides) != facts.spokes):
        sentence = worded(
            "sides has {sides} letters for {spokes} spokes: one L or R for each, from spoke 1 on.",
            sides=len(sides),
            spokes=facts.spokes,
        )
        raise InputRefused(sentence, {"sides": sentence})
    if not 12 <= facts.spokes <= 72 or (facts.spokes % 2 and not sides):
        sentence = worded(
            "spokes is {spokes}: 12 to 72, an even number unless sides are given. Count again.",
            spokes=facts.spokes,
        )
        raise InputRefused(sentence, {"wheel.spokes": sentence})
    return WheelShape(
        rim_radius=facts.erd_mm * _MM / 2,
        flange_radius=(facts.circle_left_mm * _MM / 2, facts.circle_right_mm * _MM / 2),
        flange_offset=(facts.offset_left_mm * _MM, facts.offset_right_mm * _MM),
        crossings=(facts.crossings_left, facts.crossings_right),
        right=tuple(one == "R" for one in sides) if sides else alternating(facts.spokes),
        thickness=(facts.diameter_left_mm * _MM, facts.diameter_right_mm * _MM),
        rim_offset=facts.rim_offset_mm * _MM,
    )


def _rim(facts: WheelFacts) -> RimStiffness | None:
    given = (facts.rim_up_n_m2, facts.rim_sideways_n_m2, facts.rim_twist_n_m2)
    if all(one is None for one in given):
        return None
    up, sideways, twist = given
    if (
        up is None
        or sideways is None
        or twist is None
        or not all(1 <= one <= 10000 for one in (up, sideways, twist))
    ):
        sentence = worded(
            "The rim's stiffness takes all three, up, sideways and twist, 1 to 10000 N m2 each. "
            "Give all, or none."
        )
        raise InputRefused(sentence, {"rim_up_n_m2": sentence})
    return RimStiffness(USUAL_RIM.stretch, up, sideways, twist)


def _noise(request: WheelPlanRequest) -> Noise:
    sound = 0 < request.side_sd_mm <= 2 and 0 < request.up_sd_mm <= 2 and 0 < request.tension_sd_n <= 300
    if not sound or not 1 <= request.read_times <= 20:
        sentence = worded(
            "What a reading is out by: side and up above 0 to 2 mm, tension above 0 to 300 N, "
            "read 1 to 20 times. Correct it."
        )
        raise InputRefused(sentence, {"tension_sd_n": sentence})
    return Noise(
        request.side_sd_mm * _MM, request.up_sd_mm * _MM, request.tension_sd_n / sqrt(request.read_times)
    )


def _round(count: int, number: int, read: WheelRoundRead) -> WheelRound:
    unread = [str(at) for at, one in enumerate(read.tension_n, 1) if one is None]
    if unread:
        raise Unknown(
            worded(
                "round {number}: the tension of spoke {unread} was not read, and no plan can keep a "
                "rim's limit without it. Read it by gauge or by ear.",
                number=number,
                unread=", ".join(unread),
            )
        )
    for name, told in (("side_mm", read.side_mm), ("up_mm", read.up_mm), ("tension_n", read.tension_n)):
        if len(told) != count:
            sentence = worded(
                "round {number}, {name}: {told} figures for {count} spokes. Read every spoke once, "
                "from spoke 1 on.",
                number=number,
                name=name,
                told=len(told),
                count=count,
            )
            raise InputRefused(sentence, {name: sentence})
    side = np.array(read.side_mm, dtype=float) * _MM
    if read.dish_mm is not None:
        if not abs(read.dish_mm) <= 30:
            sentence = worded(
                "round {number}: dish is {dish_mm:g} mm: 30 mm either way at most. Measure again.",
                number=number,
                dish_mm=read.dish_mm,
            )
            raise InputRefused(sentence, {"dish_mm": sentence})
        side = side - side.mean() + read.dish_mm * _MM
    tension = np.array([one for one in read.tension_n if one is not None], dtype=float)
    state = State(side, np.array(read.up_mm, dtype=float) * _MM, tension, read.dish_mm is not None)
    return WheelRound(state, _turned(number, read.turned_quarters))


def _turned(number: int, quarters: tuple[float, ...] | None) -> np.ndarray | None:
    if quarters is None:
        return None
    # The bound first: what has no end, or is no figure, cannot be rounded.
    if any(not abs(one) <= 12 or one != round(one) for one in quarters):
        sentence = worded(
            "round {number}: turns are whole quarters, 12 either way at most. Give what was "
            "turned at each spoke.",
            number=number,
        )
        raise InputRefused(sentence, {"turned_quarters": sentence})
    return np.array([round(one) for one in quarters], dtype=np.int64)


def _view(found: RoundPlan, shape: WheelShape) -> WheelPlanView:
    return WheelPlanView(
        words=found.words,
        done=found.done,
        bent=found.bent,
        turns=tuple(_turn_view(one, shape) for one in found.turns),
        in_all_quarters=found.in_all,
        now=_true(found.now),
        foreseen=_true(found.foreseen),
        at_the_end=_true(found.at_the_end),
        greatest_on_the_way_n=round(found.most, 1),
        cautions=found.cautions,
        working=tuple(f"{one.words} ({one.source})" for one in found.reasons),
    )


def _turn_view(one: Turn, shape: WheelShape) -> TurnView:
    return TurnView(
        one.spoke,
        "right" if shape.right[one.spoke - 1] else "left",
        one.quarters,
        turn_words(one.quarters),
        round(one.greatest, 1),
        round(one.over, 1),
    )


def turn_words(quarters: int) -> str:
    """A turn as it is said at the bench: loosen half a turn."""
    size = {
        1: worded("a quarter turn"),
        2: worded("half a turn"),
        3: worded("three quarters of a turn"),
        4: worded("one turn"),
    }
    return f"{'tighten' if quarters > 0 else 'loosen'} {size.get(abs(quarters), f'{abs(quarters)} quarters')}"


def _true(found: Trueness) -> TrueView:
    return TrueView(
        side_mm=round(found.side * 1000, 3),
        up_mm=round(found.up * 1000, 3),
        dish_mm=None if found.dish is None else round(found.dish * 1000, 3),
        spread_percent=round(found.spread * 100, 1),
        mean_left_n=round(found.mean_left, 1),
        mean_right_n=round(found.mean_right, 1),
        least_n=round(found.least, 1),
        greatest_n=round(found.greatest, 1),
    )
