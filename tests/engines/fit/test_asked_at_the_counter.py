"""Everyday questions in words: rule, what was understood, verdict and reason, each written down before the program was asked."""

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from pinchbolt.engines.fit import FitWord, RuleAsked, ask_in_words, run_rule
from tests.engines.fit.conftest import plain_tables, plain_view

PLAIN = plain_tables()
TABLES = plain_view()
ASKED = tomllib.loads(Path(__file__).with_name("everyday-words.toml").read_text(encoding="utf-8"))["ask"]


@cache
def answered(words: str) -> RuleAsked:
    """The first answer to a question as it stands in the file: three tests look at it."""
    return ask_in_words(words, TABLES)[0]


@pytest.mark.parametrize("one", ASKED, ids=lambda one: one["words"])
def test_the_question_is_answered_as_a_mechanic_answers_it(one: dict[str, Any]) -> None:
    """The rule leads; what was meant was understood; no reading says anything else than may be said."""
    found = answered(one["words"])
    assert found.rule == one["rule"]
    assert {reading.verdict.verdict.value for reading in found.readings} <= set(one["verdicts"])
    for name, value in one.get("heard", {}).items():
        meant = [heard.value for reading in found.readings for heard in reading.meant if heard.input == name]
        assert value in meant, (name, meant)
    if "open" in one:
        open_words = [
            word
            for open_one in found.open
            if open_one.input == one["open"]
            for word in (*open_one.fits, *open_one.fits_with, *open_one.not_ruled_out)
        ]
        assert one["said"] in " ".join(open_words)
    elif "said" in one:
        told = [" ".join((one.verdict.because, *one.verdict.with_items)) for one in found.readings]
        assert one["said"] in " ".join(told)


def test_most_of_the_questions_say_what_was_meant() -> None:
    """A file of verdicts alone would be right by chance."""
    assert len(ASKED) >= 150
    assert sum("heard" in one for one in ASKED) > 140


@pytest.mark.parametrize("one", ASKED, ids=lambda one: one["words"])
def test_what_would_fit_does_fit(one: dict[str, Any]) -> None:
    """Each thing that is offered for what was left open is asked of the rule again, with what was said beside it."""
    found = answered(one["words"])
    for open_one in found.open:
        given = {heard.input: heard.value for heard in found.readings[0].meant}
        assert open_one.input not in given
        assert open_one.fits or open_one.fits_with or open_one.not_ruled_out
        if not open_one.unless:
            for value in open_one.values:
                again = run_rule(found.rule, {**given, open_one.input: value}, TABLES)
                assert again.verdict is FitWord.FITS, (value, again.because)


@pytest.mark.parametrize("one", ASKED, ids=lambda one: one["words"])
def test_what_was_not_said_and_is_needed_is_named(one: dict[str, Any]) -> None:
    """As many things are named as lacking as the rule needs and the words left out: none that was said, none forgotten."""
    found = answered(one["words"])
    needed = PLAIN["rules"][found.rule]["needs"]
    heard = {meant.input for reading in found.readings for meant in reading.meant}
    if found.readings:
        assert len(found.needs) == len([name for name in needed if name not in heard]), found.needs


def test_capitals_and_joining_words_of_a_question_change_nothing() -> None:
    """Shouted, with a question mark, or begun politely."""
    for one in ASKED[::4]:
        words = one["words"]
        plain = answered(words)
        for other in (f"{words}?", f"please: {words}", f"does a {words} fit"):
            again = ask_in_words(other, TABLES)[0]
            assert again.rule == plain.rule, other
            assert [reading.meant for reading in again.readings] == [
                reading.meant for reading in plain.readings
            ]


def test_a_misfit_stands_whatever_is_not_known() -> None:
    """The bore decides before anybody measured the width; where the width decides, it cannot be told."""
    bore = run_rule("bb-shell-part", {"part_family": "bsa", "shell_family": "t47-ext"}, TABLES)
    assert bore.verdict is FitWord.DOES_NOT_FIT and "47" in bore.because
    assert set(bore.missing) == {"part_widths", "shell_width"}
    width = run_rule("bb-shell-part", {"part_family": "bb92", "shell_family": "bb86"}, TABLES)
    assert width.verdict is FitWord.CANNOT_TELL
