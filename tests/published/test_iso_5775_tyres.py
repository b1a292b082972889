"""ISO 5775-1 and -2, as read in public texts: marking, bead seats, least pressure, ceiling of rims without hooks."""

import math

import pytest

from pinchbolt.engines.fit import FitWord, run_rule
from pinchbolt.engines.tyres import (
    HOOKLESS_BAR,
    TyreSize,
    circumference,
    floor_by_width,
    pressure_guide,
    tyre_size,
)
from tests.engines.fit.conftest import plain_tables

TABLES = plain_tables()
# Bead seat diameters in mm: a common list, and what a public table of tyre sizes by the standard (for sorting inner tubes) adds.
SEATS = (
    137, 152, 203, 254, 288, 298, 305, 317, 335, 337, 340, 349, 355, 369, 387, 390, 400, 406, 419, 428, 451, 457, 507,
    559, 571, 590, 597, 599, 622, 630, 635,
)  # fmt: skip
MORE = (
    110, 194, 222, 239, 248, 251, 279, 330, 357, 432, 438, 440, 484, 489, 490, 498, 501, 520, 531, 534, 540, 541, 547, 584,
    609, 642, 700,
)  # fmt: skip
# Seats that are inches by origin: 8, 10, 12, 14, 16, 18 and 22 in across, in mm as the standard rounds them.
BY_INCH = {203: 8, 254: 10, 305: 12, 355: 14, 406: 16, 457: 18, 559: 22}
# The French system: a letter stands for the same fat tyre inside wheels of 600, 650 and 700 mm.
BY_LETTER = {"A": (541, 590, 642), "B": (534, 584, 635), "C": (520, 571, 622)}


def test_the_marking_of_the_standard_is_read() -> None:
    """32-597 is a section of 32 mm on a seat of 597 mm."""
    assert tyre_size("32-597") == TyreSize(32.0, 597.0)


def test_every_seat_of_our_table_is_in_the_published_lists_and_every_one_of_theirs_in_ours() -> None:
    """A typing slip in a seat blows a tyre off."""
    ours = {row["mm"] for row in TABLES["interfaces"]["bead_seat"]}
    assert ours == {*SEATS, *MORE}


@pytest.mark.parametrize(("seat", "inches"), BY_INCH.items())
def test_a_seat_of_inches_is_its_inches(seat: int, inches: int) -> None:
    """pi D on a tape: half a millimetre of radius is 3 mm of tape, which a typing slip passes by far."""
    assert seat in {row["mm"] for row in TABLES["interfaces"]["bead_seat"]}
    assert math.pi * seat == pytest.approx(math.pi * inches * 25.4, abs=3)


def test_letters_stand_for_the_same_tyre_inside_wheels_of_50_mm_more() -> None:
    """642, 635 and 622 less 590, 584 and 571 is 50 to 52 mm, and so down to the 600s: each seat from its neighbour."""
    by_name = {}
    for row in TABLES["interfaces"]["bead_seat"]:
        for name in (part.strip() for told in row["names"] for part in told.split(",")):
            by_name[name] = row["mm"]
    for letter, (small, middle, large) in BY_LETTER.items():
        assert 49 <= large - middle <= 52 and 49 <= middle - small <= 51
        assert by_name[f"700{letter}"] == large and by_name[f"650{letter}"] == middle
    for wheel in range(3):
        a, b, c = (BY_LETTER[letter][wheel] for letter in "ABC")
        assert a > b > c and 6 <= a - b <= 7 and 13 <= b - c <= 14


@pytest.mark.parametrize("seat", sorted({*SEATS, *MORE}))
def test_a_tyre_fits_its_own_seat_and_none_of_the_others(seat: int) -> None:
    """Compared in mm only; the nearest neighbours are 1 mm apart."""
    for other in sorted({*SEATS, *MORE}):
        answer = run_rule("tyre-diameter", {"tyre_bsd": seat, "rim_bsd": other}, TABLES)
        assert answer.verdict is (FitWord.FITS if other == seat else FitWord.DOES_NOT_FIT)


@pytest.mark.parametrize(
    ("width", "off_road", "kilopascal"),
    [(23, False, 300), (25, False, 300), (28, False, 200), (28, True, 150)],
)
def test_the_least_pressure(width: float, off_road: bool, kilopascal: float) -> None:
    """300 kPa up to 25 mm, 200 kPa for others, 150 kPa off the road."""
    assert floor_by_width(width, off_road) * 100 == pytest.approx(kilopascal, rel=1e-12)


def test_five_bar_is_the_ceiling_without_hooks() -> None:
    """5 bar, 72.519 psi (half of the last digit 0.0005)."""
    assert pytest.approx(72.519, abs=0.0005) == HOOKLESS_BAR / 0.0689475729
    assert pressure_guide(100, 28, hooked=False, tyre_max=8, rim_max=7).start.high == 5.0


@pytest.mark.parametrize(
    ("tyre", "rim", "fits"), [(30, 25, True), (28, 25, False), (28, 23, True), (27, 23, False)]
)
def test_five_millimetres_more_tyre_than_rim_without_hooks(tyre: int, rim: int, fits: bool) -> None:
    """Press report of the 2023 text: 30 on 25 is allowed, 28 on 25 is not, 28 on 23 is."""
    told = {"tyre_width": tyre, "rim_inner": rim, "hook": False, "tyre_allowed_hookless": True}
    pressures = {"pressure_bar": 4.5, "tyre_max_bar": 5, "rim_max_bar": 5}
    answer = run_rule("tyre-width", {**told, **pressures}, TABLES)
    assert answer.verdict is (FitWord.FITS if fits else FitWord.DOES_NOT_FIT)


@pytest.mark.parametrize("rim", range(15, 31))
def test_a_38_mm_tyre_on_rims_of_17_to_27_mm(rim: int) -> None:
    """Makers' data citing the organisation's manual: 38-622 takes rims of 17 to 27 mm inside."""
    told = {
        "tyre_width": 38,
        "rim_inner": rim,
        "hook": True,
        "pressure_bar": 3,
        "tyre_max_bar": 5,
        "rim_max_bar": 5,
    }
    answer = run_rule("tyre-width", told, TABLES)
    assert (answer.verdict is FitWord.FITS) is (17 <= rim <= 27)


def test_a_measured_wheel_under_a_rider_is_inside() -> None:
    """23-622 at 6 bar: 2105 mm unloaded, 2080 mm loaded."""
    rolling = circumference(TyreSize(23, 622)).rolling
    assert rolling.low < 2.080
    assert rolling.high > 2.105
