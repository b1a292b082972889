"""The open headset identification system, as shown on a public page: ZS44/28.6 | ZS44/30 and EC34/28.6 | EC34/30.

Upper code: type and bore of the head tube, a stroke, the steerer. Lower code: type and bore, a stroke, the crown race seat.
"""

import pytest

from pinchbolt.engines.fit import FitWord, run_rule
from pinchbolt.errors import InputRefused
from tests.engines.fit.conftest import plain_tables

TABLES = plain_tables()


@pytest.mark.parametrize(("upper", "lower"), [("ZS44/28.6", "ZS44/30"), ("EC34/28.6", "EC34/30")])
def test_the_codes_of_the_page_fit_the_frame_and_fork_that_they_name(upper: str, lower: str) -> None:
    """What stands before the stroke is the frame's, what stands after it the fork's."""
    told = {
        "frame_upper": upper.split("/", maxsplit=1)[0], "frame_lower": lower.split("/", maxsplit=1)[0], "steerer": upper.split("/")[1],
        "crown_race": lower.split("/")[1], "headset_upper": upper, "headset_lower": lower,
    }  # fmt: skip
    assert run_rule("headset-code", told, TABLES).verdict is FitWord.FITS


def test_the_two_codes_of_the_page_do_not_go_into_one_another() -> None:
    """A 44 mm part is 10 mm too big for a 34 mm tube."""
    told = {
        "frame_upper": "EC34", "frame_lower": "EC34", "steerer": "28.6", "crown_race": "30",
        "headset_upper": "ZS44/28.6", "headset_lower": "ZS44/30",
    }  # fmt: skip
    answer = run_rule("headset-code", told, TABLES)
    assert answer.verdict is FitWord.DOES_NOT_FIT
    assert "ZS44 is 10.1 mm too big" in answer.because


@pytest.mark.parametrize("code", ["ZS44", "44/28.6", "ZS44-28.6", "ZS44/", "/28.6", "QQ44/28.6", "28.6/ZS44"])
def test_what_is_no_code_is_refused_with_the_shape_of_one(code: str) -> None:
    """Type and bore, a stroke, the fork's measure."""
    told = {
        "frame_upper": "ZS44", "frame_lower": "ZS44", "steerer": "28.6", "crown_race": "30",
        "headset_upper": code, "headset_lower": "ZS44/30",
    }  # fmt: skip
    with pytest.raises(InputRefused, match=r"as in ZS44/28\.6") as refused:
        run_rule("headset-code", told, TABLES)
    assert list(refused.value.errors) == ["headset_upper"]
