"""What may be there once is once in the database itself, whoever writes: one tag, one mark, one standing handover and correction."""

from dataclasses import replace

import pytest
from django.db import IntegrityError, transaction

from pinchbolt.records.models import UNDONE, Bike, Event
from tests import story
from tests.story import NOW, Story

pytestmark = pytest.mark.django_db


def written(kind: str, story: Story, key: str, corrects: Event | None = None) -> Event:
    """An event that no act of ours wrote."""
    return Event.objects.create(
        at=NOW,
        by_id=story.first,
        kind=kind,
        key=key,
        fingerprint="",
        job_id=story.job,
        corrects=corrects,
        said={},
    )


def is_refused(kind: str, story: Story, key: str, corrects: Event | None = None) -> bool:
    """Whether the database refuses it."""
    try:
        with transaction.atomic():
            written(kind, story, key, corrects)
    except IntegrityError:
        return True
    return False


def test_a_job_is_handed_over_once_until_that_is_undone() -> None:
    """A second one is refused; after an undo there may be another, once again."""
    told = story.checked_in()
    gone = written("handed over", told, "gone-0001")
    assert is_refused("handed over", told, "gone-0002")
    written(UNDONE, told, "back-0001", corrects=gone)
    assert not is_refused("handed over", told, "gone-0003")
    assert is_refused("handed over", told, "gone-0004")
    assert not is_refused("handed over", replace(told, job=story.checked_in().job), "gone-0005")


@pytest.mark.parametrize("kind", ["reading taken", "done value", "display read"])
def test_an_entry_has_one_standing_correction(kind: str) -> None:
    """Two people at once can't put it right twice; a correction that was undone counts no more."""
    told = story.checked_in()
    first = written(kind, told, "first-0001")
    second = written(kind, told, "right-0001", corrects=first)
    assert is_refused(kind, told, "right-0002", corrects=first)
    assert not is_refused(kind, told, "right-0003", corrects=second)
    other = written(kind, told, "first-0002")
    assert not is_refused(kind, told, "right-0004", corrects=other)
    written(UNDONE, told, "back-0001", corrects=Event.objects.get(key="right-0004"))
    assert not is_refused(kind, told, "right-0005", corrects=other)


def test_a_mark_and_a_tag_are_there_once() -> None:
    """By an index each."""
    told = story.checked_in()
    written("found", told, "the-same-mark")
    assert is_refused("found", told, "the-same-mark")
    with pytest.raises(IntegrityError), transaction.atomic():
        bike = Bike.objects.get(tag=told.tag)
        bike.pk = None
        bike.save(force_insert=True)
