"""Days with their odds, from what the book holds: promises, parts, hours, jobs that grew."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from time import process_time

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event, Job, Workshop
from pinchbolt.workshop.acts.describe_shop import ClosedRequest, close_days
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.came_up.move_bike import SwollenRequest, find_swollen
from pinchbolt.workshop.day._taught import queue_met
from pinchbolt.workshop.day.day_board import day_board
from pinchbolt.workshop.day.days_told import days_for_job, days_for_new, full_words, promises_now, to_call
from pinchbolt.workshop.day.hours_in import (
    DaysOffRequest,
    HoursRequest,
    OddsRequest,
    be_away,
    hands_ahead,
    hours_told,
    promise_percent,
    set_hours,
    set_odds,
)
from pinchbolt.workshop.parts.wanted import ORDERED, WantedMoveRequest, WantRequest, move_wanted, want_part
from pinchbolt.workshop.settings.take_back import TakeBackRequest, take_back
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.promise import PromiseRequest, promise, promise_of, promises_before
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import (
    LineDoneRequest,
    StandRequest,
    finish_line,
    put_on_stand,
    start_work,
)
from tests import story
from tests.full_shop import WORDS, fill
from tests.story import NOW, TODAY, Story

pytestmark = pytest.mark.django_db
FRIDAY = timezone.make_aware(datetime(2026, 11, 27, 14))
WEEK = dict.fromkeys(("Tue", "Wed", "Thu", "Fri", "Sat"), ("09:00", "17:30"))


def owned(at: Story) -> Story:
    """The first person owns the workshop."""
    from pinchbolt.records.models import Person, Role

    Person.objects.filter(pk=at.first).update(role=Role.OWNER)
    return at


def open_on(days: dict[str, tuple[str, str]]) -> None:
    """The shop's week."""
    Workshop.objects.update(open_days=days)


def test_three_days_stand_in_words_with_the_shops_odds_first():
    """Wednesday at ten, one bike here: a usual bike is ready today or tomorrow, and the first day said is at 8 in 10 or better."""
    at = story.checked_in()
    told = days_for_new("usual", NOW)
    assert told.best is not None and told.days[0] == told.best and told.best.odds >= 0.8
    assert told.best.words.endswith(("8 in 10", "9 in 10", "nearly sure"))
    assert timezone.localtime(told.best.at).date() <= TODAY + timedelta(days=1)
    assert any("no job is done here yet" in reason.words for reason in told.why)
    assert any("No job is done by this book yet" in doubt for doubt in told.doubts)
    assert days_for_job(at.job, NOW).best is not None


def test_a_small_job_is_never_later_than_a_big_one():
    """Of three sizes the days do not come sooner as the work grows."""
    story.checked_in()
    days = [
        told.best.at
        for size in ("small", "usual", "big")
        if (told := days_for_new(size, NOW)).best is not None
    ]
    assert len(days) == 3 and days == sorted(days)
    with pytest.raises(InputRefused, match="small, usual, big"):
        days_for_new("huge", NOW)


def test_no_day_is_told_on_which_the_shop_is_closed():
    """Open Tuesday to Saturday, closed on Thursday for a fair: no answer falls on Thursday, Sunday or Monday."""
    at = owned(story.checked_in())
    open_on(WEEK)
    close_days(
        ClosedRequest(date(2026, 11, 26), date(2026, 11, 26), "fair"), by=at.first, key=at.key(), now=NOW
    )
    told = days_for_new("big", NOW)
    assert all(timezone.localtime(day.at).weekday() in (1, 2, 4, 5) for day in told.days)


@pytest.mark.parametrize("closed", [date(2026, 11, 26), date(2026, 11, 29)])
def test_nothing_is_promised_for_a_closed_day(closed: date):
    """At check-in and later: a Sunday, and a Thursday that was closed for a fair, are refused with the next open day named."""
    at = owned(story.checked_in())
    open_on(WEEK)
    close_days(
        ClosedRequest(date(2026, 11, 26), date(2026, 11, 26), "fair"), by=at.first, key=at.key(), now=NOW
    )
    moment = timezone.make_aware(timezone.datetime(closed.year, closed.month, closed.day, 17))
    with pytest.raises(InputRefused, match="is closed"):
        promise(PromiseRequest(at.job, moment, "more work"), by=at.first, key=at.key(), now=NOW)
    with pytest.raises(InputRefused, match="is closed"):
        check_in(
            CheckInRequest(template="track", owner_name="Ada", promise=moment),
            by=at.first,
            key=at.key(),
            now=NOW,
        )


