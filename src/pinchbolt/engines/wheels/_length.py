"""How long a spoke must be, with the doubt of what was measured."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, hypot, pi, sin, sqrt

from pinchbolt.engines.wheels._wheel_sense import figure, whole
from pinchbolt.errors import InputRefused, Unknown
from pinchbolt.values import Reason
from pinchbolt.values.wording import worded

# What a careful hand is out by, one sd each, where nobody says; metres. Common practice, no source.
USUAL_SD = {
    "erd": 0.0005,
    "circle": 0.0003,
    "offset": 0.0005,
    "rim_offset": 0.0003,
    "hole": 0.0001,
    "pull_circle": 0.0003,
    "seat": 0.0003,
}
# A spoke nearer than this to the middle of its neighbour's head lies on it; nearer than the second it may touch. Own limits,
# from a head of 4 mm and a spoke of 2 mm.
LIES_ON_HEAD, MAY_TOUCH_HEAD = 0.0015, 0.003


@dataclass(frozen=True, slots=True)
class LengthSpec:
    """What a spoke's length follows from. All in m; offsets are positive to the side of the spoke.

    `erd` effective rim diameter, slot bottom to slot bottom; `circle` through the flange's holes; `offset` flange from the
    wheel's middle; `hole` diameter in the flange; `spokes` in the wheel, `on_side` of them on this side (None: half);
    `rim_offset` hole of the rim from its middle; `pair_gap` between the holes of a pair on a rim with paired holes.
    A straight-pull hub has `pull_circle` (twice the distance from the axle to the spoke's line) and `seat` (of the head,
    from the point nearest to the axle towards the rim), both by its maker.
    """

    erd: float
    circle: float
    offset: float
    hole: float
    spokes: int
    crossings: int
    rim_offset: float = 0.0
    on_side: int | None = None
    pair_gap: float | None = None
    straight_pull: bool = False
    pull_circle: float | None = None
    seat: float | None = None


@dataclass(frozen=True, slots=True)
class Share:
    """What one measurement's error does to the length: its own sd, and the sd that it brings. [m]"""

    name: str
    sd: float
    brings: float


@dataclass(frozen=True, slots=True)
class LengthFound:
    """Length in m with its sd and where the sd is from; two lengths where holes stand in pairs."""

    length: float
    sd: float
    other: float | None
    shares: tuple[Share, ...]
    past_head: float | None
    cautions: tuple[str, ...]
    reasons: tuple[Reason, ...]


def spoke_length(spec: LengthSpec, sds: dict[str, float] | None = None) -> LengthFound:
    """Return the length of a spoke and its standard deviation.

    ``L = sqrt(R^2 + H^2 + (o - r)^2 - 2 R H cos(a)) - s/2`` with ``a = 2 pi k / m``: rim and flange radii R and H, flange and
    rim offsets o and r, hole s, k crossings, m spokes on the side. Straight pull: ``L = sqrt((sqrt(R^2 - p^2) - e)^2 +
    (o - r)^2)`` with the pull circle's radius p and the seat e.

    Args:
        spec: Rim, hub and lacing. [m]
        sds: Standard deviation of each measurement, by name; what is not named is taken as usual. [m]

    Returns:
        The length, its sd by first derivatives, and what each measurement brings to it. [m]

    Raises:
        InputRefused: A figure out of any sense, a count that cannot be laced, or a spoke that lies on its neighbour's head.
        Unknown: Straight pull without its maker's figures.

    Valid for: Spokes that run straight from hub to rim; the unloaded length (`elongation` is taken off by whoever orders).

    Example:
        >>> found = spoke_length(LengthSpec(0.602, 0.045, 0.0174, 0.0025, spokes=32, crossings=3))
        >>> f"{found.length * 1000:.2f} +- {found.sd * 1000:.2f}"
        '292.39 +- 0.26'

    Source: Geometry; the formula without rim offset is in encyclopedias and wheel texts.
    """
    _refuse(spec)
    past = None if spec.straight_pull or spec.crossings == 0 else _past_head(spec)
    cautions = []
    if past is not None and past < LIES_ON_HEAD:
        sentence = worded(
            "{crossings} crossings with {spokes} spokes: the spoke would lie on its neighbour's "
            "head ({past:.1f} mm from its middle). Cross fewer times.",
            crossings=spec.crossings,
            spokes=spec.spokes,
            past=past * 1000,
        )
        raise InputRefused(sentence, {"crossings": sentence})
    if past is not None and past < MAY_TOUCH_HEAD:
        cautions.append(
            worded(
                "The spoke passes {past:.1f} mm beside the middle of its neighbour's head and may "
                "touch it: try one by hand, or cross once less.",
                past=past * 1000,
            )
        )
    names = ["erd", "rim_offset", "offset"]
    names += ["pull_circle", "seat"] if spec.straight_pull else ["circle", "hole"]
    shares = tuple(_share(spec, name, sds or {}) for name in names)
    lengths = [_long(spec, way) for way in ((1, -1) if spec.pair_gap is not None else (0,))]
    return LengthFound(
        length=lengths[0],
        sd=sqrt(sum(one.brings**2 for one in shares)),
        other=lengths[1] if len(lengths) > 1 else None,
        shares=shares,
        past_head=past,
        cautions=tuple(cautions),
        reasons=_reasons(spec, lengths, shares),
    )


