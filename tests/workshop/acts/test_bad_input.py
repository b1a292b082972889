"""Bad input gets a plain sentence, and the database is as it was."""

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from pinchbolt.errors import InputRefused, PinchboltError
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.line_parts import LinePart
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
from pinchbolt.workshop.torque.read_marking import MarkingRequest, read_marking
from tests.every_row import every_row
from tests.story import NOW, TODAY, Story, first_limit


@pytest.fixture
def untouched(arrived: Story) -> Iterator[Story]:
    """The database after the refusal equals the database before it."""
    before = every_row()
    yield arrived
    assert every_row() == before


def _reading(story: Story, **fields: Any) -> Callable[[], object]:
    part = next(f.part for f in story.record.bike.fittings.all() if f.part.kind == "chain")
    asked = ReadingRequest(story.job, part.pk, first_limit(story.tag, part), **fields)
    return lambda: take_reading(asked, by=story.first, key=story.key(), now=NOW)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"value": -3.0}, "is -3 percent: 0 to 3 percent is possible"),
        ({"value": 75.0}, "Was 0.75 meant?"),
        ({"value": float("nan")}, "is nan percent"),
        ({"value": float("inf")}, "is inf percent"),
        ({"low": 0.75, "high": 0.5}, "the low end must be below the high end"),
        ({}, "Give one answer: a number, a range, or yes or no."),
        ({"value": 0.5, "word": "yes"}, "Give one answer: a number, a range, or yes or no."),
        ({"word": "yes"}, "is measured in percent"),
        ({"value": 0.5, "day": TODAY + timedelta(days=1)}, "can't be after today"),
        ({"value": 0.5, "day": date(2999, 1, 1)}, "can't be after today"),
        ({"value": 0.5, "distance_km": -1.0}, "is -1 km"),
        ({"value": 0.5, "distance_km": 1e9}, "km is possible"),
        ({"value": 0.5, "distance_km": 5.0, "distance_known": "a dream"}, "Choose one"),
        ({"value": 0.5, "instrument": 99999}, "There is no gauge 99999"),
        ({"value": 0.5, "corrects": 99999}, "There is no reading 99999"),
        ({"value": 0.5, "place": "x" * 10_000_000}, "The place has 10,000,000 characters: 120 are allowed"),
    ],
)
def test_a_reading_that_cannot_be_is_refused_whole(
    untouched: Story, fields: dict[str, Any], sentence: str
) -> None:
    """Minus three, seventy-five for 0.75, a day ahead, a ten-megabyte word: nothing is written."""
    with pytest.raises(InputRefused) as refused:
        _reading(untouched, **fields)()
    assert sentence in refused.value.sentence


def test_a_distance_never_goes_back(arrived: Story) -> None:
    """1,900 km after 2,100 km on the same chain is asked about, with the earlier figure named."""
    _reading(arrived, value=0.4, distance_km=2100.0)()
    before = every_row()
    with pytest.raises(
        InputRefused, match=r"1,900 km is less than the 2,100 km this chain had on 25 Nov 2026\."
    ):
        _reading(arrived, value=0.5, distance_km=1900.0)()
    assert every_row() == before


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"template": "hovercraft"}, 'There is no kind "hovercraft". Pick one of: road-disc, road-rim,'),
        ({"owner_name": " "}, "Fill in the owner's name"),
        ({"owner_name": "x" * 10_000_000}, "The owner's name has 10,000,000 characters: 120 are allowed"),
        ({"promise": NOW - timedelta(days=1)}, "must lie ahead"),
        ({"spend_limit": Decimal("-1")}, "0 to 100,000 in steps of 0.01"),
        ({"spend_limit": Decimal("NaN")}, "0 to 100,000 in steps of 0.01"),
        ({"speeds": 99}, "1 to 14"),
        ({"use_class": "the moon"}, "Pick one"),
        ({"km_a_week": -5.0}, "is -5 km"),
        ({"tag": "NOBODY"}, 'No bike has the tag "NOBODY"'),
    ],
)
def test_a_check_in_that_cannot_be_is_refused_whole(
    untouched: Story, fields: dict[str, Any], sentence: str
) -> None:
    """No half-made owner or bike is left behind."""
    asked = CheckInRequest(**{"template": "road-disc", "owner_name": "Nell Abernook", **fields})
    with pytest.raises(InputRefused) as refused:
        check_in(asked, by=untouched.first, key=untouched.key(), now=NOW)
    assert sentence in refused.value.sentence


def test_a_bike_that_is_here_is_not_checked_in_twice(untouched: Story) -> None:
    """The sentence says where it stands."""
    with pytest.raises(PinchboltError, match=rf"{untouched.tag} is already here \(on the rack\)\."):
        check_in(CheckInRequest(tag=untouched.tag), by=untouched.first, key=untouched.key(), now=NOW)


@pytest.mark.parametrize(
    "price", [Decimal("-0.01"), Decimal("1.001"), Decimal("NaN"), Decimal("Infinity"), Decimal("1E+30")]
)
def test_a_price_that_cannot_be_is_refused(untouched: Story, price: Decimal) -> None:
    """Whole pence, not negative, finite."""
    asked = ProposeRequest(untouched.job, "chain", parts=(LinePart("chain", price),))
    with pytest.raises(InputRefused, match=r"in steps of 0\.01 GBP is possible"):
        propose(asked, by=untouched.first, key=untouched.key(), now=NOW)


@pytest.mark.parametrize(
    ("torque", "sentence"), [(-5.0, "0.1 to 120"), (float("nan"), "nan"), (500.0, "Was 50 meant?")]
)
def test_a_marking_that_cannot_be_is_refused(untouched: Story, torque: float, sentence: str) -> None:
    """A slip of the point on a torque marking is asked about."""
    asked = MarkingRequest(untouched.tag, "stem-face-4", "stem", torque)
    with pytest.raises(InputRefused) as refused:
        read_marking(asked, by=untouched.first, key=untouched.key(), now=NOW)
    assert sentence in refused.value.sentence
