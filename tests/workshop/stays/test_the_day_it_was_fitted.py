"""A reading has its day: from the day on which the part came on, never before, and km never go back."""

from datetime import timedelta

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Fitting, Instrument, Part
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.stays.take_reading import ReadingRequest, ReadingTaken, take_reading
from tests.story import NOW, TODAY, Story

FITTED = TODAY - timedelta(days=30)


@pytest.fixture
def rotor(arrived: Story) -> Part:
    """A front rotor whose day is known."""
    part = next(one for one in parts_on(arrived.record.bike) if one.kind == "rotor")
    Fitting.objects.filter(part=part).update(start=FITTED, start_known=True)
    return part


def read(at: Story, part: Part, days: int, km: float | None = None, value: float = 1.7) -> ReadingTaken:
    """A reading so many days after it was fitted."""
    caliper = Instrument.objects.get(table_id="caliper").pk
    asked = ReadingRequest(
        at.job,
        part.pk,
        "rotor-thickness-1.8",
        caliper,
        value=value,
        distance_km=km,
        day=FITTED + timedelta(days),
    )
    return take_reading(asked, by=at.first, key=at.key(), now=NOW)


@pytest.mark.parametrize("days", [0, 1, 30])
def test_a_part_is_read_from_the_day_on_which_it_was_fitted(arrived: Story, rotor: Part, days: int) -> None:
    """Fitted in the morning and read in the afternoon."""
    assert read(arrived, rotor, days).finding.limit == "rotor-thickness-1.8"


def test_a_part_is_not_read_before_it_was_fitted(arrived: Story, rotor: Part) -> None:
    """Both days are named, and which to correct."""
    with pytest.raises(
        InputRefused,
        match=r"The reading is of 25 Oct 2026: this .* was fitted on 26 Oct 2026. Correct the day.",
    ):
        read(arrived, rotor, -1)


@pytest.mark.parametrize(
    ("then", "now", "well"), [(900.0, 900.0, True), (900.0, 1200.0, True), (900.0, 899.0, False)]
)
def test_kilometres_of_a_part_never_go_back(
    arrived: Story, rotor: Part, then: float, now: float, well: bool
) -> None:
    """The same is possible, less is a slip."""
    read(arrived, rotor, 10, then)
    if well:
        assert read(arrived, rotor, 20, now, 1.69)
    else:
        with pytest.raises(InputRefused, match="900"):
            read(arrived, rotor, 20, now, 1.69)
