"""The method page is true: its examples run, and its numbers are the code's."""

import doctest
from pathlib import Path

from pinchbolt.engines.wheels import (
    CLASSES,
    QUARTER,
    _gauge,
    _learn_wheel,
    _length,
    _pitch,
    _plan,
    _stocked,
    _turn_search,
)

PAGE = Path(__file__).parents[3] / "docs" / "methods" / "wheels.md"


def test_the_examples_of_the_wheels_page_run() -> None:
    """What a reader types gives what the page prints."""
    text = PAGE.read_text(encoding="utf-8").replace("```python\n", "\n").replace("```", "")
    example = doctest.DocTestParser().get_doctest(text, {}, "wheels.md", "wheels.md", 0)
    assert len(example.examples) >= 7
    assert doctest.DocTestRunner().run(example).failed == 0


def test_the_numbers_on_the_wheels_page_are_those_of_the_code() -> None:
    """A rule changed in the code is changed on the page."""
    page = " ".join(PAGE.read_text(encoding="utf-8").split())
    usual = {name: round(sd * 1000, 1) for name, sd in _length.USUAL_SD.items()}
    told = {
        f"rim {usual['erd']:g} mm, circle {usual['circle']:g}, offset {usual['offset']:g}, rim hole {usual['rim_offset']:g}, hole "
        f"{usual['hole']:g}": True,
        "within a millimetre of the slot's bottom": _stocked.WINDOW == 0.001,
        "less than 1.5 mm": _length.LIES_ON_HEAD == 0.0015,
        "below 3 mm": _length.MAY_TOUCH_HEAD == 0.003,
        "past 10 % it is not read from": _gauge.MOST_OUT == 0.1,
        "0.49 s after the pluck": _pitch.PIECE == 0.49,
        "0.113 mm": round(QUARTER * 1000, 3) == 0.113,
        "0.6, 1 and 1.7 times": CLASSES == (0.6, 1.0, 1.7),
        "over half of each limit": _turn_search.AIM == 0.5,
        "never more than half a turn": _plan.A_ROUND == 2,
        "more than two sd": _plan.SURE == 2.0,
    }
    assert _learn_wheel.Noise().tension == 45.0 and '"tension_sd_n": 45' in page
    for words, true in told.items():
        assert words in page, words
        assert true, words
