"""A wheel from parts: lengths by side, what of the bins does by the rules, the order of lacing, its line on the estimate."""

from dataclasses import replace
from decimal import Decimal

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import BinPart, Line
from pinchbolt.workshop.wheels.build_wheel import BuildWheelRequest, build_wheel, lacing_order, propose_build
from tests.story import NOW, Story
from tests.workshop.wheels.wheel_story import brought, facts, rear_of

pytestmark = pytest.mark.django_db
THREAD = {"spoke_thread": "FG2.3", "nipple_thread": "FG2.3"}


@pytest.fixture
def told() -> Story:
    """A bike here, and rim, hub and spokes in the bins."""
    told = brought()
    spokes = [("S-292", 292.0, 40), ("S-290", 290.0, 10), ("S-260", 260.0, 40)]
    for number, long, count in spokes:
        made = {**THREAD, "spoke_length_stock": long}
        BinPart.objects.create(
            number=number,
            kind="spokes",
            words=f"spoke {long:g} mm",
            price=Decimal("0.90"),
            count=count,
            facts=made,
        )
    BinPart.objects.create(number="R-1", kind="rim", words="rim, 32 holes", price=Decimal("55.00"), count=1)
    BinPart.objects.create(number="H-1", kind="hub", place="front", words="hub front", price=Decimal("40.00"))
    return told


def asked(told: Story) -> BuildWheelRequest:
    """A rear wheel of 32 spokes, crossed three times."""
    return BuildWheelRequest(told.job, rear_of(told), facts(), 2.5, "R-1", "", "S-292", "S-290")


def test_lengths_by_side_and_what_the_bins_have(told: Story) -> None:
    """Worked by hand (the text book's formula, spokes grown by their tension): about 293.7 mm left and 291.6 right."""
    seen = build_wheel(asked(told))
    left, right = seen.sides
    assert left.length is not None and right.length is not None
    assert abs(left.length.length_mm - 293.3) < 0.7 and abs(right.length.length_mm - 291.6) < 0.7
    assert left.length.length_mm > right.length.length_mm
    assert {part.number for part, _ in right.in_bins} <= {"S-292", "S-290"} and right.in_bins
    assert seen.price == Decimal("55.00") + 32 * Decimal("0.90")
    assert any("10 lie there" in one for one in seen.doubts) and any("No hub" in one for one in seen.doubts)


def test_a_wrong_spoke_stops_the_line_and_says_why(told: Story) -> None:
    """32 mm short: the rule of spoke and nipple says that the thread does not reach."""
    wrong = replace(asked(told), spokes_right="S-260")
    assert "thread does not reach" in build_wheel(wrong).stops[0]
    with pytest.raises(InputRefused, match="thread does not reach"):
        propose_build(wrong, by=told.first, key=told.key(), now=NOW)
    with pytest.raises(InputRefused, match="right"):
        propose_build(replace(wrong, spokes_right=""), by=told.first, key=told.key(), now=NOW)
    with pytest.raises(InputRefused, match="bins"):
        build_wheel(replace(wrong, rim_number="nowhere"))
    assert not Line.objects.exists()


def test_a_rim_for_another_tyre_stops_the_line(told: Story) -> None:
    """The bike's tyre is 622: a rim of 584 is no rim for it, by the rule of tyre and rim."""
    BinPart.objects.create(
        number="R-584",
        kind="rim",
        words="rim 584",
        price=Decimal("50.00"),
        facts={"rim_bsd": 584, "rim_inner": 19},
    )
    wrong = build_wheel(replace(asked(told), rim_number="R-584"))
    assert any("584" in one or "622" in one for one in wrong.stops), wrong


def in_bins(kind: str, number: str, **facts: object) -> None:
    """One rim or hub of the bins, with what is written down of it."""
    BinPart.objects.create(
        number=number, kind=kind, words=f"{kind} {number}", price=Decimal("50.00"), count=1, facts=facts
    )


# What a mechanic refuses to lace for the rear of a road bike with discs (142 x 12, a 28-622 tyre) and 32 spokes, and the one that goes.
REFUSED = [
    ("rim", {"rim_holes": 28}, "28 holes in the rim, 32 in the hub"),
    ("hub", {"hub_holes": 36}, "32 holes in the rim, 36 in the hub"),
    ("rim", {"rim_bsd": 584}, "584"),
    ("rim", {"rim_inner": 35}, "35"),
    ("hub", {"hub": "r-12x148"}, "6 mm too wide"),
    ("hub", {"hub": "f-12x100"}, "front hub in the rear"),
    ("hub", {"hub_rotor_mount": "none"}, "no rotor goes on this hub"),
]


