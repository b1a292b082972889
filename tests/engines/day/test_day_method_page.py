"""The method page is true: its examples run, and its numbers are the code's."""

import doctest
from math import exp
from pathlib import Path

from pinchbolt.engines.day import (
    CALL_UNDER,
    ENOUGH,
    _ahead,
    _coming_in,
    _hours,
    _promise,
    _stand_minutes,
    _waiting_days,
)

PAGE = Path(__file__).parents[3] / "docs" / "methods" / "day.md"


def test_the_examples_of_the_day_page_run():
    """What a reader types gives what the page prints."""
    text = PAGE.read_text(encoding="utf-8").replace("```python\n", "\n").replace("```", "")
    example = doctest.DocTestParser().get_doctest(text, {}, "day.md", "day.md", 0)
    assert len(example.examples) >= 9
    assert doctest.DocTestRunner().run(example).failed == 0


def test_the_numbers_on_the_day_page_are_those_of_the_code():
    """A rule changed in the code is changed on the page."""
    page = " ".join(PAGE.read_text(encoding="utf-8").split())
    told = {
        "Until twenty jobs are done": ENOUGH == 20,
        "times one and a half": abs(exp(_stand_minutes.TRADE) - 1.5) < 1e-12,
        "those under 6 in 10": CALL_UNDER == 0.6,
        "more than one promise in ten": _promise._MAY_LOSE == 0.1,
        "starts at 0.35 worth six jobs": (_stand_minutes.SPREAD, _stand_minutes.PSEUDO) == (0.35, 6),
        "a quarter apart": _stand_minutes.APART == 0.25,
        "under a sixth or over eight times": (_stand_minutes._LEAST, _stand_minutes._MOST) == (1 / 6, 8),
        "1, 2, 3, 5 or 9 open days": _waiting_days.PART_DAYS == (1, 2, 3, 5, 9),
        "(weight four)": abs(sum(_waiting_days.PART_PRIOR) - 4) < 1e-12,
        "days after it (0, 1, 2, 5)": _waiting_days.LATE_DAYS == (0, 1, 2, 5),
        "after 0, 1, 2 or 4 days": _waiting_days.OWNER_DAYS == (0, 1, 2, 4),
        "half-life thirty days": _coming_in.HALF_LIFE == 30,
        "half a day at least": _coming_in._LEAST_LEAD == 0.5,
        "(0.90 until then)": _hours.AT_BIKES == 0.9,
        "Each of 256 runs": _ahead.RUNS == 256,
        "Eight hours": _promise._SIDE_BY_SIDE == 8,
    }
    assert [words for words, holds in told.items() if not holds or words not in page] == []
