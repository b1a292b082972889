"""The menu of work, the sign-off list, refusals and the home check, shelf prices."""

from dataclasses import dataclass
from decimal import Decimal
from typing import ClassVar, Literal

from pinchbolt.reference.rows.base import Row, entry
from pinchbolt.reference.rows.condition import Condition
from pinchbolt.values import Verdict

TaxClass = Literal["standard", "reduced", "zero"]


@dataclass(frozen=True, slots=True)
class PartWanted:
    """A kind of part and how many: `count`, or as many as `fact` of a part on the bike says, where somebody knows it."""

    kind: str
    count: int = 1
    fact: str = ""


def part_wanted(text: str) -> PartWanted:
    """Read a part as operations and proposals name it: KIND, KIND x 2, or KIND x FACT|2.

    Raises:
        ValueError: The count is no whole number from 1 on.

    Example:
        >>> part_wanted("spoke x spoke_count|32")
        PartWanted(kind='spoke', count=32, fact='spoke_count')
    """
    kind, _, many = text.partition(" x ")
    fact, bar, other = many.rpartition("|")
    count = int(other or many or "1") if bar or many else 1
    if count < 1:
        raise ValueError(text)
    return PartWanted(kind, count, fact)


@entry
class BlockRow(Row):
    """Work that several operations share and that is done once; minutes of a trained mechanic.

    `at_place`: once at each end of the bike, so that a tyre off in front saves nothing behind. `joints` are those that
    it undoes, at `end` where one is given. `said`: words in the steps of an operation that tell that the block is done.
    Where `when` holds of a bike, it comes with every operation that shares a block named in `beside`.
    """

    id: str
    words: str
    minutes: int
    at_place: bool = False
    end: Literal["", "front", "rear"] = ""
    joints: tuple[str, ...] = ()
    said: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()
    when: tuple[Condition, ...] = ()


@entry
class ExtraMinutes(Row):
    """Minutes (low, usual, high) that some operations take besides where `when` holds of the bike, at `end` where one is given.

    `words` say why: they stand on the job card.
    """

    id: str
    operations: tuple[str, ...]
    minutes: tuple[int, int, int]
    words: str
    when: tuple[Condition, ...]
    end: Literal["", "front", "rear"] = ""


@entry
class Operation(Row):
    """One line of the menu. `minutes` are low, usual, high and include the blocks named in `shares`.

    A share with {end} is the block of the wheel that the work is done on. `at_place`: done at one end of the bike, at the
    other it is another line. `joints` are opened besides those of the blocks, and with `joints_set` those that can hurt
    (`safety`: class A, due within half a year, with a figure of the table) or all. `parts` are kinds of part that a line
    brings, as `part_wanted` reads them; `supplies` are used up and have no price of their own. `touches`: further kinds
    that it sets or moves; after work on the `whole_bike` the whole safety list is asked. `tax_class` is that of its labour.
    `fixed_price`: what its labour costs whatever it takes. `offered` false: this workshop doesn't do it, and says so. `nights`: nights
    that must pass after it before its proof can be had (sealant, glue, a lever tied back). `may_renew`: kinds of part that
    it renews or leaves; who did it says which.
    """

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
    joints_set: Literal["", "safety", "all"] = ""
    at_place: bool = False
    supplies: tuple[str, ...] = ()
    when: tuple[Condition, ...] = ()
    caution: str = ""
    touches: tuple[str, ...] = ()
    may_renew: tuple[str, ...] = ()
    whole_bike: bool = False
    tax_class: TaxClass = "standard"
    fixed_price: Decimal | None = None
    offered: bool = True
    nights: int = 0

    @property
    def is_of_whole_bike(self) -> bool:
        """Whether the whole bike is looked over after it."""
        return self.whole_bike or bool(self.joints_set)

    def blocks_at(self, end: str) -> tuple[str, ...]:
        """The ids of its blocks for work at one end; where nobody says which, those of both wheels."""
        ends = (end,) if end else ("front", "rear")
        return tuple(dict.fromkeys(name.replace("{end}", one) for name in self.shares for one in ends))


@entry
class SignoffItem(Row):
    """What must be true before a bike leaves; `second` = a second pair of eyes looks.

    `applies`: one of these conditions is enough, at `end` where one is given; empty = every bike. `width`: asked after any
    work (`always`), where the work touched it, or after work on the whole bike alone. Touched is what opened one of its
    `joints` or of `opened`, or was on a kind of part in `of`. The second look is for what was touched.
    """

    id: str
    words: str
    applies: tuple[Condition, ...]
    proof: str
    if_not: Verdict
    second: bool
    end: Literal["", "front", "rear"] = ""
    joints: tuple[str, ...] = ()
    width: Literal["always", "touched", "whole"] = "touched"
    of: tuple[str, ...] = ()
    opened: tuple[str, ...] = ()


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
    """One line of the owner's check, before each ride or each month; `stop` says what to do if it fails."""

    key: ClassVar[tuple[str, ...]] = ("n",)

    n: int
    every: Literal["each ride", "each month"] = "each month"
    words: str
    stop: str
    when: tuple[Condition, ...] = ()


@entry
class ShelfPrice(Row):
    """Price of one on the shelf, with tax, in the workshop's currency; `when` says of which bikes.

    Where several rows of a kind hold, the one with the most conditions is meant. A row with `if_unknown` stands in, and only
    then, where what is not known is one of those facts; its name says so, and an estimate shows it.
    """

    id: str
    part: str
    name: str
    price: Decimal
    when: tuple[Condition, ...] = ()
    if_unknown: tuple[str, ...] = ()
    tax_class: TaxClass = "standard"
