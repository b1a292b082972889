"""Shop day: of every bike in the workshop the one thing to do next, at each stage of its way."""

from collections.abc import Callable

import pytest

from pinchbolt.workshop.leaving.shop_day import shop_day
from pinchbolt.workshop.stays.start_work import AsideRequest, StandRequest, set_aside, start_work
from tests import story
from tests.kept_stages import kept
from tests.story import NOW, Story

Stage = Callable[[], Story]


@kept
def on_stand(at: Story) -> Story:
    """Work began on stand 1."""
    start_work(StandRequest(at.job, 1), by=at.first, key=at.key(), now=NOW)
    return at


def aside_for(what: str, at: Story) -> Story:
    """Set aside for a part or for the owner."""
    set_aside(AsideRequest(at.job, what, "tray 4"), by=at.first, key=at.key(), now=NOW)
    return at


def seen() -> Story:
    """Readings taken, the owner not yet asked."""
    return story.walked_round(story.checked_in())


def asked() -> Story:
    """The owner is asked."""
    return story.priced(seen())


def agreed() -> Story:
    """Every line agreed."""
    return story.answered(asked())


STAGES: dict[str, tuple[Stage, str]] = {
    "just in": (story.checked_in, "walk-round"),
    "readings taken": (seen, "estimate"),
    "owner asked": (asked, "write down the answer"),
    "all agreed": (agreed, "start the work"),
    "on the stand": (lambda: on_stand(agreed()), "go on with the work"),
    "set aside for a part": (lambda: aside_for("part", on_stand(agreed())), "wait for the part"),
    "all work done": (lambda: story.worked(agreed()), "sign off"),
    "signed off": (lambda: story.signed_off(story.worked(agreed())), "hand over"),
}


@pytest.mark.parametrize("stage", STAGES)
def test_the_next_step_is_what_a_mechanic_would_do_next(stage: str, db: None) -> None:
    """One word each, written down before it was asked of the program."""
    make, wanted = STAGES[stage]
    at = make()
    day = shop_day(NOW)
    on_stands = [stand.job for stand in day.stands if stand.job]
    here = (*on_stands, *day.rack, *day.waiting_for_owner, *day.waiting_for_part, *day.ready)
    assert {one.job: one.next_step for one in here} == {at.job: wanted}
