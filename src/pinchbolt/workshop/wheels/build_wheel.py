"""A wheel built from parts: rim, hub and spokes of the bins or the catalogue, lengths with their chance, lacing order, its line."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from pinchbolt.engines.fit import FitVerdict, fact_names
from pinchbolt.errors import InputRefused, PinchboltError
from pinchbolt.records.models import Job, Part
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.bikes.build_sheet import facts_of_bike, kind_row
from pinchbolt.workshop.common.fit_answers import fit_rule
from pinchbolt.workshop.common.trade_tables import fit_tables, tables
from pinchbolt.workshop.parts.check_fit import fit_bike
from pinchbolt.workshop.parts.take_in_parts import BinView, bins
from pinchbolt.workshop.questions.ask_wheel_length import WheelLengthRequest, WheelLengthView, wheel_length
from pinchbolt.workshop.questions.ask_wheel_plan import WheelFacts, wheel_shape
from pinchbolt.workshop.stays.line_parts import LinePart
from pinchbolt.workshop.stays.propose import Proposed, ProposeRequest, propose
from pinchbolt.workshop.wheels._wheel_records import wheel_of_job

BUILD = "wheel-build"
_LENGTH_RULE, _HOLES_RULE = "spoke-nipple", "rim-hub-holes"
# The fact that says how long a spoke of the bins is, and those of its thread and its nipple's.
_LENGTH, _THREAD, _NIPPLE = "spoke_length_stock", "spoke_thread", "nipple_thread"
# A build's usual mean tension, for how much a spoke grows. [N] Common practice, no source.
_TENSION = (600.0, 1100.0)
_SIDES = ("left", "right")
# What the bins have to say of a rim and of a hub, so that the rules can refuse them.
_SAID = {
    "rim": ("rim_holes", "rim_bsd", "rim_inner", "rim_track"),
    "hub": ("hub_holes", "hub", "hub_rotor_mount"),
}
# Of these only where the bike's brake works there.
_BRAKED = {"rim_track": "rim", "hub_rotor_mount": "disc"}


@dataclass(frozen=True, slots=True)
class BuildWheelRequest:
    """What a wheel is to be built of: numbers of the bins ("" where it is not from there), and what was measured of rim and hub.

    `hole_mm` is the diameter of the flange's holes.
    """

    job: int
    part: int
    wheel: WheelFacts
    hole_mm: float = 2.5
    rim_number: str = ""
    hub_number: str = ""
    spokes_left: str = ""
    spokes_right: str = ""


@dataclass(frozen=True, slots=True)
class SpokesOfSide:
    """The spokes of one side: how many, how long with its doubt, what the rules say of the chosen ones, and which of the bins do."""

    side: str
    count: int
    length: WheelLengthView | None
    refused: str
    chosen: BinView | None
    fits: FitVerdict | None
    in_bins: tuple[tuple[BinView, FitVerdict], ...]


@dataclass(frozen=True, slots=True)
class LacingStep:
    """One set of spokes, in the order in which they go in."""

    stage: int
    words: str
    spokes: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class BuildWheelView:
    """What a build takes: spokes by side, the order of lacing, parts with their price, what it does not know or does not fit."""

    sides: tuple[SpokesOfSide, ...]
    lacing: tuple[LacingStep, ...]
    lacing_refused: str
    parts: tuple[LinePart, ...]
    price: Decimal
    stops: tuple[str, ...]
    doubts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PartsForWheel:
    """What lies in the bins or can be ordered for a wheel."""

    rims: tuple[BinView, ...]
    hubs: tuple[BinView, ...]
    spokes: tuple[BinView, ...]


def parts_for_wheel(job: int, part: int) -> PartsForWheel:
    """Return what a wheel may be built of.

    Raises:
        NotFound: No such job or part.
        NotPossibleNow: It is no wheel of this bike.
    """
    return _parts(wheel_of_job(job_by_id(job), part))


def _parts(wheel: Part) -> PartsForWheel:
    # The table tells what a wheel stands for from the outside in: its rim, its hub, its spokes.
    rim, hub, spokes = kind_row(wheel.kind).stands_for[:3]
    end = wheel.place
    return PartsForWheel(
        *(tuple(one for one in bins(kind) if one.place in ("", end)) for kind in (rim, hub, spokes))
    )


def build_wheel(request: BuildWheelRequest) -> BuildWheelView:
    """Return what building this wheel takes; nothing is written.

    Raises:
        InputRefused: A figure out of any sense, or a number that is not in the bins.
        NotPossibleNow: It is no wheel of this bike.
    """
    job = job_by_id(request.job)
    there = _parts(wheel_of_job(job, request.part))
    shape = wheel_shape(request.wheel)
    rim = _chosen(request.rim_number, there.rims, "rim_number")
    hub = _chosen(request.hub_number, there.hubs, "hub_number")
    sides = []
    for at, number in enumerate((request.spokes_left, request.spokes_right)):
        count = sum(1 for one in shape.right if one is bool(at))
        chosen = _chosen(number, there.spokes, f"spokes_{_SIDES[at]}")
        sides.append(_side(request, at, count, chosen, there.spokes))
    parts = [LinePart(one.words[:80], one.price) for one in (rim, hub) if one is not None]
    parts += _spoke_parts(sides)
    chosen_two = [one for one in (rim, hub) if one is not None]
    on_bike, more = _on_bike(job, wheel_of_job(job, request.part), chosen_two)
    holes = _holes(request.wheel.spokes, rim, hub)
    stops = [
        worded(
            "{side} spokes, {words}: {because}",
            side=one.side,
            words=one.chosen.words,
            because=one.fits.because,
        )
        for one in sides
        if one.chosen is not None and one.fits is not None and one.fits.verdict.value == "does not fit"
    ]
    lacing, refused = lacing_order(request.wheel)
    return BuildWheelView(
        tuple(sides),
        lacing,
        refused,
        tuple(parts),
        sum((one.each * one.count for one in parts), Decimal(0)),
        (*stops, *holes, *on_bike),
        (*more, *_not_said(job, request.part, chosen_two), *_doubts(rim, hub, sides)),
    )


def _chosen(number: str, there: Sequence[BinView], field: str) -> BinView | None:
    if not number:
        return None
    found = next((one for one in there if one.number == number), None)
    if found is None:
        sentence = worded(
            'There is no part "{number}" for this in the bins or the catalogue. Choose one of the list.',
            number=number[:40],
        )
        raise InputRefused(sentence, {field: sentence})
    return found


def _side(
    request: BuildWheelRequest, at: int, count: int, chosen: BinView | None, there: Sequence[BinView]
) -> SpokesOfSide:
    wheel = request.wheel
    stocked = sorted({_long(one) for one in there} - {None}, key=lambda one: one or 0.0)
    try:
        found = wheel_length(
            WheelLengthRequest(
                offset_mm=(wheel.offset_left_mm, wheel.offset_right_mm)[at],
                spokes=wheel.spokes,
                crossings=(wheel.crossings_left, wheel.crossings_right)[at],
                erd_mm=wheel.erd_mm,
                circle_mm=(wheel.circle_left_mm, wheel.circle_right_mm)[at],
                hole_mm=request.hole_mm,
                rim_offset_mm=wheel.rim_offset_mm,
                on_side=count,
                tension_n=_tension(wheel, at),
                diameter_mm=(wheel.diameter_left_mm, wheel.diameter_right_mm)[at],
                stocked_mm=tuple(one for one in stocked if one is not None),
            )
        )
    except PinchboltError as refusal:
        return SpokesOfSide(_SIDES[at], count, None, refusal.sentence, chosen, None, ())
    in_bins = [(one, _fits(one, found.length_mm)) for one in there if _long(one) is not None]
    good = [one for one in in_bins if one[1].verdict.value in ("fits", "fits with")]
    order = sorted(good, key=lambda one: (one[1].verdict.value != "fits", -one[0].count, one[0].price))
    fits = _fits(chosen, found.length_mm) if chosen is not None else None
    return SpokesOfSide(_SIDES[at], count, found, "", chosen, fits, tuple(order[:4]))


def _tension(wheel: WheelFacts, at: int) -> float:
    """The side that stands nearer to the middle is the tight one."""
    own, other = (
        (wheel.offset_left_mm, wheel.offset_right_mm)[at],
        (wheel.offset_right_mm, wheel.offset_left_mm)[at],
    )
    return _TENSION[1] if own <= other else _TENSION[0]


def _long(one: BinView) -> float | None:
    told = one.facts.get(_LENGTH)
    return float(told) if isinstance(told, int | float) else None


def _fits(one: BinView, wanted: float) -> FitVerdict:
    """By the rule of spoke, nipple and length, with what the bins say of it."""
    given = {name: one.facts[name] for name in (_THREAD, _NIPPLE) if name in one.facts}
    # A spoke that is sold with its nipple has the nipple's thread.
    if _THREAD in given:
        given.setdefault(_NIPPLE, given[_THREAD])
    long = _long(one)
    told = {
        **given,
        "length_computed": round(wanted, 2),
        **({"length_stock": long} if long is not None else {}),
    }
    return fit_rule(_LENGTH_RULE, told)


def _holes(spokes: int, rim: BinView | None, hub: BinView | None) -> tuple[str, ...]:
    """Why rim and hub cannot be laced to each other; what is not of the bins, or says nothing, has as many holes as were counted."""
    told = {
        "rim_holes": rim.facts.get("rim_holes", spokes) if rim else spokes,
        "hub_holes": hub.facts.get("hub_holes", spokes) if hub else spokes,
        "spokes": spokes,
    }
    found = fit_rule(_HOLES_RULE, told)
    return (f"{found.name}: {found.because}",) if found.verdict.value == "does not fit" else ()


def _not_said(job: Job, part: int, chosen: Sequence[BinView]) -> list[str]:
    """What the bins do not say of a rim or a hub, and how it is found out: nothing is refused that nobody wrote down."""
    brake = facts_of_bike(job.bike).get(f"brake_kind_{wheel_of_job(job, part).place}") if chosen else None
    told = []
    for one in chosen:
        missing = [
            tables().facts[name]
            for name in _SAID.get(one.kind, ())
            if name not in one.facts and _BRAKED.get(name, brake) in (brake, None)
        ]
        if missing:
            asked = "; ".join(f"{fact.name} ({fact.ask})" for fact in missing)
            told.append(
                worded(
                    "{words}: the bins do not say {asked}. Look before it is laced.",
                    words=one.words,
                    asked=asked,
                )
            )
    return told


def _on_bike(job: Job, wheel: Part, chosen: Sequence[BinView]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What the fit rules say of this rim and hub on this bike: what does not fit, and what is needed besides or not known."""
    names = fact_names(fit_tables())
    changes: dict[str, object] = {}
    for one in chosen:
        for name, value in one.facts.items():
            at_end = f"{name}_{wheel.place}"
            told = next((each for each in (at_end, f"{wheel.place}_{name}", name) if each in names), None)
            if told is not None:
                changes[told] = value
    if not changes:
        return (), ()
    stops, more = [], []
    for check in fit_bike(job.bike.tag, changes).checks:
        words = f"{check.name}{f', {check.place}' if check.place else ''}: {check.because}"
        if check.verdict.value == "does not fit":
            stops.append(words)
        elif check.verdict.value != "fits":
            more.append(
                f"{check.verdict.value} {', '.join(check.with_items)}: {words}" if check.with_items else words
            )
    return tuple(stops), tuple(more)


