"""A simulated bench for the choice of looks: workshops whose bikes, eyes and hands are not those of the tables.

Every number here is an assumption. Each workshop draws its own truth: the log of the odds of each fault, and of it on each kind
of bike, the leans, pairs and shares, how well its eyes see, how fast its hands are. A bike draws distance, age, season, how
neglected it is (one in five badly), whether it fell, on six of ten bikes a complaint with its cause or none. All ways to go round
meet the same bikes, the same luck of the eye and the same hands.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.look import LookBelief, LookSheet, UsePast, answered, believed, plan_looks, shares_on
from pinchbolt.reference import Tables
from pinchbolt.workshop.looks._look_sheet import look_sheet
from tests.reference.templates_built import built

Array = NDArray[np.float64]
KINDS = (
    "road-disc", "road-rim", "gravel-1x", "hardtail", "full-suspension", "city-hub-gear", "city-ebike", "cargo-ebike", "child",
    "track", "tourer", "folding",
)  # fmt: skip
ENTRY, STATION, FIND = 2.0, 3.0, 20.0
UNSAFE = 8.0
WITH_COMPLAINT, FALLS, WET, NEGLECTED = 0.6, 0.08, 0.4, 0.2


@dataclass(frozen=True)
class OffBy:
    """How far a workshop's truth lies from the tables: standard deviations of logs, of log odds for chances and eyes."""

    chance: float = 0.5
    leans: float = 0.42
    pairs: float = 0.4
    shares: float = 0.5
    eyes: float = 0.5
    alarms: float = 0.5
    seconds: float = 0.25


@dataclass(frozen=True)
class Drawn:
    """One bike: what the tables say of it, what is true of it, which faults it has, what the eye would meet, true seconds."""

    kind: str
    told: LookSheet
    true: LookSheet
    faults: NDArray[np.bool_]
    cause: int
    shown: dict[str, dict[str, bool]]
    seconds: dict[str, float]
    opening: dict[str, float]


@dataclass
class Caught:
    """What one round caught."""

    worth: float = 0.0
    harm: float = 0.0
    money: float = 0.0
    unsafe: int = 0
    looks: int = 0
    cards: int = 0
    explained: bool = False


def _logit(p: Array) -> Array:
    return np.log(p / (1 - p))


def _logistic(x: Array) -> Array:
    return 1 / (1 + np.exp(-x))


@dataclass
class Workshop:
    """One workshop's truth, drawn once: by the ids of rows, so that all its bikes share it."""

    rng: np.random.Generator
    off: OffBy
    drawn: dict[tuple[str, str], float]

    def of(self, what: str, name: str, sd: float) -> float:
        """The same draw for the same name."""
        key = (what, name)
        if key not in self.drawn:
            self.drawn[key] = float(self.rng.normal(0, 1))
        return sd * self.drawn[key]

    def truth(self, sheet: LookSheet, kind: str) -> LookSheet:
        """The sheet as it is in this workshop."""
        off = self.off
        share = off.chance / np.sqrt(0.35**2 + 0.35**2 + 0.2**2)
        faults = []
        for one in sheet.faults:
            moved = self.of("fault", one.id, 0.35 * share) + self.of("on", f"{one.id} {kind}", 0.35 * share)
            moved += self.of("kind", kind, 0.2 * share)
            chance = float(_logistic(_logit(np.array(one.chance)) + moved))
            leans = {
                name: lean * np.exp(self.of("lean", f"{one.id} {name}", off.leans))
                for name, lean in one.leans.items()
            }
            pair = one.pair * np.exp(self.of("pair", one.id, off.pairs))
            faults.append(replace(one, chance=chance, leans=leans, pair=float(pair)))
        looks = []
        for look in sheet.looks:
            row = look.id.partition(":")[0]
            sees = {
                name: float(_logistic(_logit(np.array(s)) + self.of("eye", f"{row} {name}", off.eyes)))
                for name, s in look.sees.items()
            }
            alarm = min(look.false_alarm * np.exp(self.of("alarm", row, off.alarms)), 0.5)
            looks.append(replace(look, sees=sees, false_alarm=float(alarm)))
        told = tuple(
            replace(
                one,
                shares={
                    name: share * float(np.exp(self.of("share", f"{one.id} {name}", off.shares)))
                    for name, share in one.shares.items()
                },
            )
            for one in sheet.complaints
        )
        return replace(sheet, faults=tuple(faults), looks=tuple(looks), complaints=told)


def workshop(seed: int, off: OffBy | None = None) -> Workshop:
    """A workshop by its seed."""
    return Workshop(np.random.default_rng(seed), off or OffBy(), {})


