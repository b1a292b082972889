"""What was written down stays; a correction is a new event."""

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.utils import DatabaseError

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Event, Reading
from pinchbolt.workshop.note_distance import DistanceAsked, note_distance
from pinchbolt.workshop.take_reading import ReadingAsked, take_reading
from tests.story import NOW, Story, signed_off

_TABLES = [
    "event", "distance", "marking", "reading", "finding", "line", "answer", "donevalue", "listcheck", "instrumentcheck", "toolcheck",
    "bolt", "roundtick",
]  # fmt: skip


def _chain(story: Story) -> tuple[int, str]:
    part = next(f.part for f in story.record.bike.fittings.all() if f.part.kind == "chain")
    return part.pk, part.limits[0]


@pytest.mark.parametrize("act", ["UPDATE records_{} SET event_id = event_id", "DELETE FROM records_{}"])
def test_the_database_refuses_to_change_or_remove_what_was_written(on_the_stand: Story, act: str) -> None:
    """Every event table that holds rows refuses an UPDATE and a DELETE, whoever asks."""
    signed_off(on_the_stand)
    today = NOW.date()
    asked = DistanceAsked(today, today, 3.0, "guess", tag=on_the_stand.tag)
    note_distance(asked, by=on_the_stand.first, key=on_the_stand.key(), now=NOW)
    held = 0
    for table in _TABLES:
        with connection.cursor() as cursor:
            cursor.execute(f"SELECT count(*) FROM records_{table}")
            if not cursor.fetchone()[0]:
                continue
        held += 1
        wanted = act.replace("event_id = event_id", "id = id") if table == "event" else act
        with (
            pytest.raises((IntegrityError, DatabaseError), match="not changed or removed"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(wanted.format(table))
    assert held >= 9


def test_a_correction_names_the_reading_it_puts_right_and_the_old_one_stays(arrived: Story) -> None:
    """Both readings are kept; only the newer one counts."""
    part, limit = _chain(arrived)
    wrong = take_reading(
        ReadingAsked(arrived.job, part, limit, value=0.9, distance_km=2100),
        by=arrived.first,
        key=arrived.key(),
        now=NOW,
    )
    right = take_reading(
        ReadingAsked(arrived.job, part, limit, value=0.3, distance_km=2100, corrects=wrong.reading),
        by=arrived.second,
        key=arrived.key(),
        now=NOW,
    )
    assert Reading.objects.count() == 2
    assert Event.objects.get(pk=right.reading).corrects_id == wrong.reading
    assert list(Reading.objects.filter(event__corrected_by__isnull=True)) == [
        Reading.objects.get(pk=right.reading)
    ]
    present = right.finding.forecast["present"]["median"]
    assert present < 0.45, "the corrected reading of 0.9 must not pull the forecast"


def test_a_reading_is_corrected_once_and_then_only_its_correction(arrived: Story) -> None:
    """Two people correcting the same entry: the second is told to take the newest."""
    part, limit = _chain(arrived)
    wrong = take_reading(
        ReadingAsked(arrived.job, part, limit, value=0.9), by=arrived.first, key=arrived.key(), now=NOW
    )
    asked = ReadingAsked(arrived.job, part, limit, value=0.3, corrects=wrong.reading)
    take_reading(asked, by=arrived.first, key=arrived.key(), now=NOW)
    with pytest.raises(NotPossibleNow, match="corrected already"):
        take_reading(asked, by=arrived.second, key=arrived.key(), now=NOW)
