"""How a spoke sounds: a stiff, perhaps butted wire under tension, its ends between pinned and clamped."""

from dataclasses import dataclass
from math import ceil, pi, sqrt

import numpy as np
from scipy.linalg import eigh

from pinchbolt.engines.wheels._stocked import ELASTICITY
from pinchbolt.engines.wheels._wheel_sense import Floats, figure
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

# Steel wire of the published frequencies; stainless spring wire is 8000 (EN 10270-3).
DENSITY = 7850.0
_ELEMENT = 0.010
# A spring at the ends is counted in sqrt(T EI) of this tension, so that half-way is half-way at a usual tension.
_USUAL = 1000.0


@dataclass(frozen=True, slots=True)
class Wire:
    """A spoke's free part from elbow to nipple: length and diameter of each piece in m, and what it is made of."""

    pieces: tuple[tuple[float, float], ...]
    density: float = DENSITY
    elasticity: float = ELASTICITY

    @property
    def length(self) -> float:
        """Free length. [m]"""
        return sum(long for long, _ in self.pieces)


@dataclass(frozen=True, slots=True)
class Swung:
    """Stiffness by bending and by tension, mass, and the spring of the ends, as matrices."""

    bending: Floats
    tension: Floats
    mass: Floats
    ends: Floats


def string_frequency(tension: float, length: float, diameter: float, density: float = DENSITY) -> float:
    """Return the pitch of a wire without stiffness: ``f = 1/(2 L) sqrt(T / m)``.

    Args:
        tension: Tension. [N]
        length: Free length. [m]
        diameter: Of the wire. [m]
        density: Of the wire. [kg/m3]

    Returns:
        Frequency of the first mode. [Hz]

    Raises:
        InputRefused: A figure out of any sense.

    Valid for: Comparing; a real spoke is 2 to 12 % higher, by how its ends are held.

    Example:
        >>> round(string_frequency(1000, 0.260, 0.002), 3)
        387.246

    Source: Law of the vibrating string, textbooks.
    """
    mass = figure("density", density) * pi * figure("diameter", diameter) ** 2 / 4
    return sqrt(figure("tension", tension) / mass) / (2 * figure("length", length))


def spoke_frequencies(wire: Wire, tension: float, fixity: float, count: int = 1) -> Floats:
    """Return the lowest frequencies of a stiff spoke under tension.

    Beam elements of 10 mm at most (cubic shape, stiffness of bending and of tension, consistent mass); each end turns
    against a spring: *fixity* 0 is pinned, 1 clamped, between them ``k = fixity / (1 - fixity) sqrt(EI x 1000 N)``.

    Args:
        wire: The spoke's pieces. [m]
        tension: Tension; may be 0. [N]
        fixity: How the ends are held, 0 pinned to 1 clamped. [-]
        count: How many modes. [-]

    Returns:
        Frequencies, lowest first. [Hz]

    Raises:
        InputRefused: A figure out of any sense.

    Valid for: One free piece of wire. Crossed spokes that touch are two; lift one off the other.

    Example:
        >>> round(float(spoke_frequencies(Wire(((0.260, 0.002),)), 1000, 1.0)[0]), 1)
        432.1

    Source: Euler-Bernoulli beam under tension, finite elements, textbooks of structural dynamics.
    """
    refuse_wire(wire)
    if not 0 <= fixity <= 1 or not 0 <= tension <= 4000:
        raise InputRefused(
            worded(
                "fixity {fixity:g} and tension {tension:g} N: 0 to 1, and 0 to 4000 N.",
                fixity=fixity,
                tension=tension,
            )
        )
    swung = swinging(wire)
    stiff, mass = held(swung, wire, swung.bending + tension * swung.tension, fixity)
    squares = eigh(stiff, mass, eigvals_only=True, subset_by_index=[0, count - 1])
    return np.asarray(np.sqrt(np.maximum(squares, 0.0)) / (2 * pi), dtype=float)


