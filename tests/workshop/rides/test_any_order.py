"""Whatever the order of imports, moves and corrections told late: each kilometre of a person counts once, on what was there that day.

The machine keeps its own plain list of where each wheel was and what each ride counts for, and compares day by day.
`make fuzz` asks it with new orders, `make fuzz ARGS="--hypothesis-profile=long -k any_order"` with many.
"""

from datetime import date, timedelta

import pytest
from django.db import transaction
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Bike, Part, Ride
from pinchbolt.workshop.bikes.build_sheet import parts_at, parts_on
from pinchbolt.workshop.bikes.move_part import (
    BOTH_WHEELS,
    MoveDayRequest,
    MoveRequest,
    move_part,
    put_move_right,
)
from pinchbolt.workshop.rides.exposure import use_of
from pinchbolt.workshop.rides.owners_things import OwnWheelsRequest, add_own_wheels
from pinchbolt.workshop.rides.place_rides import (
    PlaceRidesRequest,
    TakeRidesBackRequest,
    place_rides,
    take_back_rides,
)
from pinchbolt.workshop.rides.ride_files import Held, read_files
from pinchbolt.workshop.rides.take_in_rides import RidesRequest, digest_of, take_in_rides
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from tests.story import NOW, TODAY, checked_in
from tests.workshop.ride_story import SPRING, ride_of

DAYS = tuple(range(0, 120, 8))
KM = {day: 10.0 + number for number, day in enumerate(DAYS)}
FILES = {day: ride_of(day, KM[day]) for day in DAYS}
FIRST = SPRING.date()
numbers = st.integers(0, len(DAYS) - 1)
some_day = st.integers(-3, 125)