def _spoke_parts(sides: Sequence[SpokesOfSide]) -> list[LinePart]:
    """The chosen spokes as parts of a line; of one number on both sides one part."""
    found: dict[str, LinePart] = {}
    for one in sides:
        if one.chosen is not None:
            before = found.get(one.chosen.number)
            found[one.chosen.number] = LinePart(
                one.chosen.words[:80], one.chosen.price, one.count + (before.count if before else 0)
            )
    return list(found.values())


def _doubts(rim: BinView | None, hub: BinView | None, sides: Sequence[SpokesOfSide]) -> tuple[str, ...]:
    told = []
    if rim is None:
        told.append(
            worded(
                "No rim of the bins is chosen: the old one, or one from elsewhere. Lace an old rim "
                "again only if it is straight without tension, and uncracked."
            )
        )
    if hub is None:
        told.append(
            worded(
                "No hub of the bins is chosen: the old one. Its flanges are looked at for cracks and "
                "for elbows' dents."
            )
        )
    for one in sides:
        if one.chosen is None:
            told.append(worded("No {side} spokes are chosen yet.", side=one.side))
        elif one.chosen.count < one.count:
            told.append(
                worded(
                    "{count} spokes are needed on the {side}, {chosen_count} lie there: the rest is to "
                    "order.",
                    count=one.count,
                    side=one.side,
                    chosen_count=max(one.chosen.count, 0),
                )
            )
        if one.fits is not None and one.fits.verdict.value == "cannot tell":
            told.append(worded("{side} spokes: {because}", side=one.side, because=one.fits.because))
    told.append(
        worded(
            "Measured parts, not a list: two spokes of known length in the rim, a rule over the "
            "flanges. Lace one side, then measure again."
        )
    )
    return tuple(told)


