"""Bikes at the stages that have a sheet. Sheets only read, so all tests share them; what a test changes is rolled back."""

from collections.abc import Iterator

import pytest
from django.db import transaction
from pytest_django import DjangoDbBlocker

from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from tests import story
from tests.story import NOW, Story

WORDS = "carbon road bike, disc brakes"


@pytest.fixture(scope="module")
def stages(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[dict[str, Story]]:
    """Four bikes of one workshop, each at its stage."""
    with django_db_blocker.unblock(), transaction.atomic():
        asked, worked, gone, unsafe = (
            story.priced(story.walked_round(story.checked_in(bike_words=WORDS))) for _ in range(4)
        )
        story.worked(story.answered(worked, "pads-disc"))
        story.handed_over(story.signed_off(story.worked(story.answered(gone, "pads-disc"), stand=2)))
        story.answered(unsafe, "tyre-tube")
        hand_over(
            HandOverRequest(unsafe.job, acknowledged=True, as_unsafe=True),
            by=unsafe.first,
            key=unsafe.key(),
            now=NOW,
        )
        yield {"asked": asked, "worked": worked, "gone": gone, "unsafe": unsafe}
        transaction.set_rollback(True)


@pytest.fixture
def asked_for(stages: dict[str, Story], db: None) -> Story:
    """A carbon road bike, walked round, its owner asked."""
    return stages["asked"]


@pytest.fixture
def worked(stages: dict[str, Story], db: None) -> Story:
    """A bike whose pads were declined and whose other work is done."""
    return stages["worked"]


@pytest.fixture
def gone(stages: dict[str, Story], db: None) -> Story:
    """A bike whose pads were declined, the rest done, signed off and handed over."""
    return stages["gone"]


@pytest.fixture
def left_unsafe(stages: dict[str, Story], db: None) -> Story:
    """A bike whose cut tyre was declined: it left carried."""
    return stages["unsafe"]
