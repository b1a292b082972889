"""Who comes back: by week with reason and risk, what was said of it by one tap, and no list of all that ever was."""

from datetime import date, timedelta

import pytest

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event
from pinchbolt.workshop.asking_back.due_back import DueView, due_back
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.leaving.back_said import (
    BackSaidRequest,
    BackWordRequest,
    say_of_call_back,
    take_back_word,
)
from pinchbolt.workshop.leaving.call_back import call_backs
from pinchbolt.workshop.leaving.shop_day import shop_day
from tests import story
from tests.story import NOW, TODAY, Story

pytestmark = pytest.mark.django_db
A_JOINT = tables().joints["stem-face-4"].name


def called_back(at: Story, days: int, about: str = "the next visit") -> None:
    """A call-back was set for this bike, which left once."""
    left = Event.objects.filter(job=at.record, kind="handed over").exists()
    told = {"day": (TODAY + timedelta(days=days)).isoformat(), "reason": f"in {days} days", "about": about}
    for kind, said in (*(() if left else (("handed over", {}),)), ("call-back set", told)):
        Event.objects.create(
            at=NOW, by_id=at.first, kind=kind, key=f"{kind}-{at.job}-{days}", fingerprint="", job=at.record,
            bike=at.record.bike, said=said,
        )  # fmt: skip


def gone(days: int, about: str = "the next visit") -> Story:
    """A bike that was here and is to come back in so many days."""
    at = story.checked_in("child")
    called_back(at, days, about)
    return at


def say(at: Story, what: str, day: date | None = None, later: int = 0) -> None:
    """One tap."""
    asked = BackSaidRequest(at.tag, what, day)
    say_of_call_back(asked, by=at.first, key=at.key(), now=NOW + timedelta(days=later))


def listed(later: int = 0) -> list[str]:
    """The tags that somebody is to ask."""
    return [one.tag for week in due_back(NOW + timedelta(days=later)).weeks for one in week.bikes]


def view_of(at: Story, later: int = 0) -> DueView:
    """A bike on the list, or among those that nobody asks just now."""
    seen = due_back(NOW + timedelta(days=later))
    return next(
        one for one in (*(b for week in seen.weeks for b in week.bikes), *seen.not_now) if one.tag == at.tag
    )


def test_only_what_is_due_in_these_weeks_is_listed() -> None:
    """In three days, in a year, and since a month: the first week, not at all, and now."""
    soon, late, past = gone(3), gone(365), gone(-30)
    assert set(listed()) == {soon.tag, past.tag}
    assert late.tag not in listed()
    first = due_back(NOW).weeks[0]
    assert past.tag in [one.tag for one in first.bikes]
    assert first.first.weekday() == 0


def test_the_shop_day_shows_two_weeks_of_them() -> None:
    """It is no list of all that ever was."""
    soon, late = gone(10), gone(40)
    assert [one.tag for one in shop_day(NOW).call_backs] == [soon.tag]
    assert {one.tag for one in call_backs(NOW)} == {soon.tag, late.tag}


def test_a_joint_that_can_throw_the_rider_is_in_time_and_first() -> None:
    """Its day is in a month: it is asked in a week before that day, and stands first in it."""
    calm, joint = gone(24), gone(24, A_JOINT)
    seen = due_back(NOW)
    week = next(week for week in seen.weeks if any(one.tag == joint.tag for one in week.bikes))
    assert week.first <= TODAY + timedelta(days=24)
    assert next(one for one in week.bikes if one.tag == joint.tag).safety
    assert not view_of(calm).safety


def test_rung_and_written_is_asked_again_after_two_weeks_three_times_in_all() -> None:
    """Then nobody asks any more; of a part that can throw the rider somebody does."""
    calm, joint = gone(1), gone(1, A_JOINT)
    for at in (calm, joint):
        say(at, "rung")
    assert listed() == []
    assert view_of(calm).said.words == f"rung on {TODAY.day} {TODAY:%b}"
    assert set(listed(later=15)) == {calm.tag, joint.tag}
    for later in (15, 30):
        for at in (calm, joint):
            say(at, "written", later=later)
    assert listed(later=60) == [joint.tag]
    assert "asked 3 times" in view_of(joint, later=60).said.words


def test_booked_is_off_the_list_until_the_day_and_back_if_nobody_came() -> None:
    """Booked for Monday: not asked before; who did not come is asked again."""
    at = gone(1)
    say(at, "booked", TODAY + timedelta(days=5))
    assert listed() == [] and listed(later=5) == []
    assert view_of(at).said.words.startswith("booked for ")
    assert listed(later=6) == [at.tag]
    with pytest.raises(InputRefused, match="which day"):
        say(at, "booked")
    with pytest.raises(InputRefused, match="which day"):
        say(at, "booked", TODAY - timedelta(days=1))


def test_whoever_does_not_want_to_is_not_asked_and_a_sold_bike_is_off_every_list() -> None:
    """A no is shown, so that nobody asks twice; of a sold bike nothing is said any more. A wrong tap is taken back."""
    no, sold = gone(1), gone(1)
    say(no, "does not want to")
    say(sold, "bike sold")
    assert listed(later=20) == []
    seen = due_back(NOW)
    assert [one.tag for one in seen.not_now] == [no.tag]
    assert call_backs(NOW) == ()
    word = Event.objects.filter(kind="call-back said", bike=sold.record.bike).get()
    take_back_word(BackWordRequest(word.pk), by=sold.first, key=sold.key(), now=NOW)
    assert listed() == [sold.tag]


def test_a_new_stay_begins_anew() -> None:
    """What was said of the last call-back says nothing of the next."""
    at = gone(1)
    say(at, "does not want to")
    called_back(at, 9)
    assert listed() == [at.tag]


def test_a_bike_without_a_call_back_is_no_matter_of_this_list() -> None:
    """Nothing was set: nothing is said of it."""
    at = story.checked_in("child")
    with pytest.raises(NotPossibleNow, match="No call-back is set"):
        say(at, "rung")
    with pytest.raises(InputRefused, match="no word of a call-back"):
        say(gone(1), "shouted at")
    with pytest.raises(InputRefused, match="1 to 26"):
        due_back(NOW, 27)


def test_the_monday_after_the_last_week_is_no_day_of_it() -> None:
    """Of two weeks the last day is a Sunday; whoever comes on the next Monday stands on a longer list."""
    monday = TODAY - timedelta(days=TODAY.weekday())
    sunday, next_monday = (gone((monday - TODAY).days + 14 + later) for later in (-1, 0))
    assert {one.tag for week in due_back(NOW, 2).weeks for one in week.bikes} == {sunday.tag}
    assert {one.tag for week in due_back(NOW, 3).weeks for one in week.bikes} == {sunday.tag, next_monday.tag}