def test_the_odds_that_were_told_stay_with_their_promise():
    """A new promise has its own odds, the old one keeps its own; odds out of sense are refused."""
    at = story.checked_in()
    taken = check_in(
        CheckInRequest(
            template="track", owner_name="Ada", promise=NOW + timedelta(hours=5), promise_odds=0.86
        ),
        by=at.first,
        key=at.key(),
        now=NOW,
    )
    job = Job.objects.get(pk=taken.job)
    assert promise_of(job).odds == 0.86
    later = PromiseRequest(job.pk, NOW + timedelta(days=1), "more work", "by phone", 0.91)
    assert promise(later, by=at.first, key=at.key(), now=NOW).odds == 0.91
    assert [one.odds for one in promises_before(job)] == [0.86]
    with pytest.raises(InputRefused, match="odds of the promise"):
        promise(replace(later, odds=1.2), by=at.first, key=at.key(), now=NOW)


def test_a_part_on_order_carries_the_promise_with_it_and_names_whom_to_ring():
    """Promised for Friday, the part is due on Tuesday: no odds, listed, ring the supplier, and the text names both days."""
    at = story.answered(story.priced(story.walked_round(story.checked_in())))
    wanted = want_part(WantRequest("rotor 160", job=at.job), by=at.first, key=at.key(), now=NOW)
    assert any("rotor 160 is not ordered" in doubt for doubt in days_for_job(at.job, NOW).doubts)
    due = TODAY + timedelta(days=6)
    move_wanted(
        WantedMoveRequest(wanted, ORDERED, supplier="Northern Spares", due=due),
        by=at.first,
        key=at.key(),
        now=NOW,
    )
    listed = to_call(NOW)
    assert [one.tag for one in listed] == [at.tag] and listed[0].odds == 0
    assert "Ring Northern Spares" in listed[0].call and "rotor 160" in listed[0].call
    assert "Friday 27 November" in listed[0].text and "December" in listed[0].text
    assert days_for_job(at.job, NOW).best.at.date() >= due  # type: ignore[union-attr]
    board = day_board(NOW)
    assert [one.tag for one in board.for_part] == [at.tag] and board.next_up == ()


def bled_on_friday() -> Story:
    """A bleed and a safety check agreed; on Friday at three the bleed is done: it wants a night."""
    at = story.checked_in()
    for operation, place in (("bleed", "front"), ("safety-check", "")):
        propose(ProposeRequest(at.job, operation, place=place), by=at.first, key=at.key(), now=NOW)
    ask_owner(PriceRequest(at.job), by=at.first, key=at.key(), now=NOW)
    story.answered(at)
    open_on(WEEK)
    start_work(StandRequest(at.job, 1), by=at.first, key=at.key(), now=FRIDAY)
    done(at, "bleed")
    return at


def done(at: Story, operation: str) -> None:
    """One line is done on Friday at three."""
    line = at.record.lines.get(operation=operation)
    finish_line(LineDoneRequest(at.job, line.pk), by=at.first, key=at.key(), now=FRIDAY + timedelta(hours=1))


def test_work_that_goes_on_shortens_no_night_of_what_was_done():
    """The check can be done this afternoon, the bleed is looked at tomorrow: no day before Saturday, though all its open work is short."""
    at = bled_on_friday()
    told = days_for_job(at.job, FRIDAY + timedelta(hours=1))
    assert told.best is not None and timezone.localtime(told.best.at).date() == date(2026, 11, 28)
    assert all(timezone.localtime(one.at).date() >= date(2026, 11, 28) for one in told.days)
    assert any("cures or settles" in reason.words for reason in told.why)


def test_what_cures_over_friday_night_is_ready_on_saturday_asked_in_the_evening_too():
    """All done on Friday, asked after closing: Saturday, not the night after it and so Tuesday; it is in the lane of what cures."""
    at = bled_on_friday()
    done(at, "safety-check")
    evening = FRIDAY + timedelta(hours=5)
    assert [one.tag for one in day_board(evening).curing] == [at.tag]
    told = days_for_job(at.job, evening)
    assert told.best is not None and timezone.localtime(told.best.at).date() == date(2026, 11, 28)


def test_a_bike_on_a_stand_is_not_offered_to_a_free_one():
    """The one on the rack is next on a stand; the one that is worked on is not, however soon its turn comes."""
    at = story.checked_in()
    other = story.checked_in("gravel-1x")
    open_on(WEEK)
    put_on_stand(StandRequest(at.job, 1), by=at.first, key=at.key(), now=NOW)
    board = day_board(NOW)
    assert 1 not in board.free_stands
    assert [one.tag for one in board.next_up] == [other.tag]


def test_a_swollen_battery_has_no_day():
    """Nobody works on it and nobody knows until when: refused with the reason, no odds, not next, and the call says so."""
    at = story.checked_in()
    find_swollen(SwollenRequest(at.job, "bulges"), by=at.first, key=at.key(), now=NOW)
    with pytest.raises(NotPossibleNow, match="swollen battery"):
        days_for_job(at.job, NOW)
    board = day_board(NOW)
    assert board.next_up == () and [one.odds for one in board.promises] == [0.0]
    assert "swollen" in board.to_call[0].call


