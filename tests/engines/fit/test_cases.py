"""The worked cases of the rules table, every one: a case added to the table is run without a change here."""

import re
from typing import Any

import pytest

from pinchbolt.engines.fit import FitWord, run_rule
from tests.engines.fit.conftest import plain_tables, plain_view

PLAIN, TABLES = plain_tables(), plain_view()
CASES = [
    pytest.param(rule["id"], case, id=f"{rule['id']}-{number}")
    for rule in PLAIN["rules"].values()
    for number, case in enumerate(rule["cases"], start=1)
]
NUMBER = re.compile(r"\d+(?:\.\d+)?")


def numbers(text: str) -> set[float]:
    """The figures in a sentence, by value: 1.0 and 1 are one."""
    return {float(found) for found in NUMBER.findall(text)}


def words(text: str) -> list[str]:
    """The beginnings of the longer words of a sentence."""
    return [found[:4].lower() for found in re.findall(r"[A-Za-z]{4,}", text)]


@pytest.mark.parametrize(("rule", "case"), CASES)
def test_the_rule_says_what_the_worked_case_says(rule: str, case: dict[str, Any]) -> None:
    """Verdict as written; every figure of the case's `with` and `because` is said, and the thing is named."""
    answer = run_rule(rule, case["given"], TABLES)
    if case["verdict"] == "pitches":
        assert (answer.verdict, answer.value) == (FitWord.FITS, case["value"])
        return
    assert answer.verdict.value == case["verdict"], answer.because
    said = " ".join((*answer.with_items, answer.because))
    told = f"{case.get('with', '')} {case.get('because', '')}"
    assert numbers(told) <= numbers(said), said
    assert not words(told) or any(word in said.lower() for word in words(told)), said
    if answer.verdict is FitWord.FITS_WITH and case.get("with"):
        assert answer.with_items
    if answer.verdict is FitWord.CANNOT_TELL:
        assert answer.missing or answer.because
        assert len(answer.ask) == len(answer.missing)


def test_every_rule_has_at_least_five_cases() -> None:
    """A rule without worked cases is an opinion."""
    short = {rule["id"]: len(rule["cases"]) for rule in PLAIN["rules"].values() if len(rule["cases"]) < 5}
    assert short == {}
    assert len(CASES) >= 320


def test_every_case_says_how_its_answer_is_known() -> None:
    """A case that nobody can vouch for shows what the program says, not what is right."""
    silent = [
        (name, case["given"])
        for name, rule in PLAIN["rules"].items()
        for case in rule["cases"]
        if len(case.get("known_by", "")) < 6
    ]
    assert silent == []


@pytest.fixture(scope="module")
def typed() -> object:
    """The tables as the project's own loader gives them."""
    from pinchbolt.reference import load

    return load()


def test_typed_rows_and_plain_mappings_give_the_same_answers(typed: object) -> None:
    """The engine does not care what its rows are held in."""
    for rule in PLAIN["rules"].values():
        for case in rule["cases"]:
            plain, same = (
                run_rule(rule["id"], case["given"], PLAIN),
                run_rule(rule["id"], case["given"], typed),
            )
            assert (plain.verdict, plain.with_items, plain.because) == (
                same.verdict,
                same.with_items,
                same.because,
            )
            assert (plain.missing, plain.value, plain.ask) == (same.missing, same.value, same.ask)