def bikes(trade: Tables, here: Workshop, kinds: Iterable[str], each: int, seed: int) -> Iterator[Drawn]:
    """Draw bikes of these kinds, so many of each."""
    rng = np.random.default_rng(seed)
    for kind in kinds:
        template = trade.templates[kind]
        build = built(trade, template, template.speeds[0])
        sheets = {name: look_sheet(build, complaints=[name]) for name in trade.complaints}
        fitting = [
            name for name, sheet in sheets.items() if sum(shares_on(sheet, sheet.complaints[0]).values()) > 2
        ]
        plain = look_sheet(build)
        for _ in range(each):
            told = sheets[str(rng.choice(fitting))] if rng.random() < WITH_COMPLAINT else plain
            yield _bike(rng, here, told, kind)


def _bike(rng: np.random.Generator, here: Workshop, told: LookSheet, kind: str) -> Drawn:
    past = UsePast(
        float(rng.normal(0, 0.7)), float(rng.normal(0, 0.8)), bool(rng.random() < WET), said="its distance"
    )
    told = replace(told, past=past)
    true = here.truth(told, kind)
    z = rng.normal(1.2, 0.9) if rng.random() < NEGLECTED else rng.normal(-0.25, 0.7)
    of_fall = any(one.id == "fall" for one in told.complaints)
    fell = float(rng.random() < (0.95 if of_fall else FALLS))
    without, with_pair = _at(true, float(z), fell)
    parent = np.array([true.fault_at.get(one.goes_with, -1) for one in true.faults])
    faults = np.zeros(len(without), dtype=bool)
    luck = rng.random(len(without))
    faults[parent < 0] = (luck < without)[parent < 0]
    cause = _cause(rng, true, without)
    if cause >= 0 and parent[cause] < 0:
        faults[cause] = True
    p = np.where(faults[np.maximum(parent, 0)], with_pair, without)
    faults[parent >= 0] = (luck < p)[parent >= 0]
    if cause >= 0:
        faults[cause] = True
    shown = {
        look.id: {
            name: bool(rng.random() < (seen if faults[true.fault_at[name]] else look.false_alarm))
            for name, seen in look.sees.items()
        }
        for look in true.looks
    }
    sd = here.off.seconds
    seconds = {
        look.id: look.seconds * float(np.exp(here.of("seconds", look.id.partition(":")[0], sd)))
        for look in true.looks
    }
    opening = {one.id: one.seconds * float(np.exp(here.of("opening", one.id, sd))) for one in true.openings}
    return Drawn(kind, told, true, faults, cause, shown, seconds, opening)


def _at(sheet: LookSheet, z: float, fell: float) -> tuple[Array, Array]:
    """Chances of each fault on a bike so neglected, without and with the fault that it goes with."""
    plain = replace(sheet, complaints=())
    nodes = believed(plain).nodes
    neglect = np.array([one.leans.get("neglect", 0.0) for one in sheet.faults])
    fall = np.array([one.leans.get("fall", 0.0) for one in sheet.faults])
    pair = np.array([one.pair for one in sheet.faults])
    # The first node of the grid is the least neglected bike that never fell.
    lowest = float(np.polynomial.hermite_e.hermegauss(9)[0][0])
    logit = _logit(nodes.without[0]) - lowest * neglect + z * neglect + fell * fall
    return _logistic(logit), _logistic(logit + pair)


def _cause(rng: np.random.Generator, sheet: LookSheet, p: Array) -> int:
    """The cause of the complaint: by its share and this bike's own odds, or none (-1)."""
    if not sheet.complaints:
        return -1
    told = sheet.complaints[0]
    shares = shares_on(sheet, told)
    numbers = [sheet.fault_at[name] for name in shares]
    usual = np.array([sheet.faults[number].chance for number in numbers])
    own = np.clip((p[numbers] / (1 - p[numbers])) / (usual / (1 - usual)), 0.1, 10)
    weight = np.array([told.nothing_found, *(own * np.array(list(shares.values())))])
    return int(([-1, *numbers])[int(rng.choice(len(weight), p=weight / weight.sum()))])


# --------------------------------------------------------------------------------------------- one round

Policy = Callable[["Round"], str | None]
"""The next look, or None at the end."""


class Round:
    """One round at a bike within its seconds: what is done, open, found."""

    def __init__(self, bike: Drawn, seconds: float) -> None:
        self.bike, self.most, self.spent = bike, seconds, 0.0
        self.taken: dict[str, dict[str, bool]] = {}
        self.open: set[str] = set()
        self.at = ""
        self.caught = Caught()
        self._met: set[str] = set()

    def look(self, name: str) -> bool:
        """Take a look; False where its answer would come too late."""
        bike = self.bike
        number = bike.true.look_at[name]
        look = bike.true.looks[number]
        missing = bike.true.needs[number] - self.open
        cost = bike.seconds[name] + ENTRY + sum(bike.opening[one] for one in missing)
        cost += STATION * (look.station != self.at)
        if self.spent + cost > self.most:
            return False
        self.spent += cost
        self.open |= missing
        self.caught.cards += look.station != self.at
        self.at = look.station
        shown = bike.shown[name]
        self.taken[name] = shown
        self.caught.looks += 1
        self.spent += FIND * any(shown.values())
        for fault, is_shown in shown.items():
            if is_shown and bike.faults[bike.true.fault_at[fault]] and fault not in self._met:
                self._meet(fault)
        return True

    def _meet(self, name: str) -> None:
        number = self.bike.true.fault_at[name]
        fault = self.bike.true.faults[number]
        self._met.add(name)
        self.caught.worth += fault.worth
        self.caught.harm += fault.harm
        self.caught.money += fault.money
        self.caught.unsafe += fault.harm >= UNSAFE
        self.caught.explained |= number == self.bike.cause


