"""The language of the rules: what it can say, what it refuses, and that a missing fact stays missing."""

import copy
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinchbolt.engines.fit import run_rule
from pinchbolt.engines.fit._fit_words import Looking
from pinchbolt.engines.fit._language import Missing, RuleWrong, expression, filled
from pinchbolt.errors import InputRefused
from tests.engines.fit.conftest import plain_tables, plain_view

TABLES = plain_tables()
VIEW = plain_view()


def value(text: str, **names: object) -> object:
    """What an expression comes to."""
    return expression(text).run(Looking(VIEW, dict(names)))


@pytest.mark.parametrize(
    ("text", "comes_to"),
    [
        ("1 + 2 * 3", 7),
        ("2 ** 3", 8.0),
        ("-1 <= 0 <= 4", True),
        ("0.1 + 0.2 == 0.3", True),
        ("'a' in ['a', 'b']", True),
        ("true and not false", True),
        ("ceil(10.0000000001)", 10),
        ("number('12x1.5')", 12.0),
        ("number(after('12x1.5', 'x'))", 1.5),
        ("row('freehub', id='hg-11').spline_length", 36.8),
        ("nearest_below('tyre_on_hooked_rim', 'inner', 20, 6).tyre_min", 25),
        ("row_between('measuring_rim', 'section', 28).rim", 19),
        ("listed(row('freehub', id='none'))", False),
    ],
)
def test_the_language_works_out(text: str, comes_to: object) -> None:
    """Arithmetic, comparison and looking up."""
    assert value(text) == comes_to


@pytest.mark.parametrize(
    ("text", "comes_to"),
    [
        ("false and gone", False),
        ("true or gone", True),
        ("known(gone)", False),
        ("5 if 1 < 2 else gone", 5),
        ("3 if gone else 3", 3),
    ],
)
def test_a_missing_fact_is_passed_over_only_where_it_cannot_matter(text: str, comes_to: object) -> None:
    """Kleene's strong logic."""
    assert value(text) == comes_to


@pytest.mark.parametrize(
    "text",
    ["gone", "not gone", "gone + 1", "true and gone", "gone or false", "gone < 1", "abs(gone)", "[gone]",
     "gone == gone", "1 if gone else 2", "listed(gone)", "row('freehub', id=gone)", "number(gone)",
     "gone in [1]", "1 < gone < 2"],
)  # fmt: skip
def test_a_missing_fact_stays_missing_and_is_named(text: str) -> None:
    """Never a silent no."""
    answer = value(text)
    assert isinstance(answer, Missing)
    assert answer.names == {"gone"}


def test_what_a_table_lacks_is_not_a_no() -> None:
    """Comparing with a row that is not there cannot be told; asking whether it is listed can."""
    answer = value("row('chain', id='none').outer > 5")
    assert isinstance(answer, Missing)
    assert "no chain for id none" in answer.gaps[0]


@pytest.mark.parametrize(
    "text",
    ["__import__('os')", "().__class__", "a.__class__", "(lambda: 1)()", "[x for x in [1]]", "{1: 2}", "f'{a}'", "a[0]",
     "open('x')", "a := 1", "1 + 'a'", "9 ** 9 ** 9", "1 / 0", "'a' * 9", "1 + True", "5 and 3", "not 3", "sqrt(-1)",
     "abs()", "row(1, 2)", "1e999", "x" * 2000, "(" * 300, "-" * 600 + "1", "known(1, 2)", "abs(*[1])", "b'x'", "None",
     "1 is 1", "~1", "1 << 2", ""],
)  # fmt: skip
def test_what_is_no_rule_is_a_fault_and_runs_nothing(text: str) -> None:
    """The list of what may stand in a rule is short."""
    with pytest.raises(RuleWrong):
        value(text, a={"b": 1})


@settings(max_examples=150, deadline=None)
@given(st.text(alphabet="abrow()[]{}<>=+-*/%.,'\"0123456789 notandrif:_", max_size=40))
def test_no_text_brings_the_reader_down(text: str) -> None:
    """A fault of the table, never a crash."""
    try:
        value(text)
        assert isinstance(filled(text, Looking(VIEW, {})), str)
    except RuleWrong as wrong:
        assert str(wrong)


def overlaid(rule: str, **fields: object) -> dict[str, Any]:
    """The tables with one rule changed, as a workshop's own table would."""
    changed = copy.deepcopy(TABLES)
    changed["rules"][rule].update(fields)
    return changed


@pytest.mark.parametrize(
    ("fields", "where"),
    [
        ({"expression": "d = tube -"}, "expression"),
        ({"expression": "tube - post"}, "expression"),
        ({"decide": [{"when": "d <", "verdict": "fits"}]}, "decide 1"),
        ({"decide": [{"when": "d < 0", "verdict": "fits"}]}, "decide"),
        ({"decide": [{"verdict": "perhaps"}]}, "decide 1"),
        ({"decide": [{"verdict": "fits", "because": "{d"}]}, "decide 1"),
        ({"decide": [{"when": "d", "verdict": "fits"}]}, "decide 1"),
        ({"decide": []}, "decide"),
        ({"form": "guess"}, "form"),
        ({"inputs": {"post": {"number": [1]}}}, "inputs.post"),
        ({"inputs": {"post": {"of": "posts"}}}, "inputs.post"),
        ({"refuse": [{"when": "d +", "words": ""}]}, "refuse 1"),
    ],
)
def test_a_bad_rule_is_a_fault_with_file_row_and_field(fields: dict[str, object], where: str) -> None:
    """Who overlays a rule is told where it is wrong."""
    with pytest.raises(InputRefused) as refused:
        run_rule("seat-post", {"post": 27.2, "tube": 27.2}, overlaid("seat-post", **fields))
    assert f'rules.toml, row "seat-post", field "{where}"' in refused.value.sentence
    assert refused.value.sentence.endswith("Correct the file and start again.")


def test_an_overlay_changes_the_answer() -> None:
    """The rule is data: a workshop that asks for 1 mm of room gets it."""
    rows = [{"when": "d >= 1", "verdict": "fits"}, {"verdict": "does not fit", "because": "{d} mm"}]
    answer = run_rule("seat-post", {"post": 27.0, "tube": 27.2}, overlaid("seat-post", decide=rows))
    assert (answer.verdict.value, answer.because) == ("does not fit", "0.2 mm")
