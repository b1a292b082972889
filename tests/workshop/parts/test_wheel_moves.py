"""Whole wheels between bikes of the templates: what brakes them, how big they are and what shifts them is never passed over."""

from decimal import Decimal

import pytest

from pinchbolt.records.models import BinPart
from pinchbolt.workshop.parts.swap import SwapRequest, swap
from pinchbolt.workshop.parts.which_part import which_part
from tests import story

pytestmark = pytest.mark.django_db


def misfits(seen: object) -> set[str]:
    """The rules that say no of the bike as it stands with the wheel alone."""
    standing = seen.standing  # type: ignore[attr-defined]
    assert standing is not None
    return {one["rule"] for one in standing["checks"] if one["verdict"] == "does not fit"}


@pytest.mark.parametrize("end", ["front", "rear"])
@pytest.mark.parametrize(
    ("into", "out_of", "rules"),
    [
        ("road-rim", "road-disc", {"wheel-brake"}),
        ("road-disc", "road-rim", {"wheel-brake"}),
        ("child", "city-hub-gear", {"wheel-size"}),
        ("city-coaster", "road-rim", set()),
    ],
)
def test_a_wheel_of_another_brake_or_size_is_said(end: str, into: str, out_of: str, rules: set[str]) -> None:
    """Disc into rim, rim into disc, 622 into 507; of a coaster's rear wheel see below."""
    host, giver = story.checked_in(into), story.checked_in(out_of)
    seen = swap(SwapRequest(host.tag, f"{end} wheel", giver.tag))
    assert rules <= misfits(seen)
    assert not (rules and seen.plans)
    if rules:
        assert seen.clash and "Nothing need be changed" not in seen.words


def test_a_wheel_without_its_back_pedal_brake_leaves_the_bike_without_one() -> None:
    """The brake sat in the wheel that comes out."""
    host, giver = story.checked_in("city-coaster"), story.checked_in("road-rim")
    assert {"wheel-brake", "wheel-gears"} <= misfits(swap(SwapRequest(host.tag, "rear wheel", giver.tag)))


def test_a_hub_gear_is_not_shifted_by_a_derailleurs_shifter() -> None:
    """Roller brake, gears and size of the city wheel on the child's bike."""
    host, giver = story.checked_in("child"), story.checked_in("city-hub-gear")
    assert {"wheel-gears", "wheel-size"} <= misfits(swap(SwapRequest(host.tag, "rear wheel", giver.tag)))


def test_what_is_moved_keeps_the_brake_of_the_bike() -> None:
    """The wheel of a rim-brake bike does not turn the disc bike into one."""
    host, giver = story.checked_in("road-disc"), story.checked_in("road-rim")
    story.add_facts(giver.tag, {"hub_rotor_mount_front": "centre-lock"})
    assert "wheel-brake" not in misfits(swap(SwapRequest(host.tag, "front wheel", giver.tag)))


def test_wants_may_be_said_in_words() -> None:
    """And what was understood is said back."""
    bike = story.checked_in("gravel-1x")
    seen = swap(SwapRequest(bike.tag, want=("a 10-44 cassette",)))
    assert seen.understood == ("the smallest sprocket 10", "the biggest sprocket 44")
    assert swap(SwapRequest(bike.tag, want=("sprocket_big >= 44",))).understood == ()


def test_the_question_turned_round_names_the_standard_and_what_lies_in_the_bins() -> None:
    """Which post fits this frame."""
    bike = story.checked_in()
    story.add_facts(bike.tag, {"seat_tube": 31.6, "seat_post": "31.6"})
    (found, *_) = which_part(bike.tag, "seat post")
    assert found.answers[0].words == ("31.6 mm",) and found.answers[0].verdict == "fits"
    assert any(one.needs == ("shim 27.2 to 31.6",) for one in found.answers)


def test_what_lies_in_the_bins_is_the_part_that_is_sought_and_not_one_of_its_figure() -> None:
    """A bar of 31.6 is no seat post; a post with its shim costs both; the shim itself is had by its name."""
    bike = story.checked_in()
    story.add_facts(bike.tag, {"seat_tube": 31.6, "seat_post": "27.2"})
    for number, kind, facts, price, meets in (
        ("B1", "handlebar", {"bar": "31.6"}, "9.00", ""),
        ("P1", "seat post", {"seat_post": "31.6"}, "30.00", ""),
        ("P2", "seat post", {"seat_post": "27.2"}, "20.00", ""),
        ("S1", "seat post shim", {}, "6.00", "shim 27.2 to 31.6"),
        ("S2", "seat post shim", {}, "8.00", "shim 27.2 to 31.6"),
    ):
        BinPart.objects.create(
            number=number, kind=kind, words=number, facts=facts, price=Decimal(price), meets=meets
        )
    (found, *_) = which_part(bike.tag, "seat post")
    bought = {
        one.words: [(part.number, part.price) for part in one.to_buy] for one in found.answers if one.to_buy
    }
    assert bought == {("31.6 mm",): [("P1", Decimal("30.00"))], ("27.2 mm",): [("P2", Decimal("26.00"))]}
    (shim, *_) = which_part(bike.tag, "shim for the seat post")
    assert [(part.number, part.price) for one in shim.answers for part in one.to_buy] == [
        ("S1", Decimal("6.00"))
    ]


def test_a_doubt_that_stood_there_before_does_not_lead_and_is_said() -> None:
    """Two gravel bikes alike, nobody knows the freehub bodies, the caliper mounts nor the room for a tyre: the wheel goes across.

    What came along met before, and what stays as it was is no doubt of the move; both are said in one line. A wider tyre is one,
    and so is a misfit, whatever was before.
    """
    host, giver = story.checked_in("gravel-1x"), story.checked_in("gravel-1x")
    for bike in (host, giver):
        facts = story.known(bike.tag)
        assert not {"body", "mount_kind_rear", "opening_rear"} & facts.keys()
    seen = swap(SwapRequest(host.tag, "rear wheel", giver.tag))
    assert seen.standing is not None
    assert {one["verdict"] for one in seen.standing["checks"]} <= {"fits", "fits with"}
    assert (
        seen.standing["verdict"] != "cannot tell" and "cassette on freehub body" in seen.standing["as_before"]
    )
    assert all(plan.verdict == seen.standing["verdict"] for plan in seen.plans)
    story.add_facts(giver.tag, {"tyre_rear": "50-622", "rotor_rear": 180})
    seen = swap(SwapRequest(host.tag, "rear wheel", giver.tag))
    assert seen.standing is not None and seen.standing["verdict"] == "cannot tell"
    doubts = {one["rule"] for one in seen.standing["checks"] if one["verdict"] == "cannot tell"}
    assert "tyre-frame" in doubts and "cassette-body" not in doubts
    assert doubts <= {"tyre-frame", "caliper-mount", "rotor-flat"}
