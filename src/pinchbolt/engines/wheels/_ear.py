"""From pitch to tension: relative by itself, in newtons only with one reference spoke."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pinchbolt.engines.wheels._beam import Wire, refuse_wire, spoke_frequencies, tension_at
from pinchbolt.engines.wheels._wheel_sense import Floats, figure
from pinchbolt.errors import InputRefused
from pinchbolt.values import Interval, Reason
from pinchbolt.values.about import percent
from pinchbolt.values.wording import worded

# A free length is measured to about this, one sd. Common practice, no source.
LENGTH_SD = 0.0015
# A reference spoke's tension is known to about this where nobody says, one sd. Common practice, no source.
REFERENCE_SD = 0.03
# How far below pinned or above clamped a reference may sound before length, thickness or tension must be wrong. Own choice.
_ROOM = 0.01


@dataclass(frozen=True, slots=True)
class ReferenceSpoke:
    """A spoke of the same kind and length whose tension in N is known, and the Hz it sounds."""

    tension: float
    frequency: float
    relative_sd: float = REFERENCE_SD


@dataclass(frozen=True, slots=True)
class HeardTension:
    """Tension in N with two sd either side (None without a reference), and as a share of the spokes' mean."""

    tension: Interval | None
    middle: float | None
    relative: float
    relative_sd: float


@dataclass(frozen=True, slots=True)
class HeardWheel:
    """Every spoke's tension by its pitch, how its ends are held, and what cannot be told."""

    spokes: tuple[HeardTension, ...]
    fixity: float | None
    doubts: tuple[str, ...]
    reasons: tuple[Reason, ...]


RELATIVE_ONLY = worded(
    "The tension in newtons cannot be told by ear alone: how the ends are held moves it "
    "by a quarter. These are shares of the mean. Give one reference spoke of this kind "
    "and length: its tension by a checked gauge or a hung weight, and its pitch."
)


def end_fixity(wire: Wire, reference: ReferenceSpoke) -> float:
    """Return how the ends of a kind of spoke are held, from one whose tension and pitch are known.

    Args:
        wire: The spoke's free pieces. [m]
        reference: A spoke of known tension, and its pitch. [N], [Hz]

    Returns:
        0 pinned to 1 clamped. [-]

    Raises:
        InputRefused: A pitch that no hold of the ends can give: length, thickness or tension must be wrong.

    Valid for: This kind and length, near this tension.

    Example:
        >>> round(end_fixity(Wire(((0.260, 0.002),)), ReferenceSpoke(1000, 432.077)), 2)
        1.0

    Source: Beam under tension with springs at its ends; found by halving.
    """
    refuse_wire(wire)
    pull, heard = figure("tension", reference.tension), figure("frequency", reference.frequency)
    low, high = (float(spoke_frequencies(wire, pull, held)[0]) for held in (0.0, 1.0))
    if not low * (1 - _ROOM) <= heard <= high * (1 + _ROOM):
        sentence = worded(
            "The reference spoke sounds {heard:.1f} Hz at {pull:.0f} N: {low:.1f} to {high:.1f} "
            "Hz is possible with this length and thickness. Measure the free length, the "
            "thickness and the tension again.",
            heard=heard,
            pull=pull,
            low=low,
            high=high,
        )
        raise InputRefused(sentence, {"reference_hz": sentence})
    if heard <= low or heard >= high * (1 - 1e-6):
        return 0.0 if heard <= low else 1.0
    least, most = 0.0, 1.0
    for _ in range(24):
        middle = (least + most) / 2
        if float(spoke_frequencies(wire, pull, middle)[0]) < heard:
            least = middle
        else:
            most = middle
    return (least + most) / 2


