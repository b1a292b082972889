"""Rows of what is so now: beside any acts they say what the events say, worked out here by hand, one event after the other."""

from contextlib import suppress
from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from hypothesis import given, settings
from hypothesis import strategies as some

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import (
    ENDING,
    OFF_STAND,
    ON_STAND,
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
from pinchbolt.workshop.acts.on_stands import on_stands
from pinchbolt.workshop.acts.state import ENDS, MOVES, Where, job_state, jobs_here
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import StandRequest, put_on_stand
from tests import story
from tests.story import NOW, TODAY

KINDS = (
    "checked in", "call-back set", "handed over", "called off", "not collected", "found", "put on stand", "set aside", "moved",
)  # fmt: skip
# What happens: which bike of three, what, and on which event before it falls, counted from the newest.
DONE = some.lists(
    some.tuples(some.integers(0, 2), some.sampled_from((*KINDS, UNDONE, "put right")), some.integers(0, 6)),
    max_size=14,
)


def plainly(told: list[Event]) -> tuple[set[int], dict[int, int], dict[int, int]]:
    """Jobs that are here, the newest call-back of each bike, and who is on which stand, by going through the events in order."""
    undone = {one.corrects_id for one in told if one.kind == UNDONE}
    gone = {one.corrects_id for one in told if one.corrects_id and one.pk not in undone}
    here, backs, on = set(Job.objects.values_list("pk", flat=True)), {}, {}
    for one in told:
        if one.pk in gone:
            continue
        if one.kind in ("handed over", "called off", "not collected"):
            here.discard(one.job_id)
        elif one.kind in ("put on stand", "set aside", "moved"):
            on[one.job_id] = one.said["stand"] if one.kind == "put on stand" else None
        elif one.kind == "call-back set":
            backs[one.bike_id] = one.pk
        elif one.kind == "checked in":
            backs.pop(one.bike_id, None)
    return here, backs, {job: stand for job, stand in on.items() if job in here and stand}


@pytest.mark.django_db
@given(done=DONE)
@settings(max_examples=40)
def test_it_is_kept_by_every_act(done: list[tuple[int, str, int]]) -> None:
    """Stays that begin, end, are undone, put right and undone again, bikes on and off two stands: the rows are those of the events,
    and rebuilding changes nothing. What would make two of one is refused in words, and nothing of it is left."""
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
            with suppress(NotPossibleNow), transaction.atomic():
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
            said={"day": (TODAY + timedelta(days=number)).isoformat(), "stand": 1 + number % 2},
        )
        # What the records themselves refuse (a second handover, a second bike on a stand) is no act.
        with suppress(IntegrityError, NotPossibleNow), transaction.atomic():
            event.save(force_insert=True)
            written.append(event)
    here, backs, on = plainly([*Event.objects.order_by("pk")])
    assert set(jobs_here().values_list("pk", flat=True)) == here
    assert dict(JobHere.objects.filter(stand__isnull=False).values_list("job_id", "stand")) == on
    assert len(set(on.values())) == len(on)
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


@pytest.mark.django_db
def test_a_bike_has_one_open_stay_and_a_stand_one_bike() -> None:
    """Whoever goes past the acts is refused in words; whoever goes past these too, by the database itself."""
    there = story.checked_in()
    with pytest.raises(NotPossibleNow, match=r"PB-001 is already here\. Open its job"), transaction.atomic():
        Job.objects.create(bike=there.record.bike, opened_at=NOW)
    other = check_in(
        CheckInRequest(template="road-disc", owner_name="Mara Quist"),
        by=there.first,
        key=there.key(),
        now=NOW,
    )
    put_on_stand(StandRequest(there.job, 1), by=there.first, key=there.key(), now=NOW)
    with pytest.raises(NotPossibleNow, match=r"PB-001 is on stand 1\. Move it"):
        put_on_stand(StandRequest(other.job, 1), by=there.first, key=there.key(), now=NOW)
    person = Person.objects.get(pk=there.first)
    past_the_act = Event(
        at=NOW, by=person, kind="put on stand", key="past-the-act", fingerprint="", job_id=other.job,
        bike=Bike.objects.get(tag=other.tag), said={"stand": 1},
    )  # fmt: skip
    with pytest.raises(NotPossibleNow, match=r"PB-001 is on stand 1\."), transaction.atomic():
        past_the_act.save(force_insert=True)
    assert not Event.objects.filter(key="past-the-act").exists()
    with pytest.raises(IntegrityError), transaction.atomic():
        JobHere.objects.filter(job=other.job).update(stand=1)
    with pytest.raises(IntegrityError), transaction.atomic():
        JobHere.objects.filter(job=other.job).update(bike=there.record.bike)
    assert now_amiss() == ()


@pytest.mark.django_db
def test_a_bike_that_waits_for_its_owner_makes_room_and_is_on_the_rack_then() -> None:
    """Asked on the stand it waits there; another bike is put there, and the answer does not bring two bikes onto one stand."""
    there = story.checked_in()
    put_on_stand(StandRequest(there.job, 1), by=there.first, key=there.key(), now=NOW)
    propose(ProposeRequest(there.job, "safety-check"), by=there.first, key=there.key(), now=NOW)
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    other = check_in(
        CheckInRequest(template="road-disc", owner_name="Mara Quist"),
        by=there.first,
        key=there.key(),
        now=NOW,
    )
    put_on_stand(StandRequest(other.job, 1), by=there.first, key=there.key(), now=NOW)
    story.answered(there)
    assert job_state(there.record).where is Where.RACK
    assert [one.job for one in on_stands()] == [other.job]
    moved = Event.objects.get(kind="moved")
    assert moved.job_id == there.job and "came onto stand 1" in moved.said["words"]
    assert now_amiss() == ()


@pytest.mark.django_db
def test_records_of_before_that_name_two_keep_the_newest() -> None:
    """Two open stays of one bike and two bikes on one stand, as they could come about once: nothing is in the way of working on."""
    there = story.checked_in()
    other = check_in(
        CheckInRequest(template="road-disc", owner_name="Mara Quist"),
        by=there.first,
        key=there.key(),
        now=NOW,
    )
    put_on_stand(StandRequest(there.job, 1), by=there.first, key=there.key(), now=NOW)
    person, bike = Person.objects.get(pk=there.first), Bike.objects.get(tag=other.tag)
    Job.objects.bulk_create([Job(bike=there.record.bike, opened_at=NOW)])
    Event.objects.bulk_create(
        [Event(at=NOW, by=person, kind="put on stand", key="then-two", fingerprint="", job_id=other.job, bike=bike, said={"stand": 1})]
    )  # fmt: skip
    assert rebuild_now() == 2 and now_amiss() == ()
    newest = Job.objects.get(bike=there.record.bike, here__isnull=False)
    assert newest.pk != there.job
    assert JobHere.objects.get(stand=1).job_id == other.job
    put_on_stand(StandRequest(newest.pk, 2), by=there.first, key=there.key(), now=NOW)
    assert now_amiss() == ()


def test_every_way_off_a_stand_is_known_to_the_rows() -> None:
    """A new kind of act that moves a bike is one more here: put on its stand, taken off it, or neither."""
    leaves_it = {"priced", "answered", "part arrived", "battery gone", "reopened"}
    assert set(MOVES) == {*ENDING, *ON_STAND, *OFF_STAND, *leaves_it}


def test_every_end_of_a_stay_is_known_to_the_rows() -> None:
    """A new way in which a stay ends is one more here."""
    assert set(ENDS) == set(ENDING)
