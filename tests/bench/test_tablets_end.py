"""When a signed-in tablet is signed out: unused for a month, a year after its passphrase, or by the owner, who proves who it is."""

import re
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from django.conf import settings
from django.db import OperationalError
from django.test import Client

from pinchbolt.records.models import Event, Person
from tests.bench.conftest import PIN, Cast
from tests.story import NOW, PASSPHRASE

pytestmark = pytest.mark.django_db
SignedIn = Callable[[Person], Client]
At = Callable[[timedelta], None]


@pytest.fixture
def after(monkeypatch: pytest.MonkeyPatch) -> At:
    """Sets the clock to so long after the morning of the story."""

    def to(time: timedelta) -> None:
        moment: datetime = NOW + time
        monkeypatch.setattr("django.utils.timezone.now", lambda: moment)

    return to


def opened(cast: Cast) -> Client:
    """A tablet that a passphrase opened on the morning of the story."""
    tablet = Client()
    tablet.post("/sign-in/", {"sign_in": "marnie", "passphrase": PASSPHRASE})
    assert tablet.get("/").status_code == 200
    return tablet


def is_open(tablet: Client) -> bool:
    """Whether somebody is signed in on it."""
    return tablet.get("/").status_code == 200


@pytest.mark.parametrize(("days", "still"), [(29, True), (31, False)])
def test_a_tablet_that_lies_in_a_drawer_asks_for_a_passphrase_after_thirty_days(
    cast: Cast, after: At, days: int, still: bool
) -> None:
    """Nothing else ends it: a pause of an hour, a night, a week or a holiday of four weeks."""
    tablet = opened(cast)
    after(timedelta(days=days))
    assert is_open(tablet) is still


def test_a_tablet_that_is_looked_at_stays_signed_in(cast: Cast, after: At) -> None:
    """Each day on which a page is looked at counts, also where nobody writes anything on it."""
    tablet = opened(cast)
    for days in range(25, 351, 25):
        after(timedelta(days=days))
        assert is_open(tablet), days


def test_the_browser_keeps_its_cookie_as_long_as_the_tablet_is_used(cast: Cast, after: At) -> None:
    """It lets go of a cookie on the day that was said with it: said anew on each day of use, and once a day only."""
    tablet = opened(cast)
    after(timedelta(days=20))
    said = tablet.get("/").cookies[settings.SESSION_COOKIE_NAME]
    assert timedelta(seconds=said["max-age"]) == timedelta(days=30)
    assert settings.SESSION_COOKIE_NAME not in tablet.get("/").cookies


def test_after_a_year_a_passphrase_is_asked_whatever_pins_came_after_it(cast: Cast, after: At) -> None:
    """A PIN says who is at the bench; it does not open a tablet for longer."""
    tablet = opened(cast)
    for days in range(20, 361, 20):
        after(timedelta(days=days))
        answer = tablet.post("/switch/", {"sign_in": "juno", "pin": PIN})
        assert answer.status_code == 302 and is_open(tablet), days
    after(timedelta(days=364))
    assert is_open(tablet)
    after(timedelta(days=366))
    assert not is_open(tablet)
    tablet.post("/sign-in/", {"sign_in": "marnie", "passphrase": PASSPHRASE})
    after(timedelta(days=366 + 29))
    assert is_open(tablet), "the passphrase opened it anew"


def test_a_tablet_of_before_this_rule_goes_on(cast: Cast, tablet: Client, after: At) -> None:
    """Whose opening nobody wrote down counts from its next page."""
    assert is_open(tablet)
    after(timedelta(days=29))
    assert is_open(tablet)
    after(timedelta(days=60))
    assert not is_open(tablet)


def test_where_nothing_can_be_written_pages_are_looked_at(
    cast: Cast, tablet: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """That it was used today is not worth a page: the next one that can be written down is."""

    def full(self: object, *, must_create: bool = False) -> None:
        raise OperationalError("database or disk is full")

    with monkeypatch.context() as disk:
        disk.setattr("django.contrib.sessions.backends.db.SessionStore.save", full)
        assert is_open(tablet)
    assert "used_on" not in tablet.session
    assert is_open(tablet)
    assert tablet.session["used_on"] == NOW.date().isoformat()


@pytest.mark.parametrize("proof", ["", PIN, "some other passphrase"])
def test_a_tablet_that_was_left_signed_in_signs_no_other_out(
    cast: Cast, signed_in: SignedIn, proof: str
) -> None:
    """The owner's own passphrase is asked; without it the other goes on and nothing is written."""
    other, owner = signed_in(cast.mechanic), signed_in(cast.owner)
    page = owner.get("/settings/tablets/").content.decode()
    mark = page.partition('<option value="')[2].partition('"')[0]
    answer = owner.post("/settings/tablets/end/", {"mark": mark, "end_proof": proof, "key": "tablet-end-1"})
    assert (
        answer.status_code == 422 and "This is not the passphrase of Marnie Oakes" in answer.content.decode()
    )
    assert is_open(other) and not Event.objects.filter(kind="tablet ended").exists()


def test_tablets_that_nobody_named_are_told_apart_by_when_they_were_opened(
    cast: Cast, signed_in: SignedIn, after: At
) -> None:
    """Two without a name and by the same person: the hour says which one lies in the drawer."""
    opened(cast)
    after(timedelta(hours=2))
    opened(cast)
    page = signed_in(cast.owner).get("/settings/tablets/").content.decode()
    options = re.findall(r"<option[^>]*>(a tablet[^<]*)</option>", page)
    assert len(options) == len(set(options)) == 2 and all(", since today " in one for one in options)
