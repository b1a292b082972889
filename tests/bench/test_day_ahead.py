"""The day ahead on a tablet: days with odds at the counter, the promise that keeps them, whom to call, the calendars."""

import re
from datetime import timedelta

import icalendar
import pytest
from django.test import Client

from pinchbolt.records.models import Event, Job, Person, Role
from pinchbolt.workshop.acts.describe_shop import ClosedRequest, close_days
from pinchbolt.workshop.day.calendar import feed_mark
from pinchbolt.workshop.day.day_board import day_board
from pinchbolt.workshop.day.hours_in import DaysOffRequest, be_away
from pinchbolt.workshop.parts.wanted import ORDERED, WantedMoveRequest, WantRequest, move_wanted, want_part
from pinchbolt.workshop.stays.promise import promise_of
from tests import story
from tests.bench.conftest import Cast
from tests.full_shop import WORDS, fill
from tests.story import NOW, TODAY

pytestmark = pytest.mark.django_db


def days_on(page: str) -> list[str]:
    """The days as the form sends them."""
    return [one for one in re.findall(r'name="promise_day" value="([^"]*)"', page) if one]


def test_the_counter_sees_three_days_and_the_check_in_keeps_the_one_that_is_tapped(
    cast: Cast, tablet: Client
):
    """The piece of page that the check-in fetches: days in words; the tapped one is the promise, with its odds."""
    page = tablet.get("/check-in/days/", {"size": "small"}).content.decode()
    assert "in 10" in page or "nearly sure" in page
    told = days_on(page)[0]
    sent = {
        "template": "track",
        "owner_name": "Ada Fenwick",
        "promise_day": told,
        "promise_hour": "17:00",
        "key": "check-in-day-1",
    }
    assert tablet.post("/check-in/", sent).status_code == 303
    job = Job.objects.order_by("-pk")[0]
    kept = promise_of(job)
    assert kept.odds == float(told.split()[1]) and kept.at is not None and f"{kept.at:%Y-%m-%d}" == told[:10]


def test_a_full_shop_says_to_take_no_more_in(cast: Cast, tablet: Client, monkeypatch: pytest.MonkeyPatch):
    """At the counter and on the day ahead, in one sentence each; while there is room neither says it."""
    pages = ("/check-in/days/", "/day/")

    def seen() -> list[str]:
        answers = [tablet.get(one) for one in pages]
        assert [one.status_code for one in answers] == [200, 200]
        return [one.content.decode() for one in answers]

    assert not any("Take no more in" in page for page in seen())
    fill(monkeypatch)
    assert all(f'<p class="doubt">{WORDS}</p>' in page for page in seen())


def test_a_day_that_was_made_up_is_refused_with_every_entry_kept(cast: Cast, tablet: Client):
    """What can't be read is no promise; the form comes back."""
    sent = {"template": "track", "owner_name": "Ada Fenwick", "promise_day": "soon", "key": "check-in-day-2"}
    answer = tablet.post("/check-in/", sent)
    assert answer.status_code == 422 and "Pick a day and an hour" in answer.content.decode()
    assert "Ada Fenwick" in answer.content.decode()
    assert tablet.get("/check-in/days/", {"size": "huge"}).status_code == 422


def test_a_day_that_was_tapped_stays_tapped_when_something_else_is_refused(cast: Cast, tablet: Client):
    """The form comes back for another field: it fetches the days with the one that was tapped, and there it is, still tapped."""
    told = days_on(tablet.get("/check-in/days/", {"size": "big"}).content.decode())[-1]
    sent = {
        "template": "track",
        "owner_name": "Ada Fenwick",
        "promise_day": told,
        "km_a_week": "many",
        "key": "check-in-day-3",
    }
    answer = tablet.post("/check-in/", sent)
    assert answer.status_code == 422
    fetched = re.search(r'hx-get="(/check-in/days/[^"]*)"', answer.content.decode())
    assert fetched is not None
    piece = tablet.get(fetched[1].replace("&amp;", "&")).content.decode()
    assert piece.count(f'value="{told}" checked') == 1 and piece.count(" checked") == 1
    # Days with odds and without are one choice: the last tap counts.
    assert 'name="promise_day"' in piece and "promise_told" not in piece