def by_list(bike: Drawn, seconds: float, names: Iterable[str]) -> Caught:
    """Go round by a list; the first look that no longer fits ends it."""
    here = Round(bike, seconds)
    for name in names:
        if name not in here.taken and not here.look(name):
            break
    return here.caught


def by_choice(bike: Drawn, seconds: float, sheet: LookSheet) -> Caught:
    """Go round by the chooser with the figures of *sheet*, planned again after each station."""
    here = Round(bike, seconds)
    belief: LookBelief = believed(sheet)
    lead, first = min(150.0, seconds / 2), True
    while True:
        minutes = (seconds - here.spent) / 60
        plan = plan_looks(
            belief, minutes, taken=frozenset(here.taken), opened=frozenset(here.open), lead=lead, at=here.at
        )
        if not plan.looks or (minutes < 2 and first):
            return here.caught
        first = False
        is_lead = plan.looks[0].rule == "complaint"
        station = plan.looks[0].look.station
        before = here.spent
        for one in plan.looks:
            if (one.rule == "complaint") != is_lead or (not is_lead and one.look.station != station):
                break
            if not here.look(one.look.id):
                return here.caught
            belief = answered(belief, one.look.id, here.taken[one.look.id])
        if is_lead:
            lead = max(lead - (here.spent - before), 0.0)


# --------------------------------------------------------------------------------------------- lists on paper

# A mechanic's first pass, station by station; common practice, no source. {e}: the end of the station.
_ON_THE_FLOOR = ("hinges", "axle-closed:{e}", "brake-bite:{e}", "lever:{e}")
_WHEEL = (
    "spin:{e}",
    "tyre-cut:{e}",
    "tyre-worn:{e}",
    "spokes:{e}",
    "hub-rock:{e}",
    "pads-eye:{e}",
    "rotor-nail:{e}",
    "rim-nail:{e}",
)
FIRST_PASS = (
    "chain-slack-fixed", "fixed-lockring",
    *(name.replace("{e}", "front") for name in _ON_THE_FLOOR), "headset-play", "bar-slip", "steering-rod", "child-reach",
    "tyre-low:front",
    *(name.replace("{e}", "rear") for name in _ON_THE_FLOOR[1:]), "reaction-arm", "saddle-loose", "insertion", "tyre-low:rear",
    "carrier", "child-seat", "box-seats", "double-stand", "stabilisers",
    "frame-crack", "hoses", "brake-cables",
    *(name.replace("{e}", "front") for name in _WHEEL), *(name.replace("{e}", "rear") for name in _WHEEL),
    "chain-gauge", "stiff-link", "shift-run", "hanger-sight", "crank-rock", "pedals", "belt", "hub-gear-marks", "chain-slack",
    "stanchion", "fork-bush", "pivots", "dropper", "battery-case", "battery-lock", "motor-axle", "display", "loom",
    "lights", "mudguard", "grips-ends",
)  # fmt: skip
BY_DOUBT = (
    "headset-feel", "chainring", "jockeys", "slip-test", "pads-out:front", "pads-out:rear", "rotor-mic:front", "rotor-mic:rear",
    "rim-rule:front", "rim-rule:rear", "hub-feel:front", "hub-feel:rear", "cassette-gauge", "hanger-gauge", "dial:front", "dial:rear",
)  # fmt: skip


def first_pass(bike: Drawn) -> list[str]:
    """The paper list on this bike: the complaint's places, then the stations, then what is measured by doubt."""
    sheet = bike.told
    places = [name for told in sheet.complaints for name in told.first]
    return list(dict.fromkeys(name for name in (*places, *FIRST_PASS, *BY_DOUBT) if name in sheet.look_at))


def fixed_order(trade: Tables, bike: Drawn) -> list[str]:
    """The readings of every walk-round in the order in which they stand along the bike, each as its row says."""
    by_limit: dict[str, list[str]] = {}
    for look in bike.told.looks:
        for limit in trade.looks[look.id.partition(":")[0]].limits:
            by_limit.setdefault(limit, []).append(look.id)
    found = []
    for place in trade.walk_round.values():
        for limit in place.limits:
            if trade.limits[limit].read_in == "walk-round":
                names = by_limit.get(limit, [])
                found += [
                    name
                    for name in names
                    if not place.end or not name.partition(":")[2] or name.endswith(place.end)
                ]
    return list(dict.fromkeys(found))
