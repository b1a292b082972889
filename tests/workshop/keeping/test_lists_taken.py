"""Lists that came in from elsewhere, as the settings tell them."""

import pytest

from pinchbolt.records.models import Event
from pinchbolt.workshop.keeping.lists_taken import lists_taken
from tests.story import NOW, open_shop

pytestmark = pytest.mark.django_db


def test_the_fifty_newest_stand_there_and_which_were_taken_back() -> None:
    """Of 51, the oldest is left out; the newest stands first."""
    ines, _ = open_shop()
    for number in range(51):
        Event.objects.create(
            at=NOW, by=ines, kind="list taken in", key=f"list-{number:06d}", fingerprint="", said={"counts": f"{number} owners"},
        )  # fmt: skip
    newest = Event.objects.latest("pk")
    Event.objects.create(
        at=NOW, by=ines, kind="list taken back", key="back-000001", fingerprint="", said={}, corrects=newest
    )
    seen = lists_taken()
    assert [one.words for one in seen] == [f"{number} owners" for number in range(50, 0, -1)]
    assert [one.is_back for one in seen] == [True, *[False] * 49]
    assert seen[0].by == ines.name
