"""Minutes on a stand from a job's events: open hours only, pauses out, ended with the last line."""

from datetime import datetime, timedelta

import pytest
from django.utils import timezone

from pinchbolt.engines.day import learn_minutes
from pinchbolt.records.models import Event, Line, Person, Workshop
from pinchbolt.workshop.day._stand_times import stand_time
from pinchbolt.workshop.day._taught import done_jobs, learned, open_time
from pinchbolt.workshop.day._work_left import work_left
from tests import story
from tests.story import NOW

pytestmark = pytest.mark.django_db
WEDNESDAY = timezone.make_aware(datetime(2026, 11, 25, 9, 0))


def told(*acts: tuple[str, float], line: int = 1) -> list[Event]:
    """Events of one job, each so many hours after Wednesday at nine."""
    who = Person(name="Ines Holloway")
    return [
        Event(pk=n, kind=kind, by=who, at=WEDNESDAY + timedelta(hours=hours), said={"line": line})
        for n, (kind, hours) in enumerate(acts, 1)
    ]


@pytest.fixture(autouse=True)
def a_week() -> None:
    """Open from nine to half past five, not on Sunday and Monday."""
    story.checked_in()
    Workshop.objects.update(open_days=dict.fromkeys(("Tue", "Wed", "Thu", "Fri", "Sat"), ("09:00", "17:30")))


def minutes(*acts: tuple[str, float], now: float = 100.0, all_done: bool = True) -> float | None:
    """Minutes on the stand of such a job."""
    found = stand_time(told(*acts), WEDNESDAY + timedelta(hours=now), open_time(), all_done=all_done)
    return None if found is None else found.minutes


def test_work_counts_from_its_start_to_its_last_line():
    """Two hours of work; the wait for whoever signs is none."""
    assert minutes(("put on stand", 0), ("work started", 1), ("line done", 3), ("signed off", 7)) == 120


def test_a_night_and_a_pause_are_not_worked_on():
    """From four on Wednesday to ten on Thursday, set aside in between for a part: an hour, then half an hour."""
    acts = (("work started", 7), ("set aside", 8), ("put on stand", 24.5), ("line done", 25))
    assert minutes(*acts) == 60 + 30
    assert minutes(("work started", 7), ("line done", 25)) == 90 + 60


def test_what_is_not_done_goes_on_until_now():
    """Begun at nine, now noon; a walk-round alone is no work."""
    assert minutes(("work started", 0), now=3, all_done=False) == 180
    assert minutes(("put on stand", 0), now=3, all_done=False) is None


def test_a_weekend_counts_only_while_the_shop_is_open():
    """From Saturday half past four to Tuesday ten: an hour and an hour."""
    assert minutes(("work started", 72 + 7.5), ("line done", 144 + 1), now=200) == 60 + 60


def test_a_job_done_in_the_book_teaches_its_minutes():
    """Signed off two hours after its start: the sum of its lines' minutes is what was estimated, two hours is what it took."""
    at = story.signed_off(story.worked(story.answered(story.priced(story.walked_round(story.checked_in())))))
    events = list(Event.objects.filter(job=at.job).select_related("by").order_by("pk"))
    for event in events:
        if event.kind in ("line done", "signed off"):
            event.at = event.at + timedelta(hours=2)
    lines = list(Line.objects.filter(job=at.job).select_related("event").order_by("pk"))
    work = work_left(events, lines)
    took = stand_time(events, NOW + timedelta(hours=3), open_time(), all_done=not work.open)
    assert took is not None and took.minutes == 120
    assert work.minutes[1] == sum(one.minutes[1] for one in work.lines if one.id in work.done) > 0
    # As the story has it, all in one moment: nothing is learned of no time at all.
    assert done_jobs(NOW + timedelta(hours=3)) == ()
    assert learned(NOW + timedelta(hours=3)).minutes == learn_minutes([])
