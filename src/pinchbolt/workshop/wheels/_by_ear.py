"""Tension of a whole wheel from the pitch of its spokes: shares of each side, or newtons where one spoke's tension is known."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import cos, hypot, pi, sqrt

from pinchbolt.engines.wheels import (
    HeardTension,
    ReferenceSpoke,
    WheelShape,
    Wire,
    end_fixity,
    spoke_frequencies,
    tensions_by_pitch,
)
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.checks import number
from pinchbolt.workshop.wheels._wheel_records import SpokeRead, WheelKnown, sides_of, spoke_number

# What a nipple of 12 mm takes off a spoke's free length, from the slot's bottom to where it leaves the nipple. [m]
# Common practice, no source; one reference spoke takes its error up into how the ends are held.
NIPPLE = 0.011
# So alike must two spokes be for one reference to say how the ends of both are held. [m] Own choice.
ALIKE = 0.006
RELATIVE_ONLY = worded(
    "By ear alone only how even they are can be told: how a spoke's ends sit moves its "
    "newtons by a quarter. These are shares of each side's mean. Give one reference "
    "spoke, its tension by a checked meter or a hung weight, and every spoke is told in "
    "newtons."
)


def free_length(shape: WheelShape, side: int) -> float:
    """Return the free length of a side's spokes, elbow to nipple. [m]"""
    count = sum(1 for one in shape.right if one is bool(side))
    turn = 2 * pi * shape.crossings[side] / count
    radius, flange = shape.rim_radius, shape.flange_radius[side]
    flat = sqrt(radius**2 + flange**2 - 2 * radius * flange * cos(turn))
    return hypot(flat, shape.flange_offset[side] - shape.rim_offset) - NIPPLE


def heard_tensions(
    known: WheelKnown,
    shape: WheelShape,
    bare: Sequence[SpokeRead],
    pitches: Mapping[int, tuple[float, float]],
    reference_spoke: int | None,
    reference_n: float | None,
) -> tuple[tuple[SpokeRead, ...], float, tuple[str, ...]]:
    """Return the spokes with what their pitch says, what a tension is out by in N (one sd), and doubts.

    Raises:
        InputRefused: A reference spoke that was not plucked, or one whose pitch can't be.
        NotPossibleNow: No spoke was plucked since the wheel was last read, turned or lost a spoke.
    """
    if not pitches:
        raise NotPossibleNow(
            worded(
                "No spoke was plucked since the last reading, turn or broken spoke: pluck each one "
                "first, then read."
            )
        )
    right = sides_of(known)
    wires = [Wire(((free_length(shape, side), shape.thickness[side]),)) for side in (0, 1)]
    reference = _reference(known, pitches, reference_spoke, reference_n)
    at_side = None if reference_spoke is None or reference is None else int(right[reference_spoke - 1])
    held = None if reference is None or at_side is None else end_fixity(wires[at_side], reference)
    found, doubts, sds = list(bare), list[str](), list[float]()
    for side in (0, 1):
        spokes = [spoke for spoke in sorted(pitches) if right[spoke - 1] is bool(side)]
        if not spokes:
            continue
        here = reference
        if reference is not None and held is not None and side != at_side:
            here = _carried_over(wires, side, reference, held)
            if here is None:
                doubts.append(
                    worded(
                        "The {names} side's spokes are too unlike the reference spoke: shares of their mean "
                        "only.",
                        names=_NAMES[side],
                    )
                )
        heard = tensions_by_pitch(
            wires[side], [pitches[one][0] for one in spokes], [pitches[one][1] for one in spokes], here
        )
        for spoke, one in zip(spokes, heard.spokes, strict=True):
            found[spoke - 1] = _with(found[spoke - 1], one)
            if one.tension is not None:
                sds.append((one.tension.high - one.tension.low) / 4)
    if reference is None:
        doubts.append(RELATIVE_ONLY)
    silent = [str(at) for at in range(1, len(bare) + 1) if at not in pitches]
    if silent:
        doubts.append(worded("Not plucked: spoke {silent}.", silent=", ".join(silent)))
    return tuple(found), round(sum(sds) / len(sds), 1) if sds else 45.0, tuple(doubts)


_NAMES = ("left", "right")


def _reference(
    known: WheelKnown, pitches: Mapping[int, tuple[float, float]], spoke: int | None, pull: float | None
) -> ReferenceSpoke | None:
    if spoke is None and pull is None:
        return None
    if spoke is None or pull is None:
        sentence = worded(
            "A reference takes both, the spoke's number and its tension in N. Give the missing "
            "one, or neither."
        )
        raise InputRefused(sentence, {"reference_n": sentence})
    spoke_number(spoke, known.wheel.spokes)
    number(pull, "reference_n", worded("The tension of the reference spoke"), 50, 4000, "N")
    if spoke not in pitches:
        sentence = worded(
            "Spoke {spoke} was not plucked since the last reading or turn: pluck it, or choose "
            "another one as reference.",
            spoke=spoke,
        )
        raise InputRefused(sentence, {"reference_spoke": sentence})
    return ReferenceSpoke(pull, pitches[spoke][0])


def _carried_over(
    wires: Sequence[Wire], side: int, reference: ReferenceSpoke, held: float
) -> ReferenceSpoke | None:
    """The same hold of the ends on the other side's spokes, where these are of one kind and about one length."""
    mine, other = wires[side], wires[1 - side]
    if abs(mine.length - other.length) > ALIKE or mine.pieces[0][1] != other.pieces[0][1]:
        return None
    return replace(reference, frequency=float(spoke_frequencies(mine, reference.tension, held)[0]))


def _with(read: SpokeRead, heard: HeardTension) -> SpokeRead:
    if heard.tension is None or heard.middle is None:
        return replace(read, share=round(heard.relative, 4))
    return replace(
        read,
        tension_n=round(heard.middle, 1),
        low_n=round(heard.tension.low, 1),
        high_n=round(heard.tension.high, 1),
        share=round(heard.relative, 4),
    )
