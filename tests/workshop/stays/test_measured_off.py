"""A chain that came off is measured on the bench in one tap: it is kept, corrected, told of, and teaches."""

import pytest

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event, Finding, Part, Reading
from pinchbolt.workshop.bikes.build_sheet import parts_on, sprockets_behind
from pinchbolt.workshop.bikes.change_build import ReplaceRequest, replace
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.stays.job_card import job_card
from pinchbolt.workshop.stays.measure_off import MeasureOffRequest, measure_off
from pinchbolt.workshop.wear.part_wear import part_life
from tests import story
from tests.story import NOW, TODAY, Story
from tests.workshop.build_story import build, part_on, take_off

pytestmark = pytest.mark.django_db


def came_off() -> tuple[Story, Part]:
    """A bike whose chain was changed at this stay."""
    at = story.walked_round(story.checked_in())
    chain = next(part for part in parts_on(at.record.bike) if part.kind == "chain")
    replace(ReplaceRequest(chain.pk), by=at.first, key=at.key(), now=NOW)
    return at, chain


def measured(at: Story, chain: Part, mm: float | None, said: str = "") -> None:
    """The chain hung on the bench."""
    measure_off(MeasureOffRequest(at.job, chain.pk, mm, said), by=at.first, key=at.key(), now=NOW)


def test_what_a_chain_measured_is_told_with_what_it_means():
    """306.5 mm over 24 pitches is 0.56 % (306.5 / 304.8; pitch 12.7 mm, ISO 9633): past a limit of 0.5."""
    at, chain = came_off()
    assert [(one.part, one.closed_how, one.words) for one in job_card(at.record).off] == [(chain.pk, "", "")]
    findings = Finding.objects.count()
    measured(at, chain, 306.5)
    (told,) = job_card(at.record).off
    assert (told.measured_mm, told.measured_percent, told.closed_how) == (306.5, 0.558, "bench")
    assert told.words == "Measured off: 306.5 mm over 24 pitches is 0.56 %, past its limit of 0.5 %."
    assert Finding.objects.count() == findings
    said = Event.objects.get(kind="measured off").said
    assert said["percent"] == pytest.approx(0.5577, abs=1e-3)


def test_measured_again_corrects_what_was_typed_wrong():
    """The newest value counts; the wrong one stays in the history, corrected."""
    at, chain = came_off()
    measured(at, chain, 309.0)
    measured(at, chain, 305.9)
    (told,) = job_card(at.record).off
    assert told.measured_mm == pytest.approx(305.9, abs=0.01)
    assert "below its limit of 0.5 %" in told.words
    assert (
        Reading.objects.filter(part=chain, event__corrected_by__isnull=True, place__startswith="off").count()
        == 1
    )


def test_inches_are_taken_with_their_unit_and_asked_about_without():
    """12 1/16 in is 306.4 mm; a bare 12.0625 is no length in mm."""
    at, chain = came_off()
    with pytest.raises(InputRefused, match=r"Did you mean 306\.39 mm"):
        measured(at, chain, 12.0625)
    measured(at, chain, None, "12 1/16 in")
    assert job_card(at.record).off[0].measured_mm == pytest.approx(306.39, abs=0.02)


def test_a_chain_that_is_on_the_bike_is_not_measured_off():
    """Nor is nothing a measurement."""
    at, chain = came_off()
    fitted = next(part for part in parts_on(at.record.bike) if part.kind == "chain")
    with pytest.raises(NotPossibleNow, match="did not come off"):
        measured(at, fitted, 305.0)
    with pytest.raises(InputRefused, match="24 pitches"):
        measured(at, chain, None)


def test_it_teaches_without_the_bias_of_a_gauge():
    """Learning takes it as one more reading of that chain, by an instrument that has next to no bias."""
    at, chain = came_off()
    measured(at, chain, 306.5)
    row = tables().limits[Reading.objects.get(event__kind="measured off").limit]
    life = part_life(chain, row, TODAY)
    assert life is not None
    last = life.readings[-1]
    assert (last.instrument, last.error.bias, last.error.bias_sd) == ("the bench", 0.0, 0.01)
    assert last.shown.low == last.shown.high == pytest.approx(0.5577, abs=1e-3)


def test_a_chain_that_was_never_read_is_held_against_the_limit_for_its_sprockets():
    """Eleven behind: 0.5 %. Where nobody wrote down how many there are, that is asked for, and nothing is guessed."""
    at = story.checked_in("gravel-1x")
    chain, cassette = (part_on(at, kind) for kind in ("chain", "cassette"))
    assert not Reading.objects.filter(part=chain).exists()
    replace(ReplaceRequest(chain.pk), by=at.first, key=at.key(), now=NOW)
    measured(at, chain, 306.5)
    (told,) = job_card(at.record).off
    (row,) = (row for row in tables().limits.values() if row.is_elongation and _sprockets(at) in row.speeds)
    assert told.words.endswith(f"past its limit of {row.limit} %.")
    take_off(at, cassette)
    again = part_on(at, "chain")
    replace(ReplaceRequest(again.pk), by=at.first, key=at.key(), now=NOW)
    with pytest.raises(NotPossibleNow, match=f"How many sprockets {at.tag} has behind is not on record"):
        measured(at, again, 306.5)


def _sprockets(at: Story) -> int:
    """As the cassette of the build says it."""
    return sprockets_behind(build(at))
