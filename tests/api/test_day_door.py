"""The day by JSON: the days of a job, a promise with its odds kept, the calendar; refused where it is out of sense."""

from datetime import timedelta

import icalendar
import pytest
from django.test import Client

from tests.api.conftest import Send, sign_in
from tests.full_shop import WORDS, fill
from tests.story import NOW, Story


@pytest.fixture(autouse=True)
def clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is the morning of the story."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


def test_days_are_asked_and_the_one_that_is_promised_is_kept_with_its_odds(
    arrived: Story, send: Send
) -> None:
    """The best day is promised; it stands among the promises with the odds that were told."""
    status, told = send("GET", f"/job/{arrived.job}/days")
    assert status == 200 and told["best"]["words"]
    best = told["best"]
    body = {"promise": best["at"], "why": "owner's wish", "told": "at the counter", "odds": best["odds"]}
    status, kept = send("POST", f"/job/{arrived.job}/promise", body, "json-promise-1")
    assert status == 200 and kept["odds"] == best["odds"]
    status, promises = send("GET", "/promises")
    assert status == 200 and promises[0]["told"] == best["odds"]
    assert send("GET", "/days?size=huge")[0] == 422 and send("GET", "/job/9999/days")[0] == 404
    body["odds"] = 3
    assert send("POST", f"/job/{arrived.job}/promise", body, "json-promise-2")[0] == 422


def test_the_board_and_how_well_it_goes_are_there(arrived: Story, send: Send) -> None:
    """The same as on the screens."""
    status, board = send("GET", "/day/ahead")
    assert status == 200 and [one["tag"] for one in board["next_up"]] == [arrived.tag]
    status, well = send("GET", "/how-well")
    assert status == 200 and well["promises"] == 0


def test_a_full_shop_is_told(arrived: Story, send: Send, monkeypatch: pytest.MonkeyPatch) -> None:
    """For a bike that comes in and on the board: the words, and the day that holds if nothing else is promised sooner."""
    assert send("GET", "/day/ahead")[1]["full"] == "" and not send("GET", "/days")[1]["is_full"]
    fill(monkeypatch)
    told = send("GET", "/days?size=big")[1]
    assert (
        told["best"] is None and told["is_full"] and told["cannot"] == WORDS and told["later"]["odds"] == 0.91
    )
    assert send("GET", "/day/ahead")[1]["full"] == WORDS


def test_a_calendar_comes_by_its_own_type(arrived: Story, client: Client) -> None:
    """As any reader of calendars has it."""
    token = sign_in(client).json()["token"]
    answer = client.get("/api/calendar", headers={"Authorization": f"Bearer {token}"})
    assert answer["Content-Type"].startswith("text/calendar")
    event = icalendar.Calendar.from_ical(answer.content).walk("VEVENT")[0]
    assert event.decoded("DTEND") == NOW + timedelta(days=2)


def test_hours_and_odds_are_the_owners_to_set(arrived: Story, send: Send) -> None:
    """A mechanic may not, and is told so."""
    assert send("POST", "/terms/odds", {"percent": 90}, "json-odds-01")[0] == 403
    hours = {"days": {"Sat": ["09:00", "13:00"]}, "leaves": []}
    assert send("POST", "/person/tobias/hours", hours, "json-hours-1")[0] == 403
