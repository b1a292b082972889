"""Rows of the walk-round that is chosen: looks, what may be wrong, what must be open, what owners complain of."""

from collections.abc import Mapping
from typing import ClassVar

from pinchbolt.reference.rows.base import Entry, Row, entry
from pinchbolt.reference.rows.condition import Condition
from pinchbolt.values import Verdict


@entry
class StationRow(Row):
    """A place where the hands stay for some looks, in the order of the hands; `stand`: the bike is on the stand there."""

    id: str
    words: str
    stand: bool = False


@entry
class LookRow(Row):
    """One glance, feel or measurement on the kinds of part in `on`, where `when` holds; with `ends` one at each end.

    `seconds` are those of a practised hand once what it needs in `access` is open. `always`: part of the floor of safety looks of
    such a bike. `figure`: it is measured, else one tap answers it. `sees` names faults with the chance that this look shows them,
    `false_alarm` that it shows what is not there. `limits` are the limit rows that it answers or measures, `then` looks that settle
    what it found, `after` looks that come before it. `found` says in words what a find is, `verdict` what it means by itself.
    """

    id: str
    words: str
    station: str
    on: tuple[str, ...]
    seconds: float
    sees: Mapping[str, float]
    false_alarm: float
    found: str = ""
    verdict: Verdict = Verdict.WATCH
    ends: bool = False
    when: tuple[Condition, ...] = ()
    access: tuple[str, ...] = ()
    always: bool = False
    figure: bool = False
    limits: tuple[str, ...] = ()
    then: tuple[str, ...] = ()
    after: tuple[str, ...] = ()


@entry
class WhereChance(Entry):
    """The chance on such bikes: of one of `kinds`, where any is named, and where all of `when` holds."""

    chance: float
    kinds: tuple[str, ...] = ()
    when: tuple[Condition, ...] = ()


@entry
class LookFaultRow(Row):
    """What may be wrong on a bike, apart from how it is seen.

    `chance` is that on such a bike at a usual age and distance, `chance_rear` of the rear one, `where` that on other bikes (the
    first that fits). `leans` moves the log of its odds: per unit of the log of distance (`km`) and of age over the usual, in the
    wet season, per unit of neglect, after a fall. `forecast`: limits whose own forecast takes the place of the chance. `harm` on
    the ladder 0 to 100, `money` what waiting until the next visit costs. `goes_with`: a fault that makes it likelier, by
    `goes_with_log_odds`.
    """

    id: str
    words: str
    chance: float
    harm: float
    money: float
    leans: Mapping[str, float]
    chance_rear: float | None = None
    where: tuple[WhereChance, ...] = ()
    forecast: tuple[str, ...] = ()
    goes_with: str = ""
    goes_with_log_odds: float = 0.0


@entry
class WhereSeconds(Entry):
    """How long it takes on such bikes: of one of `kinds`, where any is named, and where all of `when` holds."""

    seconds: float
    kinds: tuple[str, ...] = ()
    when: tuple[Condition, ...] = ()


@entry
class AccessRow(Row):
    """What must be open, in hand or set up before some looks, once for all of them; `after` other access."""

    id: str
    words: str
    seconds: float
    after: tuple[str, ...] = ()
    where: tuple[WhereSeconds, ...] = ()


@entry
class SplitEntry(Entry):
    """A test of ten seconds that tells causes of a complaint apart; asked only `after` an answer of another: "pump=yes"."""

    id: str
    ask: str
    yes: tuple[str, ...] = ()
    no: tuple[str, ...] = ()
    after: str = ""


@entry
class ComplaintRow(Row):
    """What an owner complains of, in `words` and as owners say it (`said`).

    `shares`: faults, with :front or :rear where there are two, of ten such bikes; `nothing_found` of ten. `first`: the looks in the
    order in which a mechanic takes them. `splits` tell the causes apart.
    """

    said_too: ClassVar[tuple[str, ...]] = ("said",)

    id: str
    words: str
    said: tuple[str, ...]
    shares: Mapping[str, float]
    nothing_found: float
    first: tuple[str, ...]
    splits: tuple[SplitEntry, ...] = ()
