"""Which spokes to order: length with its doubt, stocked lengths with their chance, and the rim by two spokes."""

from collections.abc import Sequence
from dataclasses import dataclass

from pinchbolt.engines.wheels import (
    LengthSpec,
    Stocked,
    elongation,
    rim_by_two_spokes,
    spoke_length,
    stocked_lengths,
)
from pinchbolt.errors import InputRefused, Unknown
from pinchbolt.values.ahead import odds_words
from pinchbolt.values.wording import worded

_MM = 1e-3
# What may be given its own sd, and is taken as usual where it is not.
MEASURED = ("erd", "circle", "offset", "hole", "rim_offset")


@dataclass(frozen=True, slots=True)
class WheelLengthRequest:
    """Rim, hub and lacing of one side. [mm, N]

    `erd_mm` may be left out where the rim was read with two spokes: their lengths and the gaps between their elbows (below 0
    where they overlap). `tension_n` with `diameter_mm` takes the spoke's growth off. `stocked_mm` are lengths that can be had.
    """

    offset_mm: float
    spokes: int
    crossings: int
    erd_mm: float | None = None
    circle_mm: float | None = None
    hole_mm: float | None = None
    rim_offset_mm: float = 0.0
    on_side: int | None = None
    pair_gap_mm: float | None = None
    straight_pull: bool = False
    pull_circle_mm: float | None = None
    seat_mm: float | None = None
    erd_sd_mm: float | None = None
    circle_sd_mm: float | None = None
    offset_sd_mm: float | None = None
    hole_sd_mm: float | None = None
    rim_offset_sd_mm: float | None = None
    tension_n: float | None = None
    diameter_mm: float | None = None
    stocked_mm: tuple[float, ...] = ()
    rim_spokes_mm: tuple[float, ...] = ()
    rim_gaps_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class StockedView:
    """A stocked length, how far over the slot's bottom it ends, and the chance that this is inside the nipple. [mm, -]"""

    length_mm: float
    over_mm: float
    chance: float


@dataclass(frozen=True, slots=True)
class DoubtShareView:
    """One measurement: its own sd, and what it brings to the length's. [mm]"""

    measured: str
    sd_mm: float
    brings_mm: float


@dataclass(frozen=True, slots=True)
class WheelLengthView:
    """Length to cut or order, its sd, where the doubt is from, stocked lengths, and what to look at. [mm, -]

    With holes in pairs `other_length_mm` and `other_stocked` are of the half of the spokes that lean the other way.
    """

    length_mm: float
    sd_mm: float
    other_length_mm: float | None
    unloaded_mm: float
    grows_mm: float | None
    erd_mm: float
    erd_sd_mm: float
    stocked: tuple[StockedView, ...]
    other_stocked: tuple[StockedView, ...]
    shares: tuple[DoubtShareView, ...]
    words: str
    working: tuple[str, ...]
    doubts: tuple[str, ...]


def wheel_length(request: WheelLengthRequest) -> WheelLengthView:
    """Return how long the spokes of one side must be, and which stocked length is likeliest to do.

    Raises:
        InputRefused: A figure out of any sense, or a lacing that cannot be.
        Unknown: The rim was not measured, or a straight-pull hub's own figures are missing.
    """
    erd, erd_sd, doubts = _rim(request)
    sds = {
        name: value * _MM
        for name in MEASURED
        for value in [getattr(request, f"{name}_sd_mm")]
        if value is not None
    }
    if erd_sd is not None:
        sds["erd"] = erd_sd
    found = spoke_length(_spec(request, erd), sds)
    grows = _growth(request, found.length, doubts)
    wanted = found.length - (grows or 0.0)
    usual = [name.replace("_", " ") for name in _asked_of(request) if name not in sds]
    if usual:
        doubts.append(
            worded(
                "No doubt was given for {usual}: taken as usual for a careful hand (see shares).",
                usual=", ".join(usual),
            )
        )
    other = None
    if found.other is not None:
        other = found.other - (grows or 0.0)
        doubts.append(
            worded(
                "Holes in pairs: spokes that lean one way need the first length, those that lean the "
                "other way the second."
            )
        )
    had = [one * _MM for one in request.stocked_mm]
    stocked = stocked_lengths(wanted, found.sd, had)
    other_stocked = () if other is None else stocked_lengths(other, found.sd, had)
    words = _words(
        wanted, found.sd, stocked[0], worded("the stocked lengths") if had else worded("whole lengths")
    )
    if other is not None:
        words = worded(
            "Spokes that lean one way: {words} Those that lean the other way: {other}",
            words=words,
            other=_words(other, found.sd, other_stocked[0], "these"),
        )
    return WheelLengthView(
        length_mm=_mm(wanted),
        sd_mm=_mm(found.sd),
        other_length_mm=None if other is None else _mm(other),
        unloaded_mm=_mm(found.length),
        grows_mm=None if grows is None else _mm(grows),
        erd_mm=_mm(erd),
        erd_sd_mm=_mm(next(one.sd for one in found.shares if one.name == "erd")),
        stocked=_seen(stocked),
        other_stocked=_seen(other_stocked),
        shares=tuple(DoubtShareView(one.name, _mm(one.sd), _mm(one.brings)) for one in found.shares),
        words=words,
        working=tuple(f"{one.words} ({one.source})" for one in found.reasons),
        doubts=(
            *found.cautions,
            *doubts,
            worded("Order one spoke first, or try one in the wheel: a wrong set costs days."),
        ),
    )