def lacing_order(wheel: WheelFacts) -> tuple[tuple[LacingStep, ...], str]:
    """Return the order in which spokes go in, or why it is not told.

    Four sets: of each side first those that go one way, then those that cross them. Usual lacing, trade practice; no source.
    """
    if wheel.spokes % 4 or wheel.sides or wheel.crossings_left != wheel.crossings_right:
        return (), (
            worded(
                "The order of lacing is told for equal crossings, sides by turns, and a number of "
                "spokes that four divides: lace this one by its maker's picture."
            )
        )
    crossed = wheel.crossings_left
    cross = (
        worded("over {crossed} and under the {nth} of set", crossed=crossed - 1, nth=_nth(crossed))
        if crossed > 1
        else worded("past those of set")
    )
    words = (
        worded(
            "left flange, every second hole: spoke 1 into the rim hole beside the valve, then "
            "every fourth hole"
        ),
        worded(
            "right flange, every second hole: the first stands beside spoke 1, on the side away "
            "from the valve; then every fourth hole"
        ),
        worded(
            "left flange, the holes between, turned the other way: each {cross} 1, into the rim "
            "hole half-way between two of them",
            cross=cross,
        ),
        worded("right flange, the holes between: each {cross} 2, into the holes that are left", cross=cross),
    )
    firsts = (1, 2, 3, 4)
    return tuple(
        LacingStep(stage, words[stage - 1], tuple(range(firsts[stage - 1], wheel.spokes + 1, 4)))
        for stage in (1, 2, 3, 4)
    ), ""


def _nth(number: int) -> str:
    return {2: "second", 3: "third", 4: "fourth"}.get(number, "last")


def propose_build(request: BuildWheelRequest, *, by: int, key: str, now: datetime) -> Proposed:
    """Put the build on the estimate with the parts that were chosen.

    Raises:
        InputRefused: A figure out of any sense; spokes that do not fit, or none chosen.
        NotPossibleNow: It is on the estimate already, or the job is closed.
    """
    seen = build_wheel(request)
    if seen.stops:
        sentence = worded("{stops}. Choose other parts.", stops="; ".join(seen.stops))
        raise InputRefused(sentence, {"parts": sentence})
    lacking = [one.side for one in seen.sides if one.chosen is None]
    if lacking:
        sentence = worded(
            "No spokes are chosen for the {lacking} side: choose them, so that the line has its price.",
            lacking=worded(" and the ").join(lacking),
        )
        raise InputRefused(sentence, {f"spokes_{lacking[0]}": sentence})
    wheel = wheel_of_job(job_by_id(request.job), request.part)
    asked = ProposeRequest(request.job, BUILD, parts=seen.parts, place=wheel.place)
    return propose(asked, by=by, key=key, now=now)
