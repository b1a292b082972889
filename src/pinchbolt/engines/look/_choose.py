"""The looks that are worth most in the minutes there are: lead of the complaint, floor of safety, then worth per second."""

from collections.abc import Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace

import numpy as np

from pinchbolt.engines.look._arrays import Array, Flags
from pinchbolt.engines.look._belief import Chances, LookBelief, chances_now
from pinchbolt.engines.look._reasons import reason_of
from pinchbolt.engines.look.look_types import HARM_WORTH, Look, LookSheet
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

ENTRY, STATION, FIND = 2.0, 3.0, 20.0  # seconds: one tap, going to another station, writing a find down
EXPLAINED = 25.0  # money that an explained complaint counts as
LEAD_SECONDS, LEAD_SHARE, LEAD_LEAST, LEAD_GAIN = 150.0, 0.5, 0.03, 0.15
LEAST_MINUTES = 2.0
UNSAFE = 8.0  # harm from which a bike is unsafe to ride
SHORT, DEAREST = (
    300.0,
    6,
)  # seconds under which the end of the minutes is tried with each of the dearest looks first
BENCH_MINUTE = 5.0  # money a minute under which a further look is not worth its time


@dataclass(frozen=True, slots=True)
class PlannedLook:
    """A look in its place: why (`rule`: complaint, core or worth), what it is worth and how likely it finds something.

    `worth` is harm and money in one figure, for the order alone; `harm` in points and `money` are what it may spare.
    `seconds` with what is opened for it; `opens` what that is. `turn`: as which it was chosen, 0 first; -1 what is left.
    """

    look: Look
    rule: str
    turn: int
    worth: float
    harm: float
    money: float
    chance: float
    seconds: float
    opens: tuple[str, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class LookPlan:
    """Looks in the order of the hands, what was not chosen (the dearest first), and whether the rest is not worth its time."""

    looks: tuple[PlannedLook, ...]
    left: tuple[PlannedLook, ...]
    enough: bool
    seconds: float


@dataclass(frozen=True, slots=True)
class _Pick:
    """A look that was put into the set: by which rule, its own seconds, and what was opened for it."""

    number: int
    rule: str
    own: float
    opens: Flags


class _Filling:
    """The set while it is filled, as if every answer were sound."""

    def __init__(
        self, belief: LookBelief, taken: frozenset[str], opened: frozenset[str], seconds: float
    ) -> None:
        self.sheet, self.belief, self.table = belief.sheet, belief, belief.arrays
        self.now: Chances = chances_now(belief)
        found = np.array([one.id in belief.found for one in self.sheet.faults], dtype=bool)
        self.worth_of = (HARM_WORTH * self.table.harm + self.table.money) * ~found
        self.chance = self.now.fault * ~found
        # A cause that was found explains the complaint: the rest of it is no longer worth a look.
        explained = bool((self.now.cause[found] > 0).any())
        self.cause = self.now.cause * (not explained)
        self.free = np.array([one.id not in taken for one in self.sheet.looks], dtype=bool)
        self.open = np.array([one.id in opened for one in self.sheet.openings], dtype=bool)
        self.elsewhere = np.ones(len(self.sheet.stations), dtype=bool)
        self.left = seconds
        self.gained = 0.0
        self.picked: list[_Pick] = []

    def again(self) -> "_Filling":
        """The same set, to be filled otherwise."""
        other = copy(self)
        other.free, other.elsewhere, other.picked = self.free.copy(), self.elsewhere.copy(), list(self.picked)
        return other

    def worth(self) -> Array:
        """What each look is worth now. [money]"""
        of_fault = self.chance * self.worth_of + self.cause * EXPLAINED
        return np.asarray((self.table.sees @ of_fault) * self.free, dtype=float)

    def finds(self) -> Array:
        """The chance that each look finds something (at most one thing counted). [-]"""
        return np.asarray(np.minimum(self.table.sees @ self.chance, 1.0), dtype=float)

    def own(self) -> Array:
        """Seconds of each look by itself now: look, tap, way to its station, writing a find down. [s]"""
        return self.quick() + FIND * self.finds()

    def quick(self) -> Array:
        """Seconds until each look is answered, without what a find takes after it. [s]"""
        table = self.table
        return np.asarray(table.seconds + ENTRY + STATION * self.elsewhere[table.station], dtype=float)

    def opening(self) -> Array:
        """What opening for each look costs now. [s]"""
        return np.asarray((self.table.needs & ~self.open) @ self.table.opening)

    def ready(self) -> Flags:
        """Which looks may be taken: free, and what comes before them is done or not on this bike."""
        ready: Flags = self.free & ~(self.table.after & self.free).any(axis=1)
        return ready

    def take(self, number: int, rule: str, own: float) -> None:
        """Put a look into the set; a sound answer lowers the chance of what it sees."""
        opens = self.table.needs[number] & ~self.open
        self.gained += float(self.worth()[number])
        self.picked.append(_Pick(number, rule, own, opens))
        self.left -= own + float(opens @ self.table.opening)
        self.open = self.open | opens
        self.elsewhere[self.table.station[number]] = False
        self.free[number] = False
        missed = 1 - self.table.sees[number]
        self.chance, self.cause = self.chance * missed, self.cause * missed


def plan_looks(
    belief: LookBelief,
    minutes: float | None,
    *,
    taken: frozenset[str] = frozenset(),
    opened: frozenset[str] = frozenset(),
    lead: float | None = None,
    at: str = "",
) -> LookPlan:
    """Return the looks that are worth most in the minutes that are left, in the order of the hands.

    First the places of the complaint, for *lead* seconds at most; then the floor of safety looks; then by worth per second,
    with what must be opened paid once for all looks that need it (the best first looks behind each door against the best
    single look). A look that no longer fits is passed over; what is under a bench minute's worth is left.

    Args:
        belief: What is believed after the answers so far. [-]
        minutes: Minutes left; None = all of it. [min]
        taken: Looks that were answered, or passed over by choice. [-]
        opened: What is open already. [-]
        lead: Seconds left for the complaint's places; None = 150 at most and half of the minutes. [s]
        at: The station where the hands are: the way goes on from there, and what came up before it is last. [-]

    Returns:
        Chosen looks and what is left. [-]

    Raises:
        InputRefused: Fewer than two minutes at the start.

    Source: Greedy by worth per cost with shared openings; the figures are the rows' (docs/methods/look.md).
    """
    if minutes is not None and not taken and not minutes >= LEAST_MINUTES:
        raise InputRefused(
            worded(
                "{minutes:g} minutes are too few: {least_minutes:g} at least. Two minutes are a look "
                "at axles, brakes and bar.",
                minutes=minutes,
                least_minutes=LEAST_MINUTES,
            ),
            {
                "minutes": worded(
                    "{minutes:g} minutes are too few: {least_minutes:g} at least.",
                    minutes=minutes,
                    least_minutes=LEAST_MINUTES,
                )
            },
        )
    seconds = 1e9 if minutes is None else 60.0 * max(minutes, 0.0)
    filling = _Filling(belief, taken, opened, seconds)
    worth, finds, open_before = filling.worth(), filling.finds(), filling.open
    most = min(LEAD_SECONDS, LEAD_SHARE * seconds) if lead is None else min(lead, seconds)
    first = _lead(filling, most)
    _floor(filling)
    filling, enough = _by_worth(filling, stop=minutes is not None)
    chosen = _in_order(filling, first, open_before, belief.sheet.station_at.get(at, 0))
    return LookPlan(
        tuple(_planned(filling, one, worth, finds) for one in chosen),
        tuple(_left_over(filling)),
        enough,
        seconds - filling.left,
    )


def _lead(filling: _Filling, most: float) -> tuple[int, ...]:
    """The complaint's places, by chance to meet the cause for their time; in the order in which the row lists them."""
    sheet = filling.sheet
    listed = dict.fromkeys(
        sheet.look_at[name] for told in sheet.complaints for name in told.first if name in sheet.look_at
    )
    numbers, picked = list(listed), []
    until = filling.left - most
    # What the list puts first though it is seldom: a crack before a creak is hunted by force.
    if numbers and _can_throw_the_rider(filling, numbers[0]) and _fits_lead(filling, numbers[0], most):
        filling.take(numbers[0], "complaint", float(filling.own()[numbers[0]]))
        picked.append(numbers[0])
    while numbers:
        spent = filling.own() + filling.opening()
        meets = filling.table.sees @ filling.cause
        value = (EXPLAINED * meets + LEAD_GAIN * filling.worth()) / spent
        fits = filling.ready() & (meets >= LEAD_LEAST) & (filling.left - spent >= max(until, 0.0))
        can = [n for n in numbers if fits[n]]
        quick = [n for n in can if not sheet.looks[n].figure] or can
        if not quick:
            break
        best = max(quick, key=lambda n: (value[n], -numbers.index(n)))
        filling.take(best, "complaint", float(filling.own()[best]))
        picked.append(best)
    return tuple(sorted(picked, key=numbers.index))


def _fits_lead(filling: _Filling, number: int, most: float) -> bool:
    """Whether a look is open and can be answered in so many seconds."""
    return bool(filling.free[number] and filling.quick()[number] + filling.opening()[number] <= most)


def _can_throw_the_rider(filling: _Filling, number: int) -> bool:
    """Whether a look shows something with which a bike is unsafe to ride."""
    return bool((filling.table.harm[filling.table.sees[number] > 0] >= UNSAFE).any())


def seconds_taken(sheet: LookSheet, taken: Mapping[str, bool]) -> float:
    """Return what the looks that were taken count against the minutes: by their rows, not by the clock.

    Args:
        sheet: The bike. [-]
        taken: Looks, and whether each found something. [-]

    Returns:
        Seconds, with what was opened, taps, ways between stations and finds. [s]

    Source: common practice, no source.
    """
    numbers = [sheet.look_at[name] for name in taken if name in sheet.look_at]
    opened = frozenset[str]().union(*(sheet.needs[number] for number in numbers))
    stations = {sheet.looks[number].station for number in numbers}
    looks = sum(sheet.looks[number].seconds + ENTRY for number in numbers)
    return sheet.seconds_to_open(opened) + looks + STATION * len(stations) + FIND * sum(taken.values())


def safety_floor(sheet: LookSheet) -> tuple[Look, ...]:
    """Return the looks that are always in on this bike, in the order of the hands.

    Args:
        sheet: The bike. [-]

    Returns:
        Its safety looks. [-]

    Source: common practice, no source.
    """
    return tuple(one for one in sheet.looks if one.always)


def _floor(filling: _Filling) -> None:
    """The floor of safety looks; where the minutes are too short for all, the first are taken."""
    for number, look in enumerate(filling.sheet.looks):
        own = filling.own()[number]
        if look.always and filling.free[number] and filling.left >= filling.quick()[number]:
            filling.take(number, "core", float(own))


def _by_worth(filling: _Filling, *, stop: bool) -> tuple[_Filling, bool]:
    """Fill the rest by worth per second; True where what is left is not worth its time.

    At the end of the minutes a cheap look may keep the dear one from fitting, so that the set is tried with each of the dearest
    first.
    """
    chosen = filling.again()
    enough = _fill(chosen, stop=stop)
    if filling.left > SHORT:
        return chosen, enough
    fits = filling.ready() & (filling.quick() + filling.opening() <= filling.left)
    worth = np.where(fits, filling.worth(), 0.0)
    inside = {one.number for one in chosen.picked}
    for number in np.argsort(-worth, kind="stable")[:DEAREST]:
        if fits[number] and int(number) not in inside:
            other = filling.again()
            other.take(int(number), "worth", float(other.own()[number]))
            other_enough = _fill(other, stop=stop)
            if other.gained > chosen.gained:
                chosen, enough = other, other_enough
    return chosen, enough


def _fill(filling: _Filling, *, stop: bool) -> bool:
    while True:
        own, opening = filling.own(), filling.opening()
        # An answer that comes in time counts, though writing a find down would not fit any more.
        fits = filling.ready() & (filling.quick() + opening <= filling.left)
        if not fits.any():
            return False
        worth = np.where(fits, filling.worth(), 0.0)
        rate = np.where(fits, worth / (own + opening), -1.0)
        best, number = float(rate.max()), int(rate.argmax())
        bundle = _best_bundle(filling, fits, worth, own)
        if bundle is not None and bundle[0] > best:
            best, number = bundle
        if stop and best < BENCH_MINUTE / 60:
            return True
        filling.take(number, "worth", float(own[number]))


def _best_bundle(filling: _Filling, fits: Flags, worth: Array, own: Array) -> tuple[float, int] | None:
    """The best first looks behind each door, the opening paid once: their rate together, and the first of them."""
    table = filling.table
    shut = np.flatnonzero((table.doors & ~filling.open).any(axis=1))
    if not len(shut):
        return None
    order = np.argsort(-worth / own, kind="stable")
    # Only what is behind this very door: looks that are free already are no reason to open it.
    closed = (table.needs & ~filling.open).any(axis=1)
    behind = (table.behind[shut] & fits & closed)[:, order]
    opening = (table.doors[shut] & ~filling.open) @ table.opening
    gained = np.cumsum(worth[order] * behind, axis=1)
    spent = np.cumsum(own[order] * behind, axis=1) + opening[:, None]
    rate = np.where(behind & (spent <= filling.left), gained / spent, 0.0)
    door, place = np.unravel_index(int(rate.argmax()), rate.shape)
    if rate[door, place] <= 0:
        return None
    return float(rate[door, place]), int(order[np.flatnonzero(behind[door])[0]])


def _in_order(filling: _Filling, first: Sequence[int], opened: Flags, here: int) -> Iterator[_Pick]:
    """The complaint's places as they lead, then stations and looks in the order of the hands.

    What is opened is told on the look that comes to it first in this order.
    """
    rows = {one.number: one for one in filling.picked}
    station = filling.table.station
    rest = sorted((n for n in rows if n not in first), key=lambda n: (station[n] < here, station[n], n))
    for number in (*first, *rest):
        opens = filling.table.needs[number] & ~opened
        opened = opened | opens
        yield replace(rows[number], opens=opens)


def _planned(filling: _Filling, one: _Pick, worth: Array, finds: Array) -> PlannedLook:
    look, table = filling.sheet.looks[one.number], filling.table
    p = filling.now.fault * table.sees[one.number] * (filling.worth_of > 0)
    turns = [pick.number for pick in filling.picked]
    return PlannedLook(
        look,
        one.rule,
        turns.index(one.number) if one.number in turns else -1,
        round(float(worth[one.number]), 2),
        round(float(p @ table.harm), 3),
        round(float(p @ table.money), 2),
        round(float(finds[one.number]), 3),
        round(one.own + float(one.opens @ table.opening), 1),
        tuple(
            row.words for row, is_opened in zip(filling.sheet.openings, one.opens, strict=True) if is_opened
        ),
        reason_of(filling.belief, filling.now, look, one.rule),
    )


def _left_over(filling: _Filling) -> Iterator[PlannedLook]:
    """What was not chosen, the dearest to miss first, by what it is worth once the chosen ones were sound."""
    own, now, finds = filling.own(), filling.worth(), filling.finds()
    still = np.flatnonzero(filling.free)
    for number in sorted(still, key=lambda n: (-now[n], n)):
        pick = _Pick(int(number), "left", float(own[number]), filling.table.needs[number] & ~filling.open)
        yield _planned(filling, pick, now, finds)