@pytest.mark.parametrize(("kind", "facts_told", "because"), REFUSED)
def test_a_rim_or_hub_that_does_not_fit_is_refused(
    told: Story, kind: str, facts_told: dict[str, object], because: str
) -> None:
    """By its holes, its seat, its width, its axle, its brake: the page says why, and no line comes of it."""
    in_bins(kind, "X-1", **facts_told)
    wrong = replace(asked(told), **{f"{kind}_number": "X-1"})  # type: ignore[arg-type]
    assert any(because in one for one in build_wheel(wrong).stops), build_wheel(wrong).stops
    with pytest.raises(InputRefused, match="Choose other parts"):
        propose_build(wrong, by=told.first, key=told.key(), now=NOW)
    assert not Line.objects.exists()


def test_a_rim_and_a_hub_that_fit_are_let_through(told: Story) -> None:
    """All that the rules ask is written down and right: nothing stops, and of them nothing is left to look at."""
    in_bins("rim", "R-2", rim_holes=32, rim_bsd=622, rim_inner=19, rim_track=False)
    in_bins("hub", "H-2", hub_holes=32, hub="r-12x142", hub_rotor_mount="centre-lock")
    right = replace(asked(told), rim_number="R-2", hub_number="H-2")
    seen = build_wheel(right)
    assert seen.stops == () and not any("do not say" in one for one in seen.doubts)
    propose_build(right, by=told.first, key=told.key(), now=NOW)
    assert Line.objects.get().parts[1]["name"] == "hub H-2"


def test_rim_and_hub_are_held_against_the_count_that_was_given(told: Story) -> None:
    """28 holes in both, and 32 spokes asked for: one of the three was counted wrong."""
    in_bins("rim", "R-28", rim_holes=28)
    in_bins("hub", "H-28", hub_holes=28)
    wrong = build_wheel(replace(asked(told), rim_number="R-28", hub_number="H-28"))
    assert any("28 holes in rim and hub, 32 spokes" in one for one in wrong.stops)


def test_a_rim_without_a_braking_surface_is_none_for_a_rim_brake() -> None:
    """A road bike whose brakes work on the rim: a disc rim leaves it without one; a rim with its surface goes."""
    braked = brought("road-rim")
    in_bins("rim", "R-disc", rim_track=False, rim_bsd=622, rim_inner=15)
    in_bins("rim", "R-rim", rim_track=True, rim_bsd=622, rim_inner=15)
    asked_for = BuildWheelRequest(braked.job, rear_of(braked), facts(), 2.5, "R-disc")
    assert any("no braking surface" in one for one in build_wheel(asked_for).stops)
    assert build_wheel(replace(asked_for, rim_number="R-rim")).stops == ()
    in_bins("rim", "R-silent", rim_holes=32)
    silent = build_wheel(replace(asked_for, rim_number="R-silent")).doubts
    assert any("whether the rim has a braking surface" in one for one in silent)


def test_what_the_bins_do_not_say_is_to_be_looked_at(told: Story) -> None:
    """A rim of which nothing is written down is not refused, and is not called right."""
    doubt = next(one for one in build_wheel(asked(told)).doubts if "do not say" in one)
    assert "rim's spoke holes (count them" in doubt and "bead seat" in doubt
    # A disc works there: whether the rim has a braking surface says nothing.
    assert "braking surface" not in doubt


def test_the_build_goes_on_the_estimate_with_its_parts(told: Story) -> None:
    """One line at the rear, 16 spokes a side."""
    done = propose_build(asked(told), by=told.first, key=told.key(), now=NOW)
    line = Line.objects.get(pk=done.line)
    assert (line.operation, line.place) == ("wheel-build", "rear")
    assert [(part["name"], part["count"]) for part in line.parts] == [
        ("rim, 32 holes", 1),
        ("spoke 292 mm", 16),
        ("spoke 290 mm", 16),
    ]


def test_every_spoke_is_laced_once_in_four_sets() -> None:
    """32 spokes in sets of eight, sides by turns as the sheet counts them; an odd lacing is not told."""
    steps, refused = lacing_order(facts())
    assert refused == "" and sorted(one for step in steps for one in step.spokes) == list(range(1, 33))
    assert [step.spokes[0] % 2 for step in steps] == [1, 0, 1, 0], "left, right, left, right"
    assert "over 2 and under the third" in steps[2].words
    assert lacing_order(replace(facts(), crossings_left=2))[0] == ()
    assert lacing_order(facts(30))[1]
