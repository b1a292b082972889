"""A bike at each stage of its way, by the use cases alone."""

import pytest

from tests import story
from tests.story import Story


@pytest.fixture
def arrived(db: None) -> Story:
    """A gravel bike that was checked in."""
    return story.checked_in("gravel-1x")


@pytest.fixture
def asked_for(db: None) -> Story:
    """A road bike with readings taken, lines proposed and the owner asked."""
    return story.priced(story.walked_round(story.checked_in()))


@pytest.fixture
def on_the_stand(asked_for: Story) -> Story:
    """A road bike with all lines agreed and all work done."""
    return story.worked(story.answered(asked_for))
