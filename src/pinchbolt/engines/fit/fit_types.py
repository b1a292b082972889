"""What the fit engine is asked and what it answers."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from pinchbolt.values import Reason


class FitWord(StrEnum):
    """The four verdicts; the word itself is what is shown and stored."""

    FITS = "fits"
    FITS_WITH = "fits with"
    DOES_NOT_FIT = "does not fit"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True, order=True)
class FitNeed:
    """What a rule asks for at one place: the same words at both ends of a bike are two things, at one place they are one.

    `is_work`: done or said, not bought, so that it has no price of its own.
    """

    words: str
    place: str
    is_work: bool = False


@dataclass(frozen=True, slots=True)
class FitVerdict:
    """Answer of one rule: verdict, what it needs (`with`), why, which inputs are missing, a value where it gives one.

    `ask` says, for each missing input, how to find it out; `place` is where on the bike (empty for a rule run alone).
    Of `with_items`, those in `work` are done or said and not bought, and those in `parts` are parts of the bike itself,
    such as another cassette: who plans chooses them, so a choice that still wants one is none.
    """

    rule: str
    name: str
    verdict: FitWord
    with_items: tuple[str, ...]
    because: str
    missing: tuple[str, ...]
    value: float | None
    reasons: tuple[Reason, ...]
    ask: tuple[str, ...] = ()
    place: str = ""
    work: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()

    @property
    def needs(self) -> tuple[FitNeed, ...]:
        """What it needs where it fits with something: none of what fits as it is."""
        if self.verdict is not FitWord.FITS_WITH:
            return ()
        return tuple(FitNeed(words, self.place, words in self.work) for words in self.with_items)


@dataclass(frozen=True, slots=True)
class BuildVerdict:
    """Whole-build check: the worst of the rules leads; what cannot be told is never hidden.

    `as_before` are doubts that a swap did not bring: they stood there before, and do not lead.
    """

    verdict: FitWord
    checks: tuple[FitVerdict, ...]
    cannot_tell: tuple[str, ...]
    shopping: tuple[str, ...]
    as_before: tuple[FitVerdict, ...] = ()

    @property
    def known(self) -> FitWord:
        """The worst of what can be told; cannot tell where nothing can."""
        said = {check.verdict for check in self.checks}
        worst_first = (FitWord.DOES_NOT_FIT, FitWord.FITS_WITH, FitWord.FITS)
        return next((word for word in worst_first if word in said), FitWord.CANNOT_TELL)


@dataclass(frozen=True, slots=True)
class Question:
    """One fact of a build: what it is called, how to find it out, what it may be, and which rules look at it.

    `kind`: number, whole, numbers (then `allowed` is least and greatest), flag, of, one_of (then the words), text; `table` is
    the kind of row whose ids they are.
    """

    fact: str
    name: str
    ask: str
    unit: str
    kind: str
    allowed: tuple[object, ...]
    rules: tuple[str, ...]
    table: str = ""


@dataclass(frozen=True, slots=True)
class Offer:
    """A part or adapter that may be fitted: the place it takes (`slot`), the facts it brings, its price and minutes."""

    id: str
    words: str
    slot: str
    sets: Mapping[str, object]
    price: Decimal
    minutes: int = 0
    in_bins: bool = True


@dataclass(frozen=True, slots=True)
class ItemPrice:
    """Price and minutes of what a rule asks for; it is for every item whose text holds these words."""

    words: str
    price: Decimal
    minutes: int = 0


@dataclass(frozen=True, slots=True)
class SwapPlan:
    """One way to the goal: what to fit, what it needs besides, what it costs, and what the checks say of the end.

    `cost` is price and labour; `unpriced` are needs whose price nobody gave: they are in `needs`, not in the price.
    """

    offers: tuple[Offer, ...]
    needs: tuple[FitNeed, ...]
    unpriced: tuple[FitNeed, ...]
    price: Decimal
    minutes: int
    cost: Decimal
    build: Mapping[str, object]
    verdict: BuildVerdict

    @property
    def items(self) -> tuple[str, ...]:
        """What is needed, in words; with its place where the same is needed at two."""
        return said_apart(self.needs)


def said_apart(needs: Sequence[FitNeed]) -> tuple[str, ...]:
    """Needs in words, each told apart from the same thing at another place."""
    said = [need.words for need in needs]
    return tuple(
        f"{need.words} ({need.place})" if said.count(need.words) > 1 and need.place else need.words
        for need in needs
    )


@dataclass(frozen=True, slots=True)
class Clash:
    """A rule that, with the others named, leaves no way to the goal."""

    rule: str
    name: str
    place: str
    because: str


@dataclass(frozen=True, slots=True)
class SwapAnswer:
    """The plans, best first; where there is none, the smallest set of rules that clash. `proved`: no better was missed."""

    plans: tuple[SwapPlan, ...]
    proved: bool
    clash: tuple[Clash, ...]
    words: str
