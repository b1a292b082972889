"""What the records tell needs no reading: a part that we fitted is due by its own day."""

from datetime import timedelta

import pytest

from pinchbolt.workshop.leaving.call_back import call_back_for
from tests import story
from tests.story import NOW, TODAY
from tests.workshop.build_story import part_on, replace

pytestmark = pytest.mark.django_db


def test_sealant_that_we_poured_is_due_within_half_a_year() -> None:
    """Nobody reads sealant; its age stands in the records. What was on the bike when it came says nothing."""
    there = story.checked_in("gravel-1x")
    assert call_back_for(there.record.bike, NOW) is None
    replace(there, part_on(there, "sealant", "front"))
    back = call_back_for(there.record.bike, NOW)
    assert back is not None and back.about == "front sealant"
    assert TODAY + timedelta(days=90) < back.day <= TODAY + timedelta(days=190)