def refuse_wire(wire: Wire) -> None:
    """Refuse a spoke that cannot be."""
    if not wire.pieces:
        raise InputRefused(worded("The spoke has no piece: give its length and diameter."))
    figure("length", wire.length)
    figure("density", wire.density)
    figure("elasticity", wire.elasticity)
    for long, thick in wire.pieces:
        figure("diameter", thick)
        if not 0.001 <= long <= 0.4:
            sentence = worded(
                "a piece of the spoke is {long:g} mm long: 1 to 400 mm. Measure again.", long=long * 1000
            )
            raise InputRefused(sentence, {"segments": sentence})


def swinging(wire: Wire) -> Swung:
    """Matrices of the spoke with its ends on pins; rotations of the two ends are the first and the last unknown."""
    runs = [
        (long / parts, thick)
        for long, thick in wire.pieces
        for parts in [max(2, ceil(long / _ELEMENT))]
        for _ in range(parts)
    ]
    size = 2 * (len(runs) + 1)
    bending, tension, mass = (np.zeros((size, size)) for _ in range(3))
    for at, (h, thick) in enumerate(runs):
        area, second = pi * thick**2 / 4, pi * thick**4 / 64
        place = slice(2 * at, 2 * at + 4)
        bending[place, place] += wire.elasticity * second * beam_bent(h)
        tension[place, place] += beam_pulled(h)
        mass[place, place] += wire.density * area * h / 420 * _heavy(h)
    # Both ends stay where they are.
    kept = [one for one in range(size) if one not in (0, size - 2)]
    pick = np.ix_(kept, kept)
    ends = np.zeros(len(kept))
    ends[[0, -1]] = 1.0
    return Swung(bending[pick], tension[pick], mass[pick], np.diag(ends))


def held(swung: Swung, wire: Wire, stiff: Floats, fixity: float) -> tuple[Floats, Floats]:
    """Stiffness and mass with the ends held: clamped ends leave the matrices, others get their spring."""
    if fixity >= 1:
        return stiff[1:-1, 1:-1], swung.mass[1:-1, 1:-1]
    return stiff + spring(wire, fixity) * swung.ends, swung.mass


def spring(wire: Wire, fixity: float) -> float:
    """Spring of an end that is held by *fixity*. [N m]"""
    thick = wire.pieces[0][1]
    return fixity / (1 - fixity) * sqrt(wire.elasticity * pi * thick**4 / 64 * _USUAL)


def tension_at(wire: Wire, frequency: float, fixity: float) -> float:
    """Tension in N at which the first mode has this frequency; below 0 where the wire alone is already higher.

    ``(w^2 M - K) x = T G x``: of all tensions that bring some mode to w the first mode's is the greatest.
    """
    swung = swinging(wire)
    stiff, mass = held(swung, wire, swung.bending, fixity)
    pull = swung.tension[1:-1, 1:-1] if fixity >= 1 else swung.tension
    last = len(pull) - 1
    found = eigh(
        (2 * pi * frequency) ** 2 * mass - stiff, pull, eigvals_only=True, subset_by_index=[last, last]
    )
    return float(found[0])


def beam_bent(h: float) -> Floats:
    """Stiffness of a beam element of length *h* by its bending, over EI: move and turn of one end, then of the other. [1/m3]"""
    bent = np.array(
        [
            [12, 6 * h, -12, 6 * h],
            [6 * h, 4 * h * h, -6 * h, 2 * h * h],
            [-12, -6 * h, 12, -6 * h],
            [6 * h, 2 * h * h, -6 * h, 4 * h * h],
        ]
    )
    return np.asarray(bent / h**3, dtype=float)


def beam_pulled(h: float) -> Floats:
    """The same by the tension that pulls it straight, over the tension. [1/m]"""
    pulled = np.array(
        [
            [36, 3 * h, -36, 3 * h],
            [3 * h, 4 * h * h, -3 * h, -h * h],
            [-36, -3 * h, 36, -3 * h],
            [3 * h, -h * h, -3 * h, 4 * h * h],
        ]
    )
    return np.asarray(pulled / (30 * h), dtype=float)


def _heavy(h: float) -> Floats:
    return np.array(
        [
            [156, 22 * h, 54, -13 * h],
            [22 * h, 4 * h * h, 13 * h, -3 * h * h],
            [54, 13 * h, 156, -22 * h],
            [-13 * h, -3 * h * h, -22 * h, 4 * h * h],
        ]
    )
