"""The fit rules in plain words: which there are, what each needs, and a question asked as people speak; opens no record."""

from dataclasses import dataclass

from pinchbolt.engines.fit import FitVerdict, FitWord, ask_in_words, rules_in_words
from pinchbolt.values import Json
from pinchbolt.workshop.common.fit_answers import rule_json
from pinchbolt.workshop.common.trade_tables import fit_tables


@dataclass(frozen=True, slots=True)
class MeantView:
    """One thing that was understood: what it is called, and the value in plain words with its code."""

    name: str
    words: str
    input: str
    value: str | float | bool


@dataclass(frozen=True, slots=True)
class FitReadingView:
    """One way to understand the question: what was meant, the verdict, what it needs and why."""

    meant: tuple[MeantView, ...]
    verdict: str
    needs: tuple[str, ...]
    because: str
    ask: tuple[str, ...]

    @property
    def names_parts_alone(self) -> bool:
        """Whether the reason is what was meant and no more: it is said once."""
        return self.because == "; ".join(f"{one.name}: {one.words}" for one in self.meant)


@dataclass(frozen=True, slots=True)
class OpenView:
    """What would fit for one thing that was left open, what no rule speaks against, and what decides besides."""

    name: str
    fits: tuple[str, ...]
    fits_with: tuple[str, ...]
    not_ruled_out: tuple[str, ...]
    unless: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RuleAskedView:
    """A rule that the question may be about, with its answers, what it still needs to be told, what would fit for what was
    left open, and the words that went into no answer."""

    rule: str
    name: str
    words: str
    readings: tuple[FitReadingView, ...]
    needs: tuple[str, ...]
    open: tuple[OpenView, ...]
    not_heard: tuple[str, ...]

    @property
    def open_leads(self) -> bool:
        """Whether what would fit is the answer: it was asked for, and nothing is known that does not fit."""
        return bool(self.open) and all(one.verdict == FitWord.CANNOT_TELL for one in self.readings)


@dataclass(frozen=True, slots=True)
class RuleListed:
    """A rule of the list: its code, its name, what it says, what it needs and an example of how it is asked."""

    rule: str
    name: str
    words: str
    needs: tuple[str, ...]
    asked: tuple[str, ...]


def fit_in_words(words: str) -> tuple[RuleAskedView, ...]:
    """Return what the fit rules say to a question in words, likeliest rule first.

    Raises:
        InputRefused: Nothing was asked, or no word of it stands in any rule.
    """
    return tuple(
        RuleAskedView(
            one.rule,
            one.name,
            one.words,
            tuple(
                _reading(
                    tuple(
                        MeantView(
                            meant.name.removeprefix("the "),
                            meant.words,
                            meant.input,
                            meant.value
                            if isinstance(meant.value, str | float | bool | int)
                            else str(meant.value),
                        )
                        for meant in reading.meant
                    ),
                    reading.verdict,
                )
                for reading in one.readings
                if reading.meant
            ),
            one.needs,
            tuple(
                OpenView(left.name, left.fits, left.fits_with, left.not_ruled_out, left.unless)
                for left in one.open
            ),
            one.not_heard,
        )
        for one in ask_in_words(words, fit_tables())
    )


def _reading(meant: tuple[MeantView, ...], verdict: FitVerdict) -> FitReadingView:
    told: Json = rule_json(verdict)
    return FitReadingView(meant, told["verdict"], tuple(told["with"]), told["because"], tuple(told["ask"]))


def fit_list() -> tuple[RuleListed, ...]:
    """Return every fit rule in plain words, in the order of the table."""
    return tuple(
        RuleListed(one.rule, one.name, one.words, one.needs, one.asked)
        for one in rules_in_words(fit_tables())
    )
