"""Rows of what is so now: beside any acts they say what the events say, worked out here by hand, one event after the other."""

from contextlib import suppress
from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from hypothesis import given, settings
from hypothesis import strategies as some

from pinchbolt.records.models import (
    ENDING,
    UNDONE,
    Bike,
    BikeCallBack,
    Event,
    Job,
    JobHere,
    Owner,
    Person,
    now_amiss,
    rebuild_now,
)
from pinchbolt.workshop.acts.state import ENDS, jobs_here
from tests import story
from tests.story import NOW, TODAY

KINDS = ("checked in", "call-back set", "handed over", "called off", "not collected", "found")
# What happens: which bike of three, what, and on which event before it falls, counted from the newest.
DONE = some.lists(
    some.tuples(some.integers(0, 2), some.sampled_from((*KINDS, UNDONE, "put right")), some.integers(0, 6)),
    max_size=14,
)


def plainly(told: list[Event]) -> tuple[set[int], dict[int, int]]:
    """Jobs that are here and the newest call-back of each bike, by going through the events in order."""
    undone = {one.corrects_id for one in told if one.kind == UNDONE}
    gone = {one.corrects_id for one in told if one.corrects_id and one.pk not in undone}
    here, backs = set(Job.objects.values_list("pk", flat=True)), {}
    for one in told:
        if one.pk in gone:
            continue
        if one.kind in ("handed over", "called off", "not collected"):
            here.discard(one.job_id)
        elif one.kind == "call-back set":
            backs[one.bike_id] = one.pk
        elif one.kind == "checked in":
            backs.pop(one.bike_id, None)
    return here, backs


@pytest.mark.django_db
@given(done=DONE)
@settings(max_examples=40)
def test_it_is_kept_by_every_act(done: list[tuple[int, str, int]]) -> None:
    """Stays that begin, end, are undone, put right and undone again: the rows are those of the events, and rebuilding changes nothing."""
    person = Person.objects.first() or Person.objects.make(
        "ada", "Ada Quince", "mechanic", "four plain words", None
    )
    owner = Owner.objects.create(name="Ada Merrow")
    bikes = [Bike.objects.create(tag=f"T-{Bike.objects.count()}", owner=owner, kind="road") for _ in range(3)]
    jobs: dict[int, Job] = {}
    written: list[Event] = []
    for number, (which, kind, back) in enumerate(done):
        bike = bikes[which]
        if kind == "checked in" or bike.pk not in jobs:
            jobs[bike.pk] = Job.objects.create(bike=bike, opened_at=NOW)
        corrects = written[-1 - back] if kind in (UNDONE, "put right") and back < len(written) else None
        if kind in (UNDONE, "put right") and corrects is None:
            continue
        event = Event(
            at=NOW,
            by=person,
            kind=corrects.kind if corrects and kind == "put right" else kind,
            key=f"now-{bike.pk}-{number}",
            fingerprint="",
            corrects=corrects,
            job=corrects.job if corrects else jobs[bike.pk],
            bike=corrects.bike if corrects else bike,
            said={"day": (TODAY + timedelta(days=number)).isoformat()},
        )
        # What the records themselves refuse (a second handover) is no act.
        with suppress(IntegrityError), transaction.atomic():
            event.save(force_insert=True)
            written.append(event)
    here, backs = plainly([*Event.objects.order_by("pk")])
    assert set(jobs_here().values_list("pk", flat=True)) == here
    assert dict(BikeCallBack.objects.values_list("bike_id", "event_id")) == backs
    assert now_amiss() == () and rebuild_now() == 0


@pytest.mark.django_db
def test_what_was_lost_is_written_anew() -> None:
    """Rows taken away or made up: they are named, and written anew from the events; a further time finds nothing."""
    there = story.checked_in()
    bike = there.record.bike_id
    JobHere.objects.all().delete()
    assert now_amiss() == (bike,) and not jobs_here().exists()
    assert rebuild_now() == 1 and jobs_here().get().pk == there.job
    event = Event.objects.get(kind="checked in")
    BikeCallBack.objects.create(bike_id=bike, event=event, day=TODAY, at=NOW)
    assert rebuild_now() == 1 and not BikeCallBack.objects.exists()
    assert rebuild_now() == 0


def test_every_end_of_a_stay_is_known_to_the_rows() -> None:
    """A new way in which a stay ends is one more here."""
    assert set(ENDS) == set(ENDING)