def test_a_shop_that_is_closed_for_months_tells_no_day_and_says_so():
    """Closed for ten weeks, and a shop that is open with its only people away: no day, in words, and the board still stands."""
    at = owned(story.checked_in())
    end = TODAY + timedelta(days=70)
    for sign_in in [one.sign_in for one in hours_told(TODAY)]:
        be_away(DaysOffRequest(sign_in, TODAY, end), by=at.first, key=at.key(), now=NOW)
    told = days_for_new("usual", NOW)
    assert (
        told.best is None
        and told.days == ()
        and told.cannot
        and any("Nobody is in" in reason.words for reason in told.why)
    )
    assert day_board(NOW).week == ()
    close_days(ClosedRequest(TODAY, end, "winter"), by=at.first, key=at.key(), now=NOW)
    for asked in (lambda: days_for_new("usual", NOW), lambda: days_for_job(at.job, NOW)):
        with pytest.raises(NotPossibleNow, match="open on none of the next 45 days"):
            asked()
    board = day_board(NOW)
    assert [one.tag for one in board.to_call] == [at.tag] and {one.hours for one in board.people} == {""}


def test_what_is_written_to_the_owner_names_the_hour_and_does_not_promise_the_past():
    """Late by some hours of the same day, and asked after the hour has gone by."""
    at = story.checked_in()
    hour = timezone.localtime(NOW + timedelta(hours=1)).replace(minute=0)
    promise(PromiseRequest(at.job, hour, "more work"), by=at.first, key=at.key(), now=NOW)
    soon, late = (to_call(now)[0].text for now in (NOW, NOW + timedelta(hours=3)))
    assert f"will not be ready on Wednesday 25 November, {hour:%H:%M} as promised" in soon
    assert "was not ready on Wednesday 25 November" in late
    for text in (soon, late):
        new = text.partition("It will be ready by ")[2]
        assert new.endswith(":00. Sorry.") and f"25 November, {hour:%H:%M}" not in new, text


def test_a_line_added_after_the_owner_was_asked_has_grown_the_job():
    """The promise is asked anew, and says why."""
    at = story.answered(story.priced(story.walked_round(story.checked_in())))
    assert promises_now(NOW)[0].has_grown == ""
    later = NOW + timedelta(hours=1)
    propose(ProposeRequest(at.job, "bottom-bracket"), by=at.first, key=at.key(), now=later)
    assert "work was added" in promises_now(later)[0].has_grown


def test_a_bike_past_nine_in_ten_of_its_time_has_grown():
    """A safety check begun two days ago and still on the stand."""
    story.on_a_stand()
    assert promises_now(NOW + timedelta(minutes=20))[0].has_grown == ""
    late = promises_now(NOW + timedelta(days=1, hours=5))[0]
    assert "longer than nine of ten" in late.has_grown


def test_a_person_who_is_away_or_leaves_the_work_to_others_does_none_of_it():
    """Own week, days off, work left to others: each counts at once, and each can be taken back."""
    at = owned(story.checked_in())
    open_on(WEEK)
    sign_in = hours_told(TODAY)[1].sign_in
    set_hours(
        HoursRequest(sign_in, {"Sat": ("09:00", "13:00")}, ("bleed",)), by=at.first, key=at.key(), now=NOW
    )
    be_away(
        DaysOffRequest(sign_in, TODAY + timedelta(days=3), TODAY + timedelta(days=3), "fair"),
        by=at.first,
        key=at.key(),
        now=NOW,
    )
    hands = hands_ahead(TODAY)[1]
    assert [n for n, day in enumerate(hands.days[:14]) if day is not None] == [10]
    assert hands.lacks == {"bleed"} and hands.days[10] == (540, 780)
    away = Event.objects.get(kind="person away")
    take_back(TakeBackRequest(away.pk), by=at.first, key=at.key(), now=NOW)
    with one_look():
        assert hands_ahead(TODAY)[1].days[3] == (540, 780)
    with pytest.raises(InputRefused, match="no operation of the menu"):
        set_hours(HoursRequest(sign_in, {}, ("flying",)), by=at.first, key=at.key(), now=NOW)