def test_where_no_day_can_be_told_the_page_says_so_and_a_day_can_still_be_chosen(cast: Cast, tablet: Client):
    """Everybody away, then closed for ten weeks: in words on the piece, and the doors of check-in and of a new promise are open."""
    end = TODAY + timedelta(days=70)
    for person in Person.objects.all():
        away = DaysOffRequest(person.sign_in, TODAY, end)
        be_away(away, by=cast.mechanic.pk, key=f"away-{person.pk:06d}", now=NOW)
    piece = tablet.get("/check-in/days/").content.decode()
    assert "no day to offer" in piece and piece.index("No day of the next weeks") < piece.index("<details>")
    assert tablet.get("/day/").status_code == 200
    close_days(ClosedRequest(TODAY, end, "winter"), by=cast.mechanic.pk, key="winter-0001", now=NOW)
    piece = tablet.get("/check-in/days/", headers={"HX-Request": "true"}).content.decode()
    assert "open on none of the next" in piece and "<html" not in piece and 'id="days-told"' in piece
    assert tablet.get("/check-in/?template=track").status_code == 200
    assert tablet.get(f"/job/{cast.job}/came-up/promise/").status_code == 200
    assert tablet.get("/day/").status_code == 200


def test_the_addresses_of_the_calendars_can_be_changed(cast: Cast, tablet: Client, client: Client):
    """The owner of the workshop asks for new ones: the old address opens nothing, the page shows the new one; a mechanic may not."""
    old = f"/calendar/shop/{feed_mark('shop')}.ics"
    sent = {"words": "a tablet was lost", "key": "addresses-0001", "seen": ""}
    assert tablet.post("/settings/days/calendars/", sent).status_code == 403
    Person.objects.filter(pk=cast.mechanic.pk).update(role=Role.OWNER)
    assert "new addresses for all calendars" in tablet.get("/settings/days/").content.decode()
    assert tablet.post("/settings/days/calendars/", sent).status_code == 303
    new = f"/calendar/shop/{feed_mark('shop')}.ics"
    assert client.get(old).status_code == 404 and client.get(new).status_code == 200
    assert new in tablet.get("/day/").content.decode()
    assert "calendar addresses changed, a tablet was lost" in tablet.get("/settings/days/").content.decode()


def test_the_page_of_the_day_names_whom_to_call_and_leads_to_a_new_day(cast: Cast, tablet: Client):
    """A part due after the promise: under 6 in 10, the supplier to ring, the words to send; the new promise keeps its odds and the old one."""
    at = story.answered(story.priced(story.walked_round(cast.story)))
    wanted = want_part(WantRequest("rotor 160", job=at.job), by=at.first, key=at.key(), now=NOW)
    move = WantedMoveRequest(wanted, ORDERED, supplier="Northern Spares", due=TODAY + timedelta(days=6))
    move_wanted(move, by=at.first, key=at.key(), now=NOW)
    page = tablet.get("/day/").content.decode()
    assert "Ring Northern Spares" in page and "will not be ready on Friday 27 November" in page
    door = f"/job/{at.job}/came-up/promise/"
    form = tablet.get(door).content.decode()
    told = re.search(r'name="with_odds" value="([^"]+)"', form) or re.search(
        r'value="([^"]+)"[^>]*name="with_odds"', form
    )
    assert told is not None
    sent = {"with_odds": told[1], "why": "waits for a part", "told": "by phone", "key": "new-day-01"}
    assert tablet.post(door, sent).status_code == 303
    kept = promise_of(at.record)
    assert (
        kept.odds == float(told[1].split()[1])
        and kept.at is not None
        and kept.at.date() >= TODAY + timedelta(days=6)
    )
    assert Event.objects.filter(kind="promised").count() == 1 and Job.objects.get(
        pk=at.job
    ).promise == NOW + timedelta(days=2)
    assert "Ring Northern Spares" not in tablet.get("/day/").content.decode()


def test_each_free_stand_is_offered_another_bike(cast: Cast, tablet: Client):
    """Two bikes wait on the rack: the first free stand gets the one, the next the other, those behind a new bike."""
    story.checked_in("gravel-1x")
    board = day_board(NOW)
    assert len(board.next_up) == 2 < len(board.free_stands)
    page = tablet.get("/day/").content.decode()
    offered = re.findall(r"stand (\d+) is free: ([^<]*)</a>", page)
    first, second, *others = board.free_stands
    assert offered[:2] == [(str(first), board.next_up[0].tag), (str(second), board.next_up[1].tag)]
    assert [words for _, words in offered[2:]] == ["check a bike in"] * len(others)


