"""What is entered of a wheel: its rim, hub and lacing, a reading of every spoke, plucked spokes, turns, what broke."""

from collections.abc import Sequence
from math import isfinite

from django import forms
from django.http import QueryDict

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, OneOf, Picked, Whole, Words, plain_figure
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.questions.ask_wheel_plan import WheelFacts, WheelLimitsAsked
from pinchbolt.workshop.tools.tension_meter import spoke_kind_of, spoke_kinds
from pinchbolt.workshop.wheels.break_spoke import BreakSpokeRequest
from pinchbolt.workshop.wheels.describe_wheel import HIT_WORDS, DescribeWheelRequest
from pinchbolt.workshop.wheels.read_wheel import EAR, METER, NEWTON, ReadWheelRequest
from pinchbolt.workshop.wheels.turn_nipple import TurnNippleRequest
from pinchbolt.workshop.wheels.wheel_sheet import WheelSheetView

_MOST_SENT = 4_000_000
HOW_WORDS = (
    (METER, worded("by meter, its marks")),
    (NEWTON, worded("in newtons")),
    (EAR, worded("by ear, as plucked")),
)


class WheelFactsForm(BenchForm):
    """Rim, hub and lacing as they were measured."""

    spoke_count = Whole(worded("how many spokes"), "numbers")
    erd_mm = Figure(worded("rim's effective diameter"), "mm")
    rim_offset_mm = Figure(worded("rim holes off the middle"), "mm")
    circle_left_mm = Figure(worded("circle of the left flange's holes"), "mm")
    circle_right_mm = Figure(worded("circle of the right flange's holes"), "mm")
    offset_left_mm = Figure(worded("left flange from the middle"), "mm")
    offset_right_mm = Figure(worded("right flange from the middle"), "mm")
    crossings_left = Whole(worded("crossings on the left"), "crossings")
    crossings_right = Whole(worded("crossings on the right"), "crossings")
    spoke_kind = OneOf(worded("kind of spoke"))
    sides = Words(worded("sides, L or R from spoke 1 on (empty: by turns, spoke 1 left)"))

    def __init__(self, *given: object, **named: object) -> None:
        super().__init__(*given, **named)  # type: ignore[arg-type]
        field = self.fields["spoke_kind"]
        assert isinstance(field, OneOf)
        field.choices = [(one.id, f"{one.middle:g} mm, {one.plain}") for one in spoke_kinds().values()]

    def facts(self) -> WheelFacts:
        """Return them as the plan takes them.

        Raises:
            InputRefused: A field is empty, or can't be read.
        """
        said = self.checked()
        for name in ("spoke_count", *_FACTS, *_WHOLE):
            if said[name] is None and name != "rim_offset_mm":
                sentence = worded(
                    "The {label} is empty: measure it, and type it in.", label=self.fields[name].label
                )
                raise InputRefused(sentence, {name: sentence})
        thick = spoke_kind_of(said["spoke_kind"]).middle
        return WheelFacts(
            spokes=said["spoke_count"],
            erd_mm=said["erd_mm"],
            circle_left_mm=said["circle_left_mm"],
            circle_right_mm=said["circle_right_mm"],
            offset_left_mm=said["offset_left_mm"],
            offset_right_mm=said["offset_right_mm"],
            crossings_left=said["crossings_left"],
            crossings_right=said["crossings_right"],
            sides=said["sides"],
            diameter_left_mm=thick,
            diameter_right_mm=thick,
            rim_offset_mm=said["rim_offset_mm"] or 0.0,
        )


def usual_facts(seen: WheelSheetView, count: int | None) -> dict[str, object]:
    """Return what stands in the fields at first: what was measured before, else what a careful hand begins with."""
    usual: dict[str, object] = {
        "spoke_count": count,
        "rim_offset_mm": 0,
        "spoke_kind": next(iter(spoke_kinds())),
    }
    if seen.known is not None:
        usual |= {name: getattr(seen.known.wheel, name) for name in (*_FACTS, *_WHOLE, "sides")}
        usual |= {"spoke_kind": seen.known.spoke_kind, "spoke_count": seen.known.wheel.spokes}
    return {name: value for name, value in usual.items() if value is not None}


class MeasureForm(WheelFactsForm):
    """Rim, hub and lacing, the limits, and what must be known before a nipple is turned."""

    greatest_n = Figure(worded("greatest tension marked on the rim"), "N")
    side_mm = Figure(worded("run-out to the side, at most"), "mm")
    up_mm = Figure(worded("run-out up and down, at most"), "mm")
    spread_percent = Figure(worded("departure from the side's mean, at most"), "%")
    dish_mm = Figure(worded("dish, at most"), "mm")
    carbon = forms.BooleanField(label=worded("the rim is carbon"), required=False)
    hit = OneOf(worded("was this wheel hit?"), [(one, one) for one in HIT_WORDS], initial=HIT_WORDS[0])

    @classmethod
    def of(cls, seen: WheelSheetView, count: int | None) -> "MeasureForm":
        """The form as it stands on a page."""
        limits = seen.known.limits if seen.known else WheelLimitsAsked()
        usual = usual_facts(seen, count) | {name: getattr(limits, name) for name in _LIMITS}
        usual |= {"hit": seen.known.hit if seen.known else HIT_WORDS[0]}
        if seen.known is not None:
            usual |= {"carbon": seen.known.carbon}
        if limits.greatest_n is not None:
            usual |= {"greatest_n": limits.greatest_n}
        return cls(initial=usual)

    def asked(self, job: int, part: int) -> DescribeWheelRequest:
        """Return it as the use case takes it."""
        wheel, said = self.facts(), self.checked()
        usual = WheelLimitsAsked()
        told = {name: getattr(usual, name) if said[name] is None else said[name] for name in _LIMITS}
        limits = WheelLimitsAsked(**told, greatest_n=said["greatest_n"])
        hit = said["hit"] or HIT_WORDS[0]
        return DescribeWheelRequest(
            job, part, wheel, limits, said["spoke_kind"], carbon=said["carbon"], hit=hit
        )