def test_the_odds_of_the_shop_are_its_own_to_set():
    """From 8 in 10 to 9 in 10, and back with one tap; nothing between."""
    at = owned(story.checked_in())
    assert promise_percent() == 80
    set_odds(OddsRequest(90), by=at.first, key=at.key(), now=NOW)
    assert promise_percent() == 90
    assert all(told.best.odds >= 0.9 for size in ("small", "big") if (told := days_for_new(size, NOW)).best)
    take_back(
        TakeBackRequest(Event.objects.get(kind="promise odds set").pk), by=at.first, key=at.key(), now=NOW
    )
    assert promise_percent() == 80
    with pytest.raises(InputRefused, match="choose one of 50, 60, 70, 80, 90, 95"):
        set_odds(OddsRequest(99), by=at.first, key=at.key(), now=NOW)


def test_a_bike_that_came_is_known_by_the_queue_that_it_met():
    """Nothing here, then one unbegun, then two; once work on the first is begun it stands in nobody's way."""
    at = story.answered(story.priced(story.walked_round(story.checked_in())))
    for n in range(2):
        asked = CheckInRequest(template="track", owner_name=f"Owner {n}", another_person=True)
        check_in(asked, by=at.first, key=f"queue-{n:05d}", now=NOW + timedelta(hours=n + 1))
    jobs = list(Job.objects.order_by("opened_at"))
    usual = {jobs[0].pk: 60.0, jobs[1].pk: 30.0}
    assert [queue_met(jobs, usual)[job.pk] for job in jobs] == [0.0, 60.0, 90.0]
    start_work(StandRequest(at.job, 1), by=at.first, key=at.key(), now=NOW + timedelta(minutes=90))
    assert [queue_met(jobs, usual)[job.pk] for job in jobs] == [0.0, 60.0, 30.0]
    # Of the one whose work nobody read, the others' mean.
    assert queue_met(jobs, {jobs[0].pk: 60.0})[jobs[2].pk] == 60.0


def test_a_shop_that_is_full_says_to_take_no_more_in():
    """Open today and tomorrow, then closed for all the days looked at; bikes for both days stand here. A part is no full shop."""
    at = owned(story.checked_in())
    close_days(
        ClosedRequest(TODAY + timedelta(days=2), TODAY + timedelta(days=60), "works"),
        by=at.first,
        key=at.key(),
        now=NOW,
    )
    for n in range(13):
        promised = timezone.make_aware(datetime(2026, 11, 25 + n // 7, 17))
        asked = CheckInRequest(
            template="track", owner_name=f"Owner {n}", promise=promised, another_person=True
        )
        check_in(asked, by=at.first, key=f"full-{n:06d}", now=NOW)
    told = days_for_new("big", NOW)
    assert told.best is None and told.is_full and told.later is None
    assert (
        told.cannot
        == "The work here fills all the days up to Thu 26 Nov. Take no more in; ask again tomorrow."
    )
    assert told.cannot in told.doubts
    assert day_board(NOW).full == full_words(NOW)


def test_a_full_shop_names_the_day_that_holds_if_nothing_is_promised_sooner(monkeypatch: pytest.MonkeyPatch):
    """What the engine finds is said with both ways out, on the day ahead too; a shop that is not full says nothing."""
    story.checked_in()
    assert days_for_new("usual", NOW).cannot == "" and day_board(NOW).full == ""
    fill(monkeypatch)
    told = days_for_new("usual", NOW)
    assert told.later is not None and told.later.odds == 0.91
    assert told.cannot == WORDS and day_board(NOW).full == WORDS


def test_a_job_that_is_ready_is_promised_nothing():
    """Signed off: no day for it any more, and it stands in nobody's plan."""
    done = story.signed_off(
        story.worked(story.answered(story.priced(story.walked_round(story.checked_in()))))
    )
    with pytest.raises(NotPossibleNow, match="ready or gone"):
        days_for_job(done.job, NOW)
    assert promises_now(NOW) == () and day_board(NOW).week == ()


def test_forty_open_bikes_are_answered_while_talking():
    """Under 400 ms of processor time, the records read and the odds found, in no more than 30 questions to them."""
    at = story.checked_in()
    for n in range(39):
        asked = CheckInRequest(
            template="track",
            owner_name=f"Owner {n}",
            promise=NOW + timedelta(days=1 + n % 6),
            another_person=True,
        )
        check_in(asked, by=at.first, key=f"many-{n:06d}", now=NOW)
    days_for_new("usual", NOW)
    spent = []
    for _ in range(3):
        before = process_time()
        with one_look(), CaptureQueriesContext(connection) as asked_of_records:
            days_for_new("usual", NOW)
        spent.append(process_time() - before)
    assert min(spent) < 0.4, spent
    assert len(asked_of_records) <= 30


def test_whoever_waits_is_told_an_hour_of_today():
    """Ten in the morning: small work is promised for a whole hour of today, from noon on in steps of two hours."""
    story.checked_in()
    told = days_for_new("small", NOW)
    assert told.best is not None
    at = timezone.localtime(told.best.at)
    assert at.date() == TODAY and at.hour in (12, 14, 16, 17) and at.minute == 0
