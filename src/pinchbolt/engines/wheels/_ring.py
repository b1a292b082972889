"""The wheel as a ring of beams on spokes: what a turn of one nipple does to side, up and tension all round.

Axes: x and y in the wheel's plane, z along the axle, positive to the right. Spoke 1 is at angle 0.
"""

from dataclasses import dataclass
from math import pi

import numpy as np
from scipy.linalg import LinAlgError, cho_factor, cho_solve

from pinchbolt.engines.wheels._beam import beam_bent, beam_pulled
from pinchbolt.engines.wheels._wheel_sense import Floats, figure, whole
from pinchbolt.errors import InputRefused

# Straight elements that a ring is made of, at least: 72 are within 0.2 % of the round one.
_LEAST_ELEMENTS = 56
# One turn of a nipple, thread FG 2.3 with 56 threads to the inch; a quarter of it. [m]
QUARTER = 0.0254 / 56 / 4


@dataclass(frozen=True, slots=True)
class RimStiffness:
    """A rim's section: EA in N; bending up-and-down and sideways and twist, EI and GJ, in N m2."""

    stretch: float
    up: float
    sideways: float
    twist: float

    def times(self, side: float, up: float) -> "RimStiffness":
        """The same rim, stiffer sideways (bending and twist) and up-and-down (bending and stretch)."""
        return RimStiffness(self.stretch * up, self.up * up, self.sideways * side, self.twist * side)


# An alloy rim of middle size. From memory of measured rims in open papers: sideways 100 to 300, twist 15 to 100 N m2.
USUAL_RIM = RimStiffness(stretch=5.5e6, up=160.0, sideways=200.0, twist=45.0)
# Light, usual and stiff, where nobody knows the rim. Own choice.
CLASSES = (0.6, 1.0, 1.7)


@dataclass(frozen=True, slots=True)
class WheelShape:
    """One wheel: where its spokes go. Each tuple is (left, right), in m; offsets are above 0.

    `right` says of each spoke, from spoke 1 on, whether it goes to the right flange; spokes stand evenly. `rim_offset` is how
    far the holes stand to their own spoke's side. `thickness` of a spoke's middle piece, per side.
    """

    rim_radius: float
    flange_radius: tuple[float, float]
    flange_offset: tuple[float, float]
    crossings: tuple[int, int]
    right: tuple[bool, ...]
    thickness: tuple[float, float] = (0.0018, 0.0018)
    elasticity: float = 190e9
    rim_offset: float = 0.0

    @property
    def count(self) -> int:
        """Spokes."""
        return len(self.right)


@dataclass(frozen=True, slots=True)
class Influence:
    """What shortening spoke j by 1 m does at spoke i, linear: side and up in m, tension in N; three n x n arrays."""

    side: Floats
    up: Floats
    tension: Floats


def alternating(count: int) -> tuple[bool, ...]:
    """Return spokes that go one by one to the left and right, the first to the left.

    Args:
        count: Spokes. [-]

    Returns:
        Of each whether it goes to the right. [-]

    Example:
        >>> alternating(4)
        (False, True, False, True)

    Source: Usual lacing, trade practice.
    """
    return tuple(at % 2 == 1 for at in range(count))


def refuse_shape(shape: WheelShape) -> None:
    """Refuse a wheel that cannot be."""
    whole("spokes", shape.count, 12, 72)
    figure("erd", shape.rim_radius * 2)
    figure("rim_offset", shape.rim_offset)
    for side in (0, 1):
        figure("circle", shape.flange_radius[side] * 2)
        figure("offset", shape.flange_offset[side])
        figure("diameter", shape.thickness[side])
        whole("crossings", shape.crossings[side], 0, 6)
    if min(sum(shape.right), shape.count - sum(shape.right)) < 4:
        sentence = "At least 4 spokes go to each side. Look at which spoke goes where."
        raise InputRefused(sentence, {"right": sentence})
    if not all(offset > 0.002 for offset in shape.flange_offset):
        sentence = (
            "A flange stands less than 2 mm from the middle: such a wheel has no side to hold. Measure again."
        )
        raise InputRefused(sentence, {"flange_offset": sentence})


