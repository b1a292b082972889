"""One bike as the choice of looks takes it: looks, faults, what must be open, the complaint."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

HARM_WORTH = 20.0
"""Money that one point of harm counts as: it orders looks and is never said."""


@dataclass(frozen=True, slots=True)
class LookStation:
    """A place where the hands stay; `stand`: the bike is on the stand there."""

    id: str
    words: str
    stand: bool


@dataclass(frozen=True, slots=True)
class Look:
    """One look at this bike. `sees`: fault -> chance that it shows it; seconds of a practised hand, without `access`."""

    id: str
    words: str
    station: str
    seconds: float
    sees: Mapping[str, float]
    false_alarm: float
    access: tuple[str, ...] = ()
    always: bool = False
    figure: bool = False
    after: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LookFault:
    """Something that may be wrong. `chance` on such a bike; `forecast` in its place where the part's own wear tells it.

    `leans`: km, age (logs over the usual), wet, neglect, fall on the log of its odds. `goes_with` a fault, by `pair`.
    """

    id: str
    words: str
    chance: float
    harm: float
    money: float
    leans: Mapping[str, float] = field(default_factory=dict)
    goes_with: str = ""
    pair: float = 0.0
    forecast: float | None = None
    of_forecast: str = ""

    @property
    def worth(self) -> float:
        """What finding it spares: harm and money in one figure. [money]"""
        return HARM_WORTH * self.harm + self.money


@dataclass(frozen=True, slots=True)
class Opening:
    """What must be open, in hand or set up before some looks: once for all of them. [s]"""

    id: str
    words: str
    seconds: float
    after: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Split:
    """A test that tells causes apart: asked after an answer ("pump=yes") of another, or at once."""

    id: str
    ask: str
    yes: tuple[str, ...]
    no: tuple[str, ...]
    after: str = ""


@dataclass(frozen=True, slots=True)
class Causes:
    """A complaint: shares of ten by fault, of none found, the first looks in their order, tests that tell causes apart."""

    id: str
    words: str
    shares: Mapping[str, float]
    nothing_found: float
    first: tuple[str, ...] = ()
    splits: tuple[Split, ...] = ()


@dataclass(frozen=True, slots=True)
class UsePast:
    """How this bike was used: logs of distance and age over the usual, wet season, whether it fell (None: nobody knows).

    `km` and `age_words` are those words that the reasons may say of it.
    """

    log_km: float = 0.0
    log_age: float = 0.0
    wet: bool | None = None
    fell: bool | None = None
    said: str = ""


@dataclass(frozen=True)
class LookSheet:
    """All that may be looked at on one bike, stations in the order of the hands, looks in order within them."""

    stations: tuple[LookStation, ...]
    looks: tuple[Look, ...]
    faults: tuple[LookFault, ...]
    openings: tuple[Opening, ...]
    complaints: tuple[Causes, ...] = ()
    past: UsePast = UsePast()

    @cached_property
    def look_at(self) -> Mapping[str, int]:
        """The number of each look by its id."""
        return {one.id: number for number, one in enumerate(self.looks)}

    @cached_property
    def fault_at(self) -> Mapping[str, int]:
        """The number of each fault by its id."""
        return {one.id: number for number, one in enumerate(self.faults)}

    @cached_property
    def station_at(self) -> Mapping[str, int]:
        """The number of each station by its id."""
        return {one.id: number for number, one in enumerate(self.stations)}

    @cached_property
    def needs(self) -> tuple[frozenset[str], ...]:
        """All openings that each look needs, with those that come before them."""
        rows = {one.id: one for one in self.openings}

        def closed(names: tuple[str, ...]) -> frozenset[str]:
            found = frozenset(name for name in names if name in rows)
            for name in names:
                if name in rows:
                    found |= closed(rows[name].after)
            return found

        return tuple(closed(one.access) for one in self.looks)

    def seconds_to_open(self, names: frozenset[str]) -> float:
        """How long it takes to open all these. [s]"""
        return sum(one.seconds for one in self.openings if one.id in names)


def shares_on(sheet: LookSheet, complaint: Causes) -> Mapping[str, float]:
    """Return the shares of a complaint's causes that this bike can have, so that with none found they come to ten at most.

    Args:
        sheet: The bike. [-]
        complaint: What the owner says. [-]

    Returns:
        Share by fault. [of ten]

    Source: common practice, no source.
    """
    here = {name: share for name, share in complaint.shares.items() if name in sheet.fault_at}
    most = 10.0 - complaint.nothing_found
    total = sum(here.values())
    return {name: share * most / total for name, share in here.items()} if total > most else here
