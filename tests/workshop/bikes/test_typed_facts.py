"""Facts as they are typed: the ends of what is taken, and questions that say their unit."""

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.reference import tables
from pinchbolt.workshop.bikes.part_questions import question_about
from pinchbolt.workshop.bikes.typed_facts import parse_fact


def a_text_fact() -> str:
    """A fact that is free text, as printed on the part."""
    for name in ("chain_model", "stem_model", "hanger", "pad_shape", "seat_tube"):
        try:
            parse_fact(name, "x" * 60)
        except InputRefused:
            continue
        return name
    raise LookupError("no fact is free text any more: name one")


def test_sixty_letters_are_taken_and_sixty_one_are_not() -> None:
    """The sentence says what is allowed; a list is no word."""
    name = a_text_fact()
    assert parse_fact(name, "x" * 60) == "x" * 60
    for told in ("x" * 61, ["x"], "a\x07b"):
        with pytest.raises(InputRefused, match="at most 60 letters and figures"):
            parse_fact(name, told)


def test_a_question_carries_the_unit_of_its_row_else_that_of_its_rule() -> None:
    """No figure is asked without its unit, where row or rule has one."""
    by_row = [row for row in tables().facts.values() if row.unit]
    assert len(by_row) > 5
    assert all(question_about(row).unit == row.unit for row in by_row)
