"""FitReading the rules without a bike: faults are said with their place, and every fact has its question."""

import copy
from typing import Any

import pytest

from pinchbolt.engines.fit import check_build, check_rules, questions
from tests.engines.fit.conftest import plain_tables, plain_view
from tests.engines.fit.test_build import BIKE

PLAIN, TABLES = plain_tables(), plain_view()


def test_the_trade_rules_read_without_a_fault() -> None:
    """Every expression, sentence, input and place."""
    assert check_rules(TABLES) == ()


@pytest.mark.parametrize(
    ("rule", "fields", "said"),
    [
        ("seat-post", {"expression": "d = tube - pots"}, 'field "expression" looks at "pots"'),
        ("seat-post", {"expression": "d = tube -"}, 'field "expression" cannot be read'),
        ("seat-post", {"form": "guess"}, 'field "form" is "guess"'),
        ("cassette-body", {"table": "cassete_on_body"}, 'field "table" is "cassete_on_body"'),
        ("seat-post", {"decide": [{"when": "d < 1", "verdict": "fits"}]}, "has no last row without a condition"),
        ("seat-post", {"decide": [{"verdict": "fits", "becuase": "x"}]}, 'has the field "becuase"'),
        ("seat-post", {"decide": [{"verdict": "perhaps"}]}, 'has the verdict "perhaps"'),
        ("seat-post", {"decide": [{"verdict": "fits", "because": "{dd} mm"}]}, 'field "decide 1" looks at "dd"'),
        ("seat-post", {"inputs": {"post": {"ask": "?"}, "tube": {"text": True}}}, 'field "inputs.post" has no kind'),
        ("seat-post", {"inputs": {"pots": {"text": True}}}, 'field "inputs.pots" is asked for nowhere'),
        ("seat-post", {"inputs": {"post": {"of": "posts"}}}, 'names the interface "posts"'),
        ("seat-post", {"at": [{"place": "x", "post": "(("}]}, 'field "at 1" cannot be read'),
        ("capacity", {"refuse": [{"when": "rings <", "words": ""}]}, 'field "refuse 1" cannot be read'),
    ],
)  # fmt: skip
def test_a_fault_is_said_with_file_row_and_field(rule: str, fields: dict[str, Any], said: str) -> None:
    """Before any bike meets it."""
    changed = copy.deepcopy(PLAIN)
    changed["rules"][rule].update(fields)
    faults = check_rules(changed)
    assert any(f'rules.toml, row "{rule}"' in fault and said in fault for fault in faults), faults


def test_every_fact_has_a_name_and_a_way_to_find_it_out() -> None:
    """No question without an answer's way."""
    asked = questions(TABLES)
    assert len({one.fact for one in asked}) == len(asked)
    assert all(one.name and one.ask and one.rules for one in asked)
    facts = {one.fact for one in asked}
    assert {
        "cassette",
        "body",
        "frame_rear",
        "seat_tube",
        "rotor_front",
        "valve_hole",
        "headset_lower",
    } <= facts


def test_what_a_check_asks_for_is_among_the_questions() -> None:
    """The missing facts of a check can be put on a form."""
    facts = {one.fact for one in questions(TABLES)}
    answer = check_build({**BIKE, "rear_hub": "cannot tell", "rim_bsd": None, "opening": ""}, TABLES)
    missing = {name for check in answer.checks for name in check.missing}
    assert missing
    assert missing <= facts | {"tyre"}


def test_a_question_says_what_may_be_answered() -> None:
    """Range and unit, or the words of the table."""
    by_fact = {one.fact: one for one in questions(TABLES)}
    assert (by_fact["seat_tube"].allowed, by_fact["seat_tube"].unit) == ((20, 50), "mm")
    assert "hg-11" in by_fact["body"].allowed
    assert by_fact["hook"].kind == "flag"