_WHOLE = ("crossings_left", "crossings_right")
_FACTS = (
    "erd_mm", "rim_offset_mm", "circle_left_mm", "circle_right_mm", "offset_left_mm", "offset_right_mm",
)  # fmt: skip
_LIMITS = ("side_mm", "up_mm", "spread_percent", "dish_mm")


class ReadForm(BenchForm):
    """A reading: three figures a spoke (side-1, up-1, pull-1 and so on), how the tension was read, and what goes with that."""

    how = OneOf(worded("how the tension was read"), HOW_WORDS, initial=METER)
    tool = Whole(worded("the meter"), "numbers")
    dish = Figure(worded("the rim's middle off the hub's, above 0 to the right"), "mm")
    reference_spoke = Whole(worded("reference spoke"), "number")
    reference_n = Figure(worded("its tension"), "N")

    def figures(self, name: str) -> dict[int, str]:
        """What was typed for each spoke, so that a refused reading keeps its entries."""
        told = self.data if isinstance(self.data, QueryDict) else {}
        found = {}
        for key in told:
            before, _, number = str(key).partition("-")
            if before == name and number.isdecimal() and len(number) < 4:
                found[int(number)] = str(told.get(key, ""))
        return found

    def asked(self, job: int, part: int, count: int) -> ReadWheelRequest:
        """Return it as the use case takes it; the first spoke without a figure is named."""
        said = self.checked()
        how = said["how"] or METER
        pulls = tuple(self._pull(self.figures("pull").get(spoke, ""), spoke) for spoke in range(1, count + 1))
        return ReadWheelRequest(
            job,
            part,
            tuple(self._needed("side", spoke) for spoke in range(1, count + 1)),
            tuple(self._needed("up", spoke) for spoke in range(1, count + 1)),
            how,
            pulls if how == NEWTON else (),
            said["tool"] if how == METER else None,
            pulls if how == METER else (),
            said["dish"],
            said["reference_spoke"] if how == EAR else None,
            said["reference_n"] if how == EAR else None,
        )

    def _needed(self, name: str, spoke: int) -> float:
        found = _number(
            self.figures(name).get(spoke, ""), worded("{name} at spoke {spoke}", name=name, spoke=spoke)
        )
        if found is None:
            sentence = worded(
                "{name} at spoke {spoke} is empty: read it, and type it in; 0 where it stands right.",
                name=name,
                spoke=spoke,
            )
            raise InputRefused(sentence, {f"{name}-{spoke}": sentence})
        return found

    def _pull(self, typed: str, spoke: int) -> float | None:
        return _number(typed, worded("tension at spoke {spoke}", spoke=spoke))


def _number(typed: str, name: str) -> float | None:
    text = plain_figure(typed)
    if not text:
        return None
    try:
        found = float(text)
    except ValueError:
        found = float("nan")
    if not isfinite(found):
        sentence = worded(
            '{name} is "{typed}": a number is expected. Type the figures only.', name=name, typed=typed[:20]
        )
        raise InputRefused(sentence, {name: sentence})
    return found


class PluckForm(BenchForm):
    """Recordings, one spoke each, from a spoke on."""

    first = Whole(worded("the first recording is of spoke"), "number")

    def sounds(self) -> Sequence[tuple[str, bytes]]:
        """Names and bytes that were sent, by name: 2.wav before 10.wav.

        Raises:
            InputRefused: Nothing was sent, or too much.
        """
        sent = self.files.getlist("sounds") if self.files else []
        if not sent:
            sentence = worded("No recording came along: record a pluck, or choose WAV files, one a spoke.")
            raise InputRefused(sentence, {"sounds": sentence})
        if any(one.size is None or one.size > _MOST_SENT for one in sent) or len(sent) > 72:
            sentence = worded(
                "A recording has more than {most_sent} MB, or there are more than 72: two seconds a "
                "spoke are enough.",
                most_sent=_MOST_SENT // 1000000,
            )
            raise InputRefused(sentence, {"sounds": sentence})
        return [(str(one.name), bytes(one.read())) for one in sorted(sent, key=_by_number)]


def _by_number(sent: object) -> tuple[int, str]:
    name = str(getattr(sent, "name", ""))
    figures = "".join(one if one.isdecimal() else " " for one in name).split()
    return (int(figures[-1][:9]) if figures else 0, name)


class TurnForm(BenchForm):
    """One nipple: its spoke, and quarters turned in all since the last reading; 0 takes it back."""

    spoke = Whole(worded("the spoke"), "number")
    quarters = Whole(worded("quarter turns"), "quarters")
    reading = Whole(worded("the reading"), "numbers")

    def asked(self, job: int, part: int) -> TurnNippleRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        if said["spoke"] is None or said["quarters"] is None:
            sentence = worded("A turn takes the spoke's number and its quarters: type both.")
            raise InputRefused(sentence, {"spoke": sentence})
        return TurnNippleRequest(job, part, said["spoke"], said["quarters"], said["reading"])


class BrokeForm(BenchForm):
    """A spoke that broke."""

    at = Picked(worded("Where it broke"))
    which_spoke = Whole(worded("which spoke, from the valve on (empty: not counted)"), "number")
    distance_km = Figure(worded("how far this wheel went (empty: by the records)"), "km")

    def asked(self, job: int, part: int) -> BreakSpokeRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return BreakSpokeRequest(job, part, said["at"] or "", said["which_spoke"], said["distance_km"])