def test_a_calendar_is_read_without_signing_in_and_tells_nobodys_name(cast: Cast, client: Client):
    """By its own address alone: promises with tags; a wrong mark, or one of another feed, opens nothing."""
    address = f"/calendar/shop/{feed_mark('shop')}.ics"
    answer = client.get(address)
    assert answer.status_code == 200 and answer["Content-Type"].startswith("text/calendar")
    text = answer.content.decode()
    events = icalendar.Calendar.from_ical(text).walk("VEVENT")
    assert [str(one["SUMMARY"]) for one in events] == [f"{cast.tag} promised"]
    assert events[0].decoded("DTEND") == NOW + timedelta(days=2)
    assert "Dov" not in text and "960123" not in text
    person = Person.objects.get(pk=cast.story.first).sign_in
    assert client.get(f"/calendar/{person}/{feed_mark(person)}.ics").status_code == 200
    for whose, mark in (("shop", "x" * 43), (person, feed_mark("shop")), ("nobody", feed_mark("nobody"))):
        assert client.get(f"/calendar/{whose}/{mark}.ics").status_code == 404


def test_hours_days_off_and_odds_are_set_on_the_page_of_days(cast: Cast, tablet: Client):
    """The owner of the workshop sets them, each is on the page at once, a wrong one comes back with its entries."""
    Person.objects.filter(pk=cast.mechanic.pk).update(role=Role.OWNER)
    sign_in = cast.second.sign_in
    sent = {
        "sign_in": sign_in,
        "open_Sat": "yes",
        "opens_Sat": "09:00",
        "closes_Sat": "13:00",
        "leaves": "bleed",
        "key": "hours-000001",
        "seen": "",
    }
    assert tablet.post("/settings/days/hours/", sent).status_code == 303
    page = tablet.get("/settings/days/").content.decode()
    assert "Sat 09:00 to 13:00" in page and "leaves to others: bleed" in page
    away = {
        "sign_in": sign_in,
        "first": "2026-12-01",
        "last": "",
        "words": "fair",
        "key": "away-000001",
        "seen": "",
    }
    assert tablet.post("/settings/days/away/", away).status_code == 303
    assert "away" in tablet.get("/settings/days/").content.decode()
    assert (
        tablet.post("/settings/days/odds/", {"percent": "90", "key": "odds-000001", "seen": ""}).status_code
        == 303
    )
    assert "We promise what holds: 9 in 10" in tablet.get("/day/").content.decode()
    wrong = {
        "sign_in": sign_in,
        "open_Mon": "yes",
        "opens_Mon": "17:00",
        "closes_Mon": "09:00",
        "leaves": "",
        "key": "hours-000002",
        "seen": "",
    }
    answer = tablet.post("/settings/days/hours/", wrong)
    assert answer.status_code == 422 and "17:00" in answer.content.decode()


def test_a_person_without_any_day_is_not_taken_to_be_in_every_day(cast: Cast, tablet: Client):
    """All days unticked, and not as the shop is open: refused with what to do, nobody's week changes."""
    Person.objects.filter(pk=cast.mechanic.pk).update(role=Role.OWNER)
    sent = {"sign_in": cast.second.sign_in, "leaves": "", "key": "hours-000003", "seen": ""}
    answer = tablet.post("/settings/days/hours/", sent)
    assert answer.status_code == 422 and "No day is ticked" in answer.content.decode()
    assert not Event.objects.filter(kind="hours set").exists()
    assert tablet.post("/settings/days/hours/", {**sent, "as_shop": "yes"}).status_code == 303


def test_how_well_it_goes_says_what_is_not_known_yet_and_comes_as_csv(cast: Cast, tablet: Client):
    """A new book has kept no promise yet: it says so, and the file has its header."""
    page = tablet.get("/day/how-well/").content.decode()
    assert "No promise has come due yet" in page and "No job done yet" in page
    file = tablet.get("/day/how-well.csv")
    assert file["Content-Type"].startswith("text/csv") and file.content.decode().startswith(
        "what,name,count,told,came,low,high"
    )


def test_the_shop_day_leads_to_the_day_ahead(cast: Cast, tablet: Client):
    """One tap."""
    assert 'href="/day/"' in tablet.get("/").content.decode()


def test_the_estimate_says_how_likely_the_promise_is_now(cast: Cast, tablet: Client):
    """The piece that the estimate fetches: what is promised with its odds now, then the days for a new one."""
    piece = tablet.get(f"/job/{cast.job}/days/").content.decode()
    assert "Promised" in piece and "now" in piece
    assert "came-up/promise/" in piece and "why" in piece
    story.priced(story.walked_round(cast.story))
    assert f"/job/{cast.job}/days/" in tablet.get(f"/job/{cast.job}/estimate/").content.decode()