def _words(wanted: float, sd: float, best: Stocked, of: str) -> str:
    return worded(
        "{wanted:.1f} mm, within {sd:.1f} mm. Of {of} {length:g} mm is likeliest; inside the "
        "nipple: {odds_words}.",
        wanted=wanted * 1000,
        sd=2 * sd * 1000,
        of=of,
        length=best.length * 1000,
        odds_words=odds_words(best.chance),
    )


def _seen(stocked: Sequence[Stocked]) -> tuple[StockedView, ...]:
    return tuple(StockedView(_mm(one.length), _mm(one.over), round(one.chance, 3)) for one in stocked)


def _rim(request: WheelLengthRequest) -> tuple[float, float | None, list[str]]:
    """The rim's effective diameter, by word or by two spokes; its sd where it was read."""
    if request.rim_spokes_mm or request.rim_gaps_mm:
        if request.erd_mm is not None or len(request.rim_spokes_mm) != 2:
            sentence = worded(
                "The rim by two spokes takes the lengths of two spokes and the gaps between their "
                "elbows, and no ERD besides. Leave one way out."
            )
            raise InputRefused(sentence, {"rim_spokes_mm": sentence})
        first, second = request.rim_spokes_mm
        rim = rim_by_two_spokes(first * _MM, second * _MM, [one * _MM for one in request.rim_gaps_mm])
        doubts = [
            worded(
                "The rim was read {readings} times, {apart:.1f} mm apart.",
                readings=rim.readings,
                apart=rim.apart * 1000,
            )
        ]
        return rim.erd, rim.sd, doubts
    if request.erd_mm is None:
        raise Unknown(
            worded(
                "The rim's effective diameter was not given, and no length can be told without it: "
                "put two spokes of known length through opposite holes with their nipples, and read "
                "the gap between their elbows (--rim-spoke, --rim-gap)."
            )
        )
    return request.erd_mm * _MM, None, []


def _spec(request: WheelLengthRequest, erd: float) -> LengthSpec:
    if not request.straight_pull and (request.circle_mm is None or request.hole_mm is None):
        sentence = worded(
            "The circle through the flange's holes and the holes' diameter are missing. Measure "
            "them, or say straight pull."
        )
        raise InputRefused(sentence, {"circle_mm": sentence})
    maybe = {
        name: None if value is None else value * _MM
        for name, value in (
            ("pair_gap", request.pair_gap_mm),
            ("pull_circle", request.pull_circle_mm),
            ("seat", request.seat_mm),
        )
    }
    return LengthSpec(
        erd=erd,
        circle=(request.circle_mm or 0.0) * _MM,
        offset=request.offset_mm * _MM,
        hole=(request.hole_mm or 0.0) * _MM,
        spokes=request.spokes,
        crossings=request.crossings,
        rim_offset=request.rim_offset_mm * _MM,
        on_side=request.on_side,
        straight_pull=request.straight_pull,
        pair_gap=maybe["pair_gap"],
        pull_circle=maybe["pull_circle"],
        seat=maybe["seat"],
    )


def _asked_of(request: WheelLengthRequest) -> tuple[str, ...]:
    return ("erd", "offset", "rim_offset") if request.straight_pull else MEASURED


def _growth(request: WheelLengthRequest, length: float, doubts: list[str]) -> float | None:
    if request.tension_n is None and request.diameter_mm is None:
        doubts.append(
            worded(
                "The spoke grows under tension, a plain 2.0 mm one about 0.5 mm: give tension and "
                "diameter to take it off."
            )
        )
        return None
    if request.tension_n is None or request.diameter_mm is None:
        sentence = worded(
            "The spoke's growth takes both, its tension and its diameter. Give the missing one."
        )
        raise InputRefused(sentence, {"tension_n": sentence})
    return elongation(request.tension_n, [(length, request.diameter_mm * _MM)])


def _mm(length: float) -> float:
    return round(length * 1000, 3)
