"""The menu of work, the sign-off list, refusals and the home check, shelf prices."""

from decimal import Decimal
from typing import ClassVar, Literal

from pinchbolt.reference.rows.base import Row, entry
from pinchbolt.reference.rows.condition import Condition
from pinchbolt.values import Verdict


@entry
class BlockRow(Row):
    """Work that several operations share and that is done once; minutes of a trained mechanic."""

    id: str
    words: str
    minutes: int


@entry
class Operation(Row):
    """One line of the menu. `minutes` are low, usual, high and include the blocks named in `shares`."""

    id: str
    name: str
    minutes: tuple[int, int, int]
    shares: tuple[str, ...]
    steps: tuple[str, ...]
    tools: tuple[str, ...]
    parts: tuple[str, ...]
    needs: tuple[str, ...]
    checks: tuple[str, ...]
    next: str
    joints: tuple[str, ...] = ()
    when: tuple[Condition, ...] = ()
    caution: str = ""


@entry
class SignoffItem(Row):
    """What must be true before a bike leaves; `second` = a second pair of eyes looks.

    `applies`: one of these conditions is enough, at `end` where one is given; empty = every bike.
    """

    id: str
    words: str
    applies: tuple[Condition, ...]
    proof: str
    if_not: Verdict
    second: bool
    end: Literal["", "front", "rear"] = ""
    joints: tuple[str, ...] = ()


@entry
class Caution(Row):
    """What is said where work can hurt somebody.

    `when`: one of these conditions is enough; empty = always. `places` and `joints` are those of the joints table at
    which it bites, of class `critical` alone where one is given; `always_at` those at which it bites whatever the bike
    is. A row that names where it bites and has no `when` is said there only.
    """

    id: str
    words: str
    when: tuple[Condition, ...] = ()
    places: tuple[str, ...] = ()
    joints: tuple[str, ...] = ()
    critical: Literal["", "A", "B", "C"] = ""
    always_at: tuple[str, ...] = ()

    @property
    def at_joints_only(self) -> bool:
        """Whether it is said at joints and not of the bike as a whole."""
        return not self.when and bool(self.places or self.joints or self.always_at)


@entry
class Refusal(Row):
    """Work that is refused, and what is done instead."""

    id: str
    words: str
    do: str


@entry
class HomeCheck(Row):
    """One line of the owner's monthly check; `stop` says what to do if it fails."""

    key: ClassVar[tuple[str, ...]] = ("n",)

    n: int
    words: str
    stop: str
    when: tuple[Condition, ...] = ()


@entry
class ShelfPrice(Row):
    """Price of one on the shelf, with tax, in the workshop's currency; `when` says of which bikes.

    Where several rows of a kind hold, the one with the most conditions is meant.
    """

    id: str
    part: str
    name: str
    price: Decimal
    when: tuple[Condition, ...] = ()
