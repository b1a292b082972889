"""Fit rules, in words and as data, with their worked cases."""

from collections.abc import Mapping
from typing import ClassVar, Literal

from pinchbolt.reference.rows.base import Entry, Row, entry

FitAnswer = Literal["fits", "fits with", "does not fit", "cannot tell", "pitches"]


@entry
class RuleCase(Entry):
    """A worked case: what is given and the verdict that must come out; `known_by` says how, where it is not the rule's source."""

    given: Mapping[str, object]
    verdict: FitAnswer
    with_: str = ""
    because: str = ""
    value: float | None = None
    known_by: str = ""


@entry
class Spoken(Row):
    """What a code, or a word that a rule takes, is called at the counter: all words of one of the phrases must be said.

    With `only` it is meant at no other time than where one of those phrases is said.

    `of` is the kind of row, or the input of a rule; `code` the row's id or figure, the word itself, yes or no.
    """

    key: ClassVar[tuple[str, ...]] = ("of", "code")

    of: str
    code: str
    said: tuple[str, ...]
    only: tuple[str, ...] = ()


@entry
class FitRule(Row):
    """One rule. `form`: pair looks up `table`; equal compares; formula computes `expression`; all asks `rules`.

    `asked`: other words by which people ask for it; where `must_say` is given one of those words must be among what is asked.
    """

    id: str
    name: str
    words: str
    form: Literal["pair", "equal", "formula", "all"]
    needs: tuple[str, ...]
    cases: tuple[RuleCase, ...]
    table: str = ""
    unlisted: str = ""
    same: str = ""
    expression: str = ""
    decide: tuple[Mapping[str, object], ...] = ()
    also: str = ""
    asked: tuple[str, ...] = ()
    must_say: tuple[str, ...] = ()
    optional: tuple[str, ...] = ()
    marking: bool = False
    equivalent_bores: tuple[tuple[str, ...], ...] = ()
    reducing_races: tuple[tuple[float, ...], ...] = ()
    rules: tuple[str, ...] = ()
    inputs: Mapping[str, Mapping[str, object]] | None = None
    refuse: tuple[Mapping[str, object], ...] = ()
    runs: tuple[Mapping[str, object], ...] = ()
    at: tuple[Mapping[str, object], ...] = ()