class AnyMonth(RuleBasedStateMachine):
    """Ada has two bikes and wheels on the wall, Bob has one bike; their files come in anywhere, and all is told late."""

    def __init__(self) -> None:
        super().__init__()
        self.atomic = transaction.atomic()
        self.atomic.__enter__()
        self.story = checked_in()

    def teardown(self) -> None:
        """Nothing of it is kept."""
        transaction.set_rollback(True)
        self.atomic.__exit__(None, None, None)

    @initialize(all_along=st.booleans())
    def open_with(self, all_along: bool) -> None:
        """The bikes come in today; their parts are on them as long as their owners have them, or since before the first ride."""
        since = {"all_along": True} if all_along else {"on_since": FIRST - timedelta(days=4)}
        first = self._came(owner_name="Ada", **since)
        second = self._came(owner_of=first, **since)
        self.ada, self.bob = (first, second), self._came(owner_name="Bob", **since)
        made = add_own_wheels(OwnWheelsRequest(first, "race"), **self._by())
        self.peg = made.name
        peg = parts_at(peg_id=int(made.name.split()[1]))
        self.holds = {
            first: _rear(parts_on(_bike(first))),
            second: _rear(parts_on(_bike(second))),
            self.peg: _rear(peg),
        }
        long_ago = FIRST - timedelta(days=400)
        self.was = {part.pk: [(long_ago, host)] for host, part in self.holds.items()}
        self.wheels = list(self.holds.values())
        self.moves: list[tuple[int, list[tuple[int, int]]]] = []
        self.counts: dict[int, str] = {}

    def _came(self, **said: object) -> str:
        asked = CheckInRequest(template="road-disc", **said)
        return check_in(asked, now=NOW, by=self.story.first, key=self.story.key()).tag

    def _by(self) -> dict[str, object]:
        return {"by": self.story.first, "key": self.story.key(), "now": NOW}

    def _ride(self, number: int) -> Ride | None:
        return Ride.objects.filter(day=FIRST + timedelta(days=DAYS[number])).first()

    def _whose(self, tag: str) -> str:
        return "Bob" if tag == self.bob else "Ada"

    @rule(
        numbers=st.lists(numbers, min_size=1, max_size=6, unique=True),
        on=st.integers(0, 2),
        claim=st.booleans(),
    )
    def import_files(self, numbers: list[int], on: int, claim: bool) -> None:
        """Files dropped on a bike: new ones count there; another person's only where they are claimed."""
        tag = (*self.ada, self.bob)[on]
        seen = list(read_files(Held(f"{number}.fit", FILES[DAYS[number]]) for number in numbers))
        take_in_rides(RidesRequest(tag, digest_of(seen), claim=claim), seen, **self._by())
        for number in numbers:
            before = self.counts.get(number)
            if before is None or (claim and self._whose(before or tag) != self._whose(tag)):
                self.counts[number] = tag

    @rule(number=numbers, on=st.integers(0, 2))
    def place(self, number: int, on: int) -> None:
        """A ride put right: onto another bike of its person, or said to be another person's."""
        tag, ride, before = (*self.ada, self.bob)[on], self._ride(number), self.counts.get(number)
        if ride is None or before is None:
            return
        moved = self._whose(before) != self._whose(tag)
        place_rides(PlaceRidesRequest((ride.pk,), tag, moved=moved), **self._by())
        self.counts[number] = tag

    @rule(number=numbers)
    def take_back(self, number: int) -> None:
        """A ride taken back counts for nobody; its file may come in again."""
        ride = self._ride(number)
        if ride is not None and number in self.counts:
            take_back_rides(TakeRidesBackRequest((ride.pk,)), **self._by())
            del self.counts[number]

    @rule(sides=st.sampled_from([(0, 1), (0, 2), (1, 2), (2, 0)]), day=some_day)
    def change_wheels(self, sides: tuple[int, int], day: int) -> None:
        """Both wheels change places with another bike's or with those on the wall, on any day, told today."""
        out_of, into = ((*self.ada, self.peg)[side] for side in sides)
        on = FIRST + timedelta(days=day)
        try:
            done = move_part(MoveRequest(BOTH_WHEELS, out_of, into, exchange=True, day=on), **self._by())
        except InputRefused as refusal:
            assert "Correct the day." in refusal.sentence
            return
        changed = []
        for part, host in ((self.holds[out_of], into), (self.holds[into], out_of)):
            self.was[part.pk].append((on, host))
            changed.append((part.pk, len(self.was[part.pk]) - 1))
        self.holds[out_of], self.holds[into] = self.holds[into], self.holds[out_of]
        self.moves.append((done.event, changed))

    @rule(which=st.integers(0, 20), day=some_day)
    def put_right(self, which: int, day: int) -> None:
        """The day of any move is put right later, as far as the part was there and had not gone on."""
        if not self.moves:
            return
        number = which % len(self.moves)
        event, changed = self.moves[number]
        on = FIRST + timedelta(days=day)
        try:
            event = put_move_right(MoveDayRequest(event, on), **self._by())
        except (InputRefused, NotPossibleNow) as refusal:
            assert "Correct the day." in refusal.sentence
            return
        self.moves[number] = (event, changed)
        for part, place in changed:
            self.was[part][place] = (on, self.was[part][place][1])

    def _host_on(self, part: int, day: date) -> str:
        """Where a wheel was on a day, day by day: a ride on the day of a change was with what came off."""
        return next(host for since, host in reversed(self.was[part]) if since < day)

    @invariant()
    def each_kilometre_counts_once_on_what_was_there(self) -> None:
        """Each rear wheel went the rides of the bikes that it was on; all wheels together what both bikes went."""
        if not hasattr(self, "counts"):
            return
        on = {
            FIRST + timedelta(days=DAYS[number]): (tag, KM[DAYS[number]])
            for number, tag in self.counts.items()
        }
        for wheel in self.wheels:
            own = sum(km for day, (tag, km) in on.items() if self._host_on(wheel.pk, day) == tag)
            assert use_of(wheel, TODAY).km == pytest.approx(own), (wheel.pk, self.was[wheel.pk], on)
        for tag in (*self.ada, self.bob):
            chain = next(part for part in parts_on(_bike(tag)) if part.kind == "chain")
            assert use_of(chain, TODAY).km == pytest.approx(
                sum(km for bike, km in on.values() if bike == tag)
            )


def _bike(tag: str) -> Bike:
    return Bike.objects.get(tag=tag)


def _rear(parts: list[Part]) -> Part:
    return next(part for part in parts if part.kind == "wheel" and part.place == "rear")


@pytest.mark.django_db
class TestAnyMonth(AnyMonth.TestCase):
    """A dozen months in every run, more in a search."""

    settings = settings(
        max_examples=settings.default.max_examples // 8, stateful_step_count=14, deadline=None
    )
