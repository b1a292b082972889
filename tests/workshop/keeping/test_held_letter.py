"""The letter that says what we hold of somebody: days, money and fields as people write them."""

from datetime import timedelta
from decimal import Decimal

import pytest

from pinchbolt.records.models import Job, Owner
from pinchbolt.workshop.keeping.held import held_letter
from pinchbolt.workshop.owners.say_consent import ConsentRequest, say_consent
from tests import story
from tests.story import NOW


@pytest.mark.django_db
def test_days_and_money_stand_as_people_write_them() -> None:
    """No 2027-03-01, no bare 30.00, no name of a column: the words of the owner's page."""
    told = story.checked_in()
    job = Job.objects.get(pk=told.job)
    Owner.objects.filter(pk=job.bike.owner_id).update(spend_limit=Decimal("30.00"), may_say_yes="R. Dane")
    say_consent(
        ConsentRequest(job.bike.owner_id, "news", "text", True), by=told.first, key=told.key(), now=NOW
    )
    lines = dict(held_letter(job.bike.owner_id, NOW + timedelta(days=1)).lines)
    assert lines["limit without a call"] == "£30.00"
    assert lines["may say yes"] == "R. Dane"
    day = f"{NOW.day} {NOW:%b %Y}"
    assert day in lines["news by text"]
    assert lines[f"bike {told.tag}"].endswith(f"was here: {day}")
    assert f"{NOW:%Y-%m}" not in " ".join(lines.values())


@pytest.mark.django_db
def test_a_stay_that_began_after_midnight_here_says_the_day_of_here() -> None:
    """Kept as a time of the world, told as the workshop's calendar day."""
    told = story.checked_in()
    row = Job.objects.get(pk=told.job)
    late = NOW.replace(month=7, day=1, hour=23, minute=30)
    Job.objects.filter(pk=told.job).update(opened_at=late)
    assert "was here: 2 Jul" in dict(held_letter(row.bike.owner_id, late).lines)[f"bike {told.tag}"]
