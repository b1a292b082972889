"""What lies in the bins for a part that is added to a build sheet: what fits this bike first, and what does not with the reason."""

from decimal import Decimal

import pytest

from pinchbolt.records.models import BinPart
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.parts.build_offers import InTheBins, in_the_bins
from tests.workshop.build_story import bike, describe, part_on

pytestmark = pytest.mark.django_db


def rotor_lies(number: str, size: int, place: str = "") -> None:
    """One rotor in a bin."""
    BinPart.objects.create(
        number=number, kind="rotor", words=f"rotor {size}, splined", place=place, price=Decimal("20.00"), bin="C5",
        count=1, facts={"rotor": size, "rotor_kind": "centre-lock"},
    )  # fmt: skip


def offered() -> dict[str, InTheBins]:
    """What is offered for the rear of a road bike whose frame takes 160 at most, in order, by its number."""
    there = bike("road-disc")
    describe(there, part_on(there, "frame"), max_rotor=160, mount_kind="flat", mount="fm-rear-140")
    return {one.number: one for one in in_the_bins(there.tag, tables().kinds["rotor"], "rear")}


def test_a_rotor_that_is_too_large_for_the_frame_comes_last_with_the_reason() -> None:
    """180 stood beside 160, first by its number, as if both would do."""
    rotor_lies("A-180", 180)
    rotor_lies("B-160", 160)
    seen = offered()
    assert list(seen) == ["B-160", "A-180"]
    assert seen["A-180"].fit == "does not fit" and "160" in seen["A-180"].because
    assert seen["B-160"].fit != "does not fit"


def test_a_rotor_of_the_other_end_is_not_offered() -> None:
    """A front rotor by its own label is none for the rear."""
    rotor_lies("F-160", 160, "front")
    assert offered() == {}


def test_of_very_many_parts_the_last_are_offered_as_not_looked_at() -> None:
    """Each of thirty sizes would take its time: what is not judged says so, and is no part that fits."""
    for size in range(130, 160):
        rotor_lies(f"R-{size}", size)
    seen = offered()
    assert len(seen) == 30
    unseen = [one for one in seen.values() if one.because.startswith("not looked at")]
    assert len(unseen) == 6 and all(one.fit == "cannot tell" for one in unseen)
