"""What is typed at the check-in is kept up to the length of its field, and refused whole beyond it, by the field."""

from datetime import timedelta

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Job, Owner
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from tests.story import NOW, Story, checked_in

pytestmark = pytest.mark.django_db
# Field, what it is called, how much of it is kept, and where.
FIELDS = [
    ("owner_name", "The owner's name", 120, "name"),
    ("owner_phone", "The phone number", 40, "phone"),
    ("owner_reach", "How to reach the owner", 200, "reach"),
    ("owner_words", "What the owner says", 2000, "owner_words"),
    ("seen_words", "What is seen", 2000, "seen_words"),
    ("left_with", "What is left with the bike", 200, "left_with"),
]


def comes(on: Story, field: str, length: int) -> Job:
    """Another bike of another owner."""
    told = {"owner_name": "Marit Oakfold", field: "7" * length}
    asked = CheckInRequest(template="road-disc", **told)
    taken = check_in(asked, by=on.first, key=on.key(), now=NOW + timedelta(minutes=5))
    return Job.objects.get(pk=taken.job)


@pytest.mark.parametrize(("field", "called", "most", "kept"), FIELDS)
def test_a_field_holds_what_it_says_and_no_letter_more(
    db: None, field: str, called: str, most: int, kept: str
) -> None:
    """The last letter that fits is there; one more is refused, with the length and the field, and no bike is here for it."""
    on = checked_in()
    job = comes(on, field, most)
    of = job if hasattr(job, kept) else job.whose
    assert getattr(of, kept) == "7" * most
    before = Job.objects.count(), Owner.objects.count()
    with pytest.raises(InputRefused) as refused:
        comes(on, field, most + 1)
    assert refused.value.errors == {
        field: f"{called} has {most + 1:,} characters: {most} are allowed. Shorten it."
    }
    assert (Job.objects.count(), Owner.objects.count()) == before
