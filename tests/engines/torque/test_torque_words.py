"""What is said beside a window: how each marking was read, which are doubted, and from where on."""

import pytest

from pinchbolt.engines.torque import JointSpec, TorqueMarking, TorqueRange, window
from pinchbolt.errors import PinchboltError

STEM_FACE = TorqueRange(4.0, 6.0, 5.0, "common practice, no source")


def told(*markings: TorqueMarking) -> str:
    """All that is said of a stem face with these markings."""
    try:
        answer = window(JointSpec("j", "Stem face", ("stem", "handlebar"), STEM_FACE, None, markings, False))
    except PinchboltError as refusal:
        return refusal.sentence
    return " ".join([reason.words for reason in answer.reasons] + list(answer.warnings))


@pytest.mark.parametrize(
    ("marking", "words"),
    [
        (TorqueMarking("stem", 5.0, means="target"), "The stem names 5 N·m as the value to use."),
        (TorqueMarking("stem", 5.0), "The stem is marked 5 N·m, read as the greatest value."),
        (TorqueMarking("stem", 5.5, 4.5), "The stem is marked 4.5 to 5.5 N·m."),
    ],
)
def test_a_marking_is_told_as_it_was_read(marking: TorqueMarking, words: str) -> None:
    """A value to use is not a greatest one, nor a range."""
    assert words in told(marking)
    pieces = ("names 5", "read as the greatest", "4.5 to 5.5")
    assert [piece for piece in pieces if piece in told(marking)] == [
        piece for piece in pieces if piece in words
    ]


@pytest.mark.parametrize(("greatest", "doubted"), [(12.0, False), (12.1, True), (60.0, True)])
def test_a_marking_over_twice_the_table_s_greatest_is_asked_about(greatest: float, doubted: bool) -> None:
    """55 for 5.5 is a slip of the keypad; twice the table is the bound, from memory."""
    marked = told(TorqueMarking("stem", greatest))
    assert ("read it again" in marked.lower()) is doubted, marked


def test_two_markings_of_one_part_that_differ_are_both_said() -> None:
    """The smallest counts; equal ones are no doubt."""
    both = told(TorqueMarking("stem", 6.0), TorqueMarking("stem", 5.0))
    assert "The stem has markings of 5 and 6 N·m: the smallest counts. Read it again." in both
    assert "has markings of" not in told(TorqueMarking("stem", 5.0), TorqueMarking("stem", 5.0))