def influence(shape: WheelShape, rim: RimStiffness, tensions: Floats) -> Influence:
    """Return what one metre less of each spoke does to side, up and tension at every spoke.

    ``K q = B``: K is the ring's beams, each spoke's ``EA/L`` along itself and ``T/L`` across it, and the rim's pressure
    ``-sum(T_r) / 2 pi`` against its bending; column j of B is ``EA/L`` along spoke j.

    Args:
        shape: Rim, hub and lacing. [m]
        rim: Stiffness of the rim's section. [N], [N m2]
        tensions: Tension of each spoke now, about. [N]

    Returns:
        Three square arrays. [m/m], [N/m]

    Raises:
        InputRefused: A figure out of any sense, or so much tension that the wheel of this model folds.

    Valid for: Small moves, a rim without play at its joint, spokes that stay tight.

    Source: Beams under pressure and bars, textbooks of structural mechanics; wheels as such a ring: open papers of wheel mechanics.
    """
    refuse_shape(shape)
    spokes = _spokes(shape)
    stiff = _ring(shape, rim, float(-(tensions * spokes.inward).sum() / (2 * pi)))
    pull = spokes.area * shape.elasticity / spokes.length
    count, sub = shape.count, stiff.shape[0] // 6 // shape.count
    sides = np.einsum("ni,nj->nij", spokes.along, spokes.along)
    own = pull[:, None, None] * sides + (tensions / spokes.length)[:, None, None] * (np.eye(3) - sides)
    for at in range(count):
        place = slice(6 * sub * at, 6 * sub * at + 6)
        carried = _carried(spokes.hole[at])
        stiff[place, place] += carried.T @ own[at] @ carried
    loads = np.zeros((stiff.shape[0], count))
    for at in range(count):
        loads[6 * sub * at : 6 * sub * at + 6, at] = _carried(spokes.hole[at]).T @ (
            pull[at] * spokes.along[at]
        )
    try:
        # Only a wheel that stands has such a factor.
        held = cho_factor(stiff, lower=True, overwrite_a=True, check_finite=False)
    except LinAlgError:
        sentence = f"With a mean tension of {tensions.mean():.0f} N this wheel folds: its rim is too soft for it, or a figure is wrong."
        raise InputRefused(sentence, {"tension_n": sentence}) from None
    moved = cho_solve(held, loads, check_finite=False).reshape(count, sub, 6, count)[:, 0]
    at_hole = np.stack([_carried(spokes.hole[at]) @ moved[at] for at in range(count)])
    out = np.stack([np.cos(spokes.angle), np.sin(spokes.angle)], axis=1)
    stretched = -np.einsum("ni,nij->nj", spokes.along, at_hole)
    return Influence(
        side=np.asarray(moved[:, 2], dtype=float),
        up=np.einsum("ni,nij->nj", out, moved[:, :2]),
        tension=pull[:, None] * (np.eye(count) + stretched),
    )


@dataclass(frozen=True, slots=True)
class _Spokes:
    """Each spoke: angle at the rim, unit vector from rim to hub, length, area, share of its pull that goes inward, hole."""

    angle: Floats
    along: Floats
    length: Floats
    area: Floats
    inward: Floats
    hole: Floats


def _spokes(shape: WheelShape) -> _Spokes:
    right = np.array(shape.right)
    side = right.astype(int)
    angle = 2 * pi * np.arange(shape.count) / shape.count
    nth = np.where(right, np.cumsum(right), np.cumsum(~right)) - 1
    on_side = np.where(right, right.sum(), (~right).sum())
    crossed = np.array(shape.crossings)[side]
    # Of one side every second spoke pulls and the others push.
    turn = 2 * pi * crossed / on_side * np.where(nth % 2 == 0, 1.0, -1.0)
    flange, out = np.array(shape.flange_radius)[side], np.where(right, 1.0, -1.0)
    hub = np.stack(
        [
            flange * np.cos(angle + turn),
            flange * np.sin(angle + turn),
            out * np.array(shape.flange_offset)[side],
        ],
        axis=1,
    )
    holes = out * shape.rim_offset
    radial = np.stack([np.cos(angle), np.sin(angle), np.zeros(shape.count)], axis=1)
    way = hub - (shape.rim_radius * radial + holes[:, None] * np.array([0.0, 0.0, 1.0]))
    length = np.linalg.norm(way, axis=1)
    along = way / length[:, None]
    area = pi * np.array(shape.thickness)[side] ** 2 / 4
    return _Spokes(angle, along, length, area, -(along * radial).sum(axis=1), holes)


def _carried(aside: float) -> Floats:
    """How a hole that stands *aside* from the rim's middle moves with it: u + turn x (0, 0, aside)."""
    found = np.zeros((3, 6))
    found[:, :3] = np.eye(3)
    found[0, 4], found[1, 3] = aside, -aside
    return found


def _ring(shape: WheelShape, rim: RimStiffness, pressure: float) -> Floats:
    """Stiffness of the ring, *pressure* below 0, six unknowns a node: three ways to move, three to turn."""
    sub = max(1, -(-_LEAST_ELEMENTS // shape.count))
    count = shape.count * sub
    step = 2 * pi / count
    chord = 2 * shape.rim_radius * np.sin(step / 2)
    local = _element(rim, float(chord), pressure)
    stiff = np.zeros((6 * count, 6 * count))
    for at in range(count):
        turned = (at + 0.5) * step
        # Along the chord, outward, and to the right.
        axes = np.array(
            [[-np.sin(turned), np.cos(turned), 0.0], [np.cos(turned), np.sin(turned), 0.0], [0.0, 0.0, -1.0]]
        )
        frame = np.kron(np.eye(4), axes)
        place = (6 * at + np.arange(12)) % (6 * count)
        stiff[np.ix_(place, place)] += frame.T @ local @ frame
    return stiff


def _element(rim: RimStiffness, h: float, axial: float) -> Floats:
    """A straight beam in its own axes: x along, y outward, z sideways; bending, stretch, twist, and what *axial* adds."""
    k = np.zeros((12, 12))
    _put(k, (0, 6), rim.stretch / h * np.array([[1.0, -1.0], [-1.0, 1.0]]))
    _put(k, (3, 9), rim.twist / h * np.array([[1.0, -1.0], [-1.0, 1.0]]))
    bent, pulled = beam_bent(h), beam_pulled(h)
    back = np.outer([1, -1, 1, -1], [1, -1, 1, -1])
    _put(k, (1, 5, 7, 11), rim.up * bent + axial * pulled)
    _put(k, (2, 4, 8, 10), (rim.sideways * bent + axial * pulled) * back)
    return k


def _put(k: Floats, places: tuple[int, ...], block: Floats) -> None:
    k[np.ix_(places, places)] += block
