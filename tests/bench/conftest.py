"""The cast of the screens: who is signed in on which tablet, and one bike to work on."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pytest
from django.core.cache import caches
from django.test import Client

from pinchbolt.records.models import Event, Person
from pinchbolt.workshop.torque.torque_sheet import AddJointRequest, add_joint
from tests import story
from tests.story import NOW, PASSPHRASE, STEM, Story

PASSPHRASE_BACKEND = "pinchbolt.serving.sign_in.PassphraseBackend"
PIN = "2468"


@dataclass(frozen=True, slots=True)
class Cast:
    """A workshop with its people: two mechanics, the counter, the owner of the workshop, and a job on a bike."""

    story: Story
    owner: Person
    mechanic: Person
    second: Person
    counter: Person

    @property
    def job(self) -> int:
        """The job that is open."""
        return self.story.job

    @property
    def tag(self) -> str:
        """The tag of its bike."""
        return self.story.tag


@pytest.fixture(autouse=True)
def clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is the morning of the story."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture(autouse=True)
def no_tries() -> Iterator[None]:
    """Nobody has guessed yet."""
    caches["tries"].clear()
    yield
    caches["tries"].clear()


@pytest.fixture
def cast(db: None) -> Cast:
    """The people and a road bike that was checked in."""
    told = story.checked_in()
    mechanic = Person.objects.get(pk=told.first)
    return Cast(
        story=told,
        owner=Person.objects.make("marnie", "Marnie Oakes", "owner of the workshop", PASSPHRASE, PIN),
        mechanic=mechanic,
        second=Person.objects.get(pk=told.second),
        counter=Person.objects.make("juno", "Juno Marl", "counter", PASSPHRASE, PIN),
    )


@pytest.fixture
def signed_in() -> Callable[[Person], Client]:
    """Gives a tablet on which this person is signed in."""

    def of(person: Person) -> Client:
        tablet = Client()
        tablet.force_login(person, backend=PASSPHRASE_BACKEND)
        return tablet

    return of


@pytest.fixture
def tablet(cast: Cast, signed_in: Callable[[Person], Client]) -> Client:
    """A tablet on which the mechanic is signed in."""
    return signed_in(cast.mechanic)


@pytest.fixture
def counted() -> Callable[[str], int]:
    """Counts the events of a kind."""
    return lambda kind: Event.objects.filter(kind=kind).count()


@pytest.fixture
def on_the_sheet(cast: Cast) -> Cast:
    """The stem's joint is on the torque sheet, so that its page is there."""
    story = cast.story
    add_joint(AddJointRequest(story.job, STEM), by=story.first, key=story.key(), now=NOW)
    return cast


@dataclass(frozen=True, slots=True)
class Opened:
    """What a page answered, wherever it led."""

    status: int
    policy: str
    said: str


_opened: dict[str, Opened] = {}


@pytest.fixture
def opened(db: None, request: pytest.FixtureRequest) -> Callable[[str], Opened]:
    """Opens a page of `tests/bench/pages.py` as the mechanic, the stem's joint on the sheet: once for all that only read what it says."""

    def of(page: str) -> Opened:
        if page not in _opened:
            from tests.bench.pages import filled

            there, tablet = request.getfixturevalue("on_the_sheet"), request.getfixturevalue("tablet")
            told = tablet.get(filled(page, there), follow=True)
            _opened[page] = Opened(told.status_code, told["Content-Security-Policy"], told.content.decode())
        return _opened[page]

    return of
