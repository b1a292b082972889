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


# Trade sizes in inches, as every text on headsets gives them: what the codes round to a tenth of a millimetre.
STEERERS = {"25.4": 1.0, "28.6": 1 + 1 / 8, "31.8": 1 + 1 / 4}


@pytest.mark.parametrize(("code", "inches"), STEERERS.items())
def test_a_steerer_is_its_inches(code: str, inches: float) -> None:
    """1, 1-1/8 and 1-1/4 in: half of the last digit printed."""
    (row,) = (row for row in TABLES["interfaces"]["steerer"] if row["id"] == code)
    assert row["outside"] == pytest.approx(inches * 25.4, abs=0.05 + 1e-9)


def test_the_number_of_a_code_is_its_bore() -> None:
    """EC34, ZS44, IS52: whole millimetres of the bore, to the press fit and the rounding of the system."""
    for row in TABLES["interfaces"]["head_tube"]:
        assert abs(row["bore"] - int(row["id"][2:])) <= 0.65, row["id"]


def test_codes_of_one_number_have_one_bore_whether_the_cup_is_sunk_or_outside() -> None:
    """A frame is reamed once; whether the cup stands outside is the cup's affair."""
    bores: dict[str, set[float]] = {}
    for row in TABLES["interfaces"]["head_tube"]:
        if row["id"][:2] in ("EC", "ZS"):
            bores.setdefault(row["id"][2:], set()).add(row["bore"])
    assert {number for number, found in bores.items() if len(found) > 1} == set()
    assert len([found for found in bores.values() if found]) >= 8


@pytest.mark.parametrize(("seat", "inches"), [("26.4", 1.0), ("30", 1.125), ("33", 1.25), ("40", 1.5)])
def test_a_crown_race_seat_is_a_press_fit_over_its_steerer(seat: str, inches: float) -> None:
    """The seat stands 1 to 2 mm over the steerer that passes through the race: 26.4 over 25.4, 30 over 28.6, 39.8 over 38.1."""
    assert seat in {row["id"] for row in TABLES["interfaces"]["crown_race"]}
    assert 0.9 <= float(seat) - inches * 25.4 <= 2.0


def test_a_part_that_leaves_no_room_for_a_bearing_is_no_part() -> None:
    """Computed: bore less race. What is sold has 11 mm for a bearing inside the tube, or 3 mm where it sits outside."""
    sold = {
        "ZS44/30", "ZS56/40", "ZS55/40", "ZS49/30", "IS52/40", "IS42/30", "IS41/30", "IS47/33", "EC44/40", "EC49/40", "EC34/30",
        "EC30/26.4", "IS38/26.4", "ZS41/30",
    }  # fmt: skip
    bores = {row["id"]: row["bore"] for row in TABLES["interfaces"]["head_tube"]}
    upper = {"26.4": ("EC30/25.4", "25.4")}.get
    for code in sold | {"ZS44/40", "EC34/40", "IS41/40", "EC37/40", "IS42/33"}:
        tube, race = code.split("/")
        room = bores[tube] - float(race)
        exists = room >= (3 if tube.startswith("EC") else 11)
        code_above, steerer = upper(race) or ("ZS44/28.6", "28.6")
        told = {
            "frame_upper": code_above.split("/")[0], "frame_lower": tube, "steerer": steerer, "crown_race": race,
            "headset_upper": code_above, "headset_lower": code,
        }  # fmt: skip
        answer = run_rule("headset-code", told, TABLES)
        assert exists is (code in sold), (code, room)
        assert (answer.verdict is FitWord.FITS) is exists, (code, answer.because)