def tensions_by_pitch(
    wire: Wire, frequencies: Sequence[float], sds: Sequence[float], reference: ReferenceSpoke | None = None
) -> HeardWheel:
    """Return the tension of each spoke of one side from its pitch.

    Without a reference only as shares of the mean, ``(f / f0)^2`` corrected for stiffness half-way between pinned and clamped.
    With one, the hold of the ends is taken from it, and the tension follows from the beam.

    Args:
        wire: Free pieces of this side's spokes, elbow to nipple. [m]
        frequencies: Pitch of each spoke. [Hz]
        sds: Its standard deviation. [Hz]
        reference: A spoke of the same kind and length with known tension. [N], [Hz]

    Returns:
        Tensions with two sd either side, or shares of the mean only. [N], [-]

    Raises:
        InputRefused: A figure out of any sense, or a reference that cannot be.

    Valid for: One side of a wheel, one kind of spoke; the interval holds pitch, length and the reference's own doubt.

    Example:
        >>> wire = Wire(((0.288, 0.002),))
        >>> heard = tensions_by_pitch(wire, [350.0, 385.0], [0.1, 0.1])
        >>> heard.spokes[0].tension is None, round(heard.spokes[1].relative / heard.spokes[0].relative, 1)
        (True, 1.2)

    Source: Euler-Bernoulli beam under tension; law of the vibrating string for the shares.
    """
    refuse_wire(wire)
    heard = np.array([figure("frequency", one) for one in frequencies])
    if not len(heard) or len(sds) != len(heard):
        raise InputRefused(
            worded(
                "{heard} pitches and {sds} doubts: as many of each, one spoke at least.",
                heard=len(heard),
                sds=len(sds),
            )
        )
    doubt = np.asarray(sds, dtype=float) / heard
    fixity = end_fixity(wire, reference) if reference is not None else 0.5
    pulls = _pulls(wire, heard, fixity)
    if reference is None:
        shares = pulls / pulls.mean()
        spokes = tuple(
            HeardTension(None, None, float(share), float(2 * off * share))
            for share, off in zip(shares, doubt, strict=True)
        )
        told = (
            Reason(
                worded("shares of the mean by the square of the pitch, corrected for stiffness"),
                "",
                worded("beam under tension"),
            ),
        )
        return HeardWheel(spokes, None, (RELATIVE_ONLY,), told)
    # The pitch counts twice, as does that of the reference; an error of the length is in both and nearly cancels.
    other = _pulls(Wire(tuple((long * (1 + LENGTH_SD / wire.length), thick) for long, thick in wire.pieces), wire.density,
                        wire.elasticity), heard, _loosely(wire, reference))  # fmt: skip
    off = np.hypot(np.hypot(2 * doubt, reference.relative_sd), np.abs(other / pulls - 1))
    spokes = tuple(
        HeardTension(
            Interval(float(pull * (1 - 2 * out)), float(pull * (1 + 2 * out))),
            float(pull),
            float(pull / pulls.mean()),
            float(2 * rough * pull / pulls.mean()),
        )
        for pull, out, rough in zip(pulls, off, doubt, strict=True)
    )
    told = (
        Reason(
            worded(
                "ends held {fixity} of the way from pinned to clamped, by the reference spoke "
                "({tension:.0f} N, {frequency:.1f} Hz)",
                fixity=percent(fixity),
                tension=reference.tension,
                frequency=reference.frequency,
            ),
            "",
            worded("beam under tension"),
        ),
    )
    return HeardWheel(spokes, fixity, (), told)


def _loosely(wire: Wire, reference: ReferenceSpoke) -> float:
    """Hold of the ends where the free length was taken too long; the reference is then fitted anew."""
    longer = Wire(
        tuple((long * (1 + LENGTH_SD / wire.length), thick) for long, thick in wire.pieces),
        wire.density,
        wire.elasticity,
    )
    try:
        return end_fixity(longer, reference)
    except InputRefused:
        return 1.0


def _pulls(wire: Wire, heard: Floats, fixity: float) -> Floats:
    """Tensions; a pitch lower than the slack wire's own is no tension that can be."""
    found = np.array([tension_at(wire, float(one), fixity) for one in heard])
    if (found <= 0).any():
        spoke = int(np.argmin(found)) + 1
        sentence = worded(
            "spoke {spoke} sounds {heard:.0f} Hz: lower than this spoke sounds without any "
            "tension. Measure length and thickness again, or pluck it again.",
            spoke=spoke,
            heard=heard[spoke - 1],
        )
        raise InputRefused(sentence, {"frequency": sentence})
    return found
