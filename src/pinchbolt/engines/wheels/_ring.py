"""The wheel as a ring of beams on spokes: what a turn of one nipple does to side, up and tension all round.

Axes: x and y in the wheel's plane, z along the axle, positive to the right. Spoke 1 is at angle 0. The ring is reckoned in the axes of
each spoke's place: outward, round the rim, to the right.
"""

from dataclasses import dataclass
from math import pi

import numpy as np
from scipy.linalg import LinAlgError, cho_factor, cho_solve

from pinchbolt.engines.wheels._beam import beam_bent, beam_pulled
from pinchbolt.engines.wheels._wheel_sense import Floats, figure, whole
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

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
        sentence = worded("At least 4 spokes go to each side. Look at which spoke goes where.")
        raise InputRefused(sentence, {"right": sentence})
    if not all(offset > 0.002 for offset in shape.flange_offset):
        sentence = worded(
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
    pull = spokes.area * shape.elasticity / spokes.length
    carried = _carried(spokes.hole)
    sides = np.einsum("ni,nj->nij", spokes.along, spokes.along)
    own = pull[:, None, None] * sides + (tensions / spokes.length)[:, None, None] * (np.eye(3) - sides)
    each = np.arange(shape.count)
    try:
        # Only a wheel that stands has such factors.
        stiff = _ring(shape, rim, float(-(tensions * spokes.inward).sum() / (2 * pi)))
        places = stiff.reshape(shape.count, 6, shape.count, 6)
        places[each, :, each] += np.einsum("nai,nab,nbj->nij", carried, own, carried)
        held = cho_factor(stiff, lower=True, overwrite_a=True, check_finite=False)
    except LinAlgError:
        sentence = worded(
            "With a mean tension of {mean:.0f} N this wheel folds: its rim is too soft for it, "
            "or a figure is wrong.",
            mean=tensions.mean(),
        )
        raise InputRefused(sentence, {"tension_n": sentence}) from None
    loads = np.zeros((shape.count, 6, shape.count))
    # What moving a place by one lengthens its own spoke by, below 0: shortens.
    lead = np.einsum("na,nai->ni", spokes.along, carried)
    loads[each, :, each] = pull[:, None] * lead
    moved = cho_solve(held, loads.reshape(-1, shape.count), check_finite=False)
    moved = moved.reshape(shape.count, 6, shape.count)
    stretched = -np.einsum("ni,nij->nj", lead, moved)
    return Influence(
        side=moved[:, 2].copy(),
        up=moved[:, 0].copy(),
        tension=pull[:, None] * (np.eye(shape.count) + stretched),
    )


@dataclass(frozen=True, slots=True)
class _Spokes:
    """Each spoke: unit vector from rim to hub in its place's own axes, length, area, share of its pull that goes inward, hole."""

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
    round_it = np.stack([-np.sin(angle), np.cos(angle), np.zeros(shape.count)], axis=1)
    way = hub - (shape.rim_radius * radial + holes[:, None] * np.array([0.0, 0.0, 1.0]))
    length = np.linalg.norm(way, axis=1)
    along = way / length[:, None]
    area = pi * np.array(shape.thickness)[side] ** 2 / 4
    outward = (along * radial).sum(axis=1)
    there = np.stack([outward, (along * round_it).sum(axis=1), along[:, 2]], axis=1)
    return _Spokes(there, length, area, -outward, holes)


def _carried(aside: Floats) -> Floats:
    """How a hole that stands *aside* from the rim's middle moves with it: u + turn x (0, 0, aside)."""
    found = np.zeros((len(aside), 3, 6))
    found[:, :, :3] = np.eye(3)
    found[:, 0, 4], found[:, 1, 3] = aside, -aside
    return found


def _ring(shape: WheelShape, rim: RimStiffness, pressure: float) -> Floats:
    """Stiffness of the ring at its spokes' places, *pressure* below 0.

    Six unknowns a place, in its own axes (outward, round it, to the right): three ways to move, three to turn. All arcs from one
    spoke to the next are alike in these, so one is made of its elements and what lies inside of it solved for once.
    """
    sub = max(1, -(-_LEAST_ELEMENTS // shape.count))
    step = 2 * pi / (shape.count * sub)
    local = _element(rim, float(2 * shape.rim_radius * np.sin(step / 2)), pressure)
    turned = np.zeros((12, 12))
    for at, angle in enumerate((step / 2, step / 2, -step / 2, -step / 2)):
        # Along the chord, outward, and to the left.
        turned[3 * at : 3 * at + 3, 3 * at : 3 * at + 3] = [
            [-np.sin(angle), np.cos(angle), 0.0],
            [np.cos(angle), np.sin(angle), 0.0],
            [0.0, 0.0, -1.0],
        ]
    element = turned.T @ local @ turned
    arc = np.zeros((6 * sub + 6, 6 * sub + 6))
    for at in range(sub):
        arc[6 * at : 6 * at + 12, 6 * at : 6 * at + 12] += element
    if sub > 1:
        ends, inside = np.r_[0:6, 6 * sub : 6 * sub + 6], slice(6, 6 * sub)
        held = cho_factor(arc[inside, inside], lower=True, check_finite=False)
        arc = arc[np.ix_(ends, ends)] - arc[ends, inside] @ cho_solve(held, arc[inside, ends])
    stiff = np.zeros((shape.count, 6, shape.count, 6))
    here = np.arange(shape.count)
    after = np.roll(here, -1)
    stiff[here, :, here] += arc[:6, :6]
    stiff[after, :, after] += arc[6:, 6:]
    stiff[here, :, after] += arc[:6, 6:]
    stiff[after, :, here] += arc[6:, :6]
    return stiff.reshape(6 * shape.count, 6 * shape.count)


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