def _refuse(spec: LengthSpec) -> None:
    for name in ("erd", "offset", "rim_offset"):
        figure(name, getattr(spec, name))
    spokes = whole("spokes", spec.spokes, 8, 72)
    side = whole("on_side", spec.on_side, 4, 48) if spec.on_side is not None else spokes // 2
    crossings = whole("crossings", spec.crossings, 0, 6)
    if spec.on_side is None and spokes % 2:
        sentence = worded(
            "{spokes} spokes: an even number, unless the count of this side is given. Count again.",
            spokes=spokes,
        )
        raise InputRefused(sentence, {"spokes": sentence})
    if side > spokes:
        sentence = worded(
            "{side} spokes on this side of {spokes} in all: at most all of them. Count again.",
            side=side,
            spokes=spokes,
        )
        raise InputRefused(sentence, {"on_side": sentence})
    if crossings and side % 2:
        sentence = worded(
            "{side} spokes on this side can't be crossed in pairs: an even number is needed. "
            "Lace this side without crossings, or count again.",
            side=side,
        )
        raise InputRefused(sentence, {"crossings": sentence})
    if spec.pair_gap is not None:
        gap, even = figure("pair_gap", spec.pair_gap), pi * spec.erd / spokes
        if gap > even:
            sentence = worded(
                "pair gap is {gap:g} mm: the holes of a pair are nearer than even holes would be "
                "({even:.1f} mm). Measure inside a pair, not between pairs.",
                gap=gap * 1000,
                even=even * 1000,
            )
            raise InputRefused(sentence, {"pair_gap": sentence})
    if not spec.straight_pull:
        figure("circle", spec.circle)
        figure("hole", spec.hole)
        if spec.circle >= spec.erd:
            raise InputRefused(
                worded("The flange is wider than the rim. Were the two swapped?"),
                {"circle": worded("below the rim's")},
            )
        return
    if spec.pull_circle is None or spec.seat is None:
        raise Unknown(
            worded(
                "A straight-pull hub's length cannot be told from its flange: the maker's pull "
                "circle and head seat are needed. Ask for the hub's drawing, or measure a spoke that "
                "came out of it."
            )
        )
    figure("pull_circle", spec.pull_circle)
    figure("seat", spec.seat)


def _long(spec: LengthSpec, way: int) -> float:
    """Length with the rim's hole moved along the rim: *way* is 1 or -1 in a pair, 0 for even holes."""
    rim, aside = spec.erd / 2, spec.offset - spec.rim_offset
    if spec.straight_pull:
        pull, seat = spec.pull_circle or 0.0, spec.seat or 0.0
        return hypot(sqrt(rim**2 - pull**2 / 4) - seat, aside)
    flange = spec.circle / 2
    angle = 2 * pi * spec.crossings / _on_side(spec)
    if spec.pair_gap is not None:
        # Every hole of one side moves the same way, so a spoke that pulls gains what its crossing neighbour loses.
        angle += way * (pi / spec.spokes - spec.pair_gap / spec.erd)
    return sqrt(rim**2 + flange**2 + aside**2 - 2 * rim * flange * cos(angle)) - spec.hole / 2


def _on_side(spec: LengthSpec) -> int:
    return spec.on_side if spec.on_side is not None else spec.spokes // 2


def _past_head(spec: LengthSpec) -> float:
    """How far the spoke's line passes outside the middle of the next head on its flange; below 0: inside it."""
    flange, rim, side = spec.circle / 2, spec.erd / 2, _on_side(spec)
    angle, next_hole = 2 * pi * spec.crossings / side, 2 * pi / side
    along = (rim * cos(angle) - flange, rim * sin(angle))
    head = (flange * cos(next_hole) - flange, flange * sin(next_hole))
    return (along[0] * head[1] - along[1] * head[0]) / hypot(*along)


def _share(spec: LengthSpec, name: str, sds: dict[str, float]) -> Share:
    sd = figure("sd", sds.get(name, USUAL_SD[name]), worded("sd of {name}", name=name))
    step = 1e-6
    slope = (_long(_nudged(spec, name, step), 0) - _long(_nudged(spec, name, -step), 0)) / (2 * step)
    return Share(name.replace("_", " "), sd, abs(slope) * sd)


def _nudged(spec: LengthSpec, name: str, by: float) -> LengthSpec:
    """The same measured a little differently."""
    moved = {
        "erd": replace(spec, erd=spec.erd + by),
        "circle": replace(spec, circle=spec.circle + by),
        "offset": replace(spec, offset=spec.offset + by),
        "hole": replace(spec, hole=spec.hole + by),
        "rim_offset": replace(spec, rim_offset=spec.rim_offset + by),
        "pull_circle": replace(spec, pull_circle=(spec.pull_circle or 0.0) + by),
        "seat": replace(spec, seat=(spec.seat or 0.0) + by),
    }
    return moved[name]


def _reasons(spec: LengthSpec, lengths: Sequence[float], shares: Sequence[Share]) -> tuple[Reason, ...]:
    laid = (
        worded("straight pull, by the hub maker's figures")
        if spec.straight_pull
        else worded(
            "{crossings} crossings, {degrees:.1f} degrees from hole to hole",
            crossings=spec.crossings,
            degrees=360 * spec.crossings / _on_side(spec),
        )
    )
    most = max(shares, key=lambda one: one.brings)
    told = [
        Reason(f"{laid}: {worded(' and ').join(f'{one * 1000:.2f}' for one in lengths)} mm", "", "geometry"),
        Reason(
            worded(
                "most of its doubt is from {name}: sd {sd:.2f} mm there is {brings:.2f} mm here",
                name=most.name,
                sd=most.sd * 1000,
                brings=most.brings * 1000,
            ),
            "",
            worded("first derivatives"),
        ),
    ]
    return tuple(told)
