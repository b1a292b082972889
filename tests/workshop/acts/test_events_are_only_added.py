"""What was written down stays; a correction is a new event."""

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, transaction
from django.db.utils import DatabaseError

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import CornerCheck, Event, PartDescription, Reading
from pinchbolt.records.models.event import EventRow
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.rides.note_distance import DistanceRequest, note_distance
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
from tests.story import NOW, Story, first_limit, signed_off

_TABLES = ["event", *(model._meta.model_name for model in apps.get_models() if issubclass(model, EventRow))]


def _chain(story: Story) -> tuple[int, str]:
    part = next(f.part for f in story.record.bike.fittings.filter(end__isnull=True) if f.part.kind == "chain")
    return part.pk, first_limit(story.tag, part)


def describe(story: Story) -> None:
    """The chain's pitches counted, and the front brake's corner looked at."""
    bike, (chain, _) = story.record.bike, _chain(story)
    with act("part described", by=story.first, key=story.key(), now=NOW, request={}) as this:
        PartDescription.objects.create(
            event=this.write(bike=bike), part_id=chain, facts={"chain_pitches": 114}, source="measured"
        )
    with act("corner confirmed", by=story.first, key=story.key(), now=NOW, request={}) as this:
        CornerCheck.objects.create(event=this.write(bike=bike), bike=bike, corner="front brake")


@pytest.mark.skipif(connection.vendor != "sqlite", reason="asks the list of triggers that SQLite keeps")
def test_every_table_of_events_has_its_triggers(db: None) -> None:
    """A table that is built anew by a later change of the schema would lose them without a word."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        there = {row[0] for row in cursor.fetchall()}
    wanted = {
        f"{table}_no_{change}" for table in (*_TABLES, "ride", "rideplace") for change in ("update", "delete")
    }
    assert wanted <= there


@pytest.mark.parametrize("change", ["UPDATE records_{} SET event_id = event_id", "DELETE FROM records_{}"])
def test_the_database_refuses_to_change_or_remove_what_was_written(on_the_stand: Story, change: str) -> None:
    """Every event table that holds rows refuses an UPDATE and a DELETE, whoever asks."""
    signed_off(on_the_stand)
    today = NOW.date()
    asked = DistanceRequest(today, today, 3.0, "guess", tag=on_the_stand.tag)
    note_distance(asked, by=on_the_stand.first, key=on_the_stand.key(), now=NOW)
    describe(on_the_stand)
    held = 0
    for table in _TABLES:
        with connection.cursor() as cursor:
            cursor.execute(f"SELECT count(*) FROM records_{table}")
            if not cursor.fetchone()[0]:
                continue
        held += 1
        wanted = change.replace("event_id = event_id", "id = id") if table == "event" else change
        with (
            pytest.raises((IntegrityError, DatabaseError), match="not changed or removed"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(wanted.format(table))
    assert held >= 11


def test_a_correction_names_the_reading_it_puts_right_and_the_old_one_stays(arrived: Story) -> None:
    """Both readings are kept; only the newer one counts."""
    part, limit = _chain(arrived)
    wrong = take_reading(
        ReadingRequest(arrived.job, part, limit, value=0.9, distance_km=2100),
        by=arrived.first,
        key=arrived.key(),
        now=NOW,
    )
    right = take_reading(
        ReadingRequest(arrived.job, part, limit, value=0.3, distance_km=2100, corrects=wrong.reading),
        by=arrived.second,
        key=arrived.key(),
        now=NOW,
    )
    assert Reading.objects.count() == 2
    assert Event.objects.get(pk=right.reading).corrects_id == wrong.reading
    assert list(Reading.objects.filter(event__corrected_by__isnull=True)) == [
        Reading.objects.get(pk=right.reading)
    ]
    assert right.finding.forecast is not None
    assert right.finding.forecast.present.median < 0.45, (
        "the corrected reading of 0.9 must not pull the forecast"
    )


def test_a_reading_is_corrected_once_and_then_only_its_correction(arrived: Story) -> None:
    """Two people correcting the same entry: the second is told to take the newest."""
    part, limit = _chain(arrived)
    wrong = take_reading(
        ReadingRequest(arrived.job, part, limit, value=0.9), by=arrived.first, key=arrived.key(), now=NOW
    )
    asked = ReadingRequest(arrived.job, part, limit, value=0.3, corrects=wrong.reading)
    take_reading(asked, by=arrived.first, key=arrived.key(), now=NOW)
    with pytest.raises(NotPossibleNow, match="corrected already"):
        take_reading(asked, by=arrived.second, key=arrived.key(), now=NOW)
