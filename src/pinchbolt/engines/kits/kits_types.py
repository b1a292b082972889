"""What the kits engine is asked and what it answers."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from pinchbolt.values import Reason

Aim = Literal["count", "grams", "price"]


@dataclass(frozen=True, slots=True)
class CoverTool:
    """A tool that may go into the kit. `drives` are what it turns; `keeps` the joints whose torque it is sure to keep.

    `keeps` comes from the torque engine, with the tool's deviation in it: a preset of 5 N·m keeps a joint only if all
    it may apply lies inside the joint's window. `bits` are the heads that it lets a torque tool turn. Mass in g; price in
    the shop's currency, None where unknown.
    """

    id: str
    name: str
    grams: float
    drives: frozenset[str] = frozenset()
    keeps: frozenset[str] = frozenset()
    price: Decimal | None = None
    bits: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class CoverJoint:
    """A joint to be covered; `needs_torque` where it must be kept to a torque.

    Any one of `drives` turns it. Where its head was not read, `heads` are those it may have: each must be turned, by any
    one of its drives. `bits`: heads that a torque tool must be able to turn. `held`: what holds its other side.
    """

    id: str
    name: str
    drives: tuple[str, ...]
    needs_torque: bool
    heads: tuple[tuple[str, ...], ...] = ()
    bits: tuple[tuple[str, ...], ...] = ()
    held: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Need:
    """One thing the kit must be able to do, and the tools of which any one does it."""

    joint: str
    words: str
    by: frozenset[str]


@dataclass(frozen=True, slots=True)
class Swap:
    """Another set that is as good: what leaves and what comes in."""

    leaves: tuple[str, ...]
    comes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Kit:
    """The set chosen, in the order given. `missing` are needs that no tool at hand meets; they are left open, and said.

    `proven` is True where no set of these tools does better; `as_good` are sets with the same figures. Mass in g.
    """

    tools: tuple[str, ...]
    count: int
    grams: float
    price: Decimal | None
    at_least: float
    proven: bool
    missing: tuple[Need, ...]
    as_good: tuple[Swap, ...]
    more_as_good: bool
    reasons: tuple[Reason, ...]
