"""pinchbolt day, promise and calendar: the same answers as the screens, in lines and as JSON."""

from pathlib import Path

import icalendar
import pytest

from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.day.days_told import days_for_job
from tests import story
from tests.cli.conftest import Run
from tests.full_shop import WORDS, fill
from tests.story import NOW, Story

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is the morning of the story."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def here(db: None) -> Story:
    """A bike that is here."""
    return story.checked_in()


def test_promise_answers_days_odds_and_why(here: Story, run: Run) -> None:
    """As JSON it is the use case's own answer; in lines the best day first, then why."""
    told = run("promise", "--job", str(here.job), "--json")
    assert told.code == 0 and told.json == as_json(days_for_job(here.job, NOW))
    assert {"best", "days", "others", "why", "doubts"} <= set(told.json)
    lines = run("promise", "--size", "big").out.splitlines()
    assert " in 10" in lines[0] or " in 20" in lines[0] or " in 50" in lines[0]
    assert any(line.startswith("because ") for line in lines)


def test_what_is_not_asked_well_is_refused(here: Story, run: Run) -> None:
    """Neither a job nor a size, no such size, no such job: one sentence, exit code 2."""
    for words in (("promise",), ("promise", "--size", "huge"), ("promise", "--job", "9999")):
        ran = run(*words)
        assert ran.code == 2 and ran.err.strip()


def test_the_day_is_listed(here: Story, run: Run) -> None:
    """Who is in, and what is promised."""
    ran = run("day")
    assert here.tag in ran.out and "promised:" in ran.out and "Ines Holloway" in ran.out
    assert run("day", "--json").json["odds_percent"] == 80


def test_a_full_shop_comes_first(here: Story, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Above whom to call; and as a doubt of the days."""
    assert "full:" not in run("day").out
    fill(monkeypatch)
    assert run("day").out.splitlines()[0] == f"full: {WORDS}"
    assert f"doubt: {WORDS}" in run("promise", "--size", "usual").out.splitlines()


def test_the_calendar_is_a_file_and_nothing_else_is_written_over(
    here: Story, run: Run, tmp_path: Path
) -> None:
    """Made anew each time; a file of another kind, or of another name, is left."""
    file = tmp_path / "shop.ics"
    assert run("calendar", str(file)).code == 0 and run("calendar", str(file)).code == 0
    assert len(icalendar.Calendar.from_ical(file.read_bytes()).walk("VEVENT")) == 1
    file.write_text("my own words", encoding="utf-8")
    assert run("calendar", str(file)).code == 2 and file.read_text(encoding="utf-8") == "my own words"
    assert run("calendar", str(tmp_path / "shop.txt")).code == 2
    assert run("calendar", str(tmp_path / "x.ics"), "--of", "nobody").code == 2
