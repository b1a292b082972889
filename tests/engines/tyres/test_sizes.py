"""Tyre sizes: the marking decides, names in inches do not."""

import doctest
import math
from importlib import import_module

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.engines import tyres
from pinchbolt.engines.tyres import TyreSize, circumference, mounted_width, seats_called, tyre_size
from pinchbolt.errors import InputRefused, NotFound, PinchboltError, Unknown
from tests.engines.fit.conftest import table

ROWS = table("interfaces.toml")


@pytest.mark.parametrize("name", ["_sizes", "_pressure", "_room"])
def test_the_examples_of_the_docstrings_run(name: str) -> None:
    """What a docstring shows is what comes out."""
    shown = {public: getattr(tyres, public) for public in tyres.__all__}
    result = doctest.testmod(import_module(f"pinchbolt.engines.tyres.{name}"), extraglobs=shown)
    assert result.attempted > 0
    assert result.failed == 0


@given(st.integers(18, 120), st.sampled_from([305, 406, 559, 584, 622, 635]))
def test_a_marking_is_read_as_it_is_printed(width: int, seat: int) -> None:
    """Width first, then the seat."""
    assert tyre_size(f"{width}-{seat}") == TyreSize(width, seat)
    assert tyre_size(f" {width} - {seat} ") == TyreSize(width, seat)


@pytest.mark.parametrize(
    "marking", ["700x28C", "26 x 1.75", "28", "", "622-28", "28-6222", "x" * 500, None, 28622, ["28-622"]]
)
def test_what_is_no_marking_is_refused(marking: object) -> None:
    """Names in inches and letters are not taken for millimetres."""
    with pytest.raises(InputRefused):
        tyre_size(marking)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "seats"),
    [("26 in", (559, 571, 584, 590, 597, 599)), ("20", (406, 419, 428, 432, 438, 440, 451)),
     ("28 in", (622, 635, 642)), ("29", (622,)), ("700C", (622,)), ("27.5 in", (584,)), ("27", (609, 630)),
     ("650B", (584,)), ("650A", (590,))],
)  # fmt: skip
def test_a_name_in_inches_is_answered_with_every_seat_it_may_mean(name: str, seats: tuple[int, ...]) -> None:
    """26 in is six different tyres."""
    answer = seats_called(name, ROWS["bead_seat"])
    assert answer.bead_seats == seats
    assert ("may be" in answer.words) is (len(seats) > 1)


def test_a_name_that_nobody_sells_is_not_found() -> None:
    """The next step is the marking."""
    with pytest.raises(NotFound, match="Read the marking in mm"):
        seats_called("31 in", ROWS["bead_seat"])


@given(st.integers(18, 130), st.floats(15, 60), st.floats(0.1, 10))
def test_a_wider_rim_makes_a_wider_tyre(width: int, rim: float, more: float) -> None:
    """Four tenths of the rim's growth; the interval keeps its width."""
    one = mounted_width(width, rim, ROWS["measuring_rim"]).width
    two = mounted_width(width, rim + more, ROWS["measuring_rim"]).width
    assert two.low - one.low == pytest.approx(0.4 * more, abs=1e-9)
    assert two.high - two.low == pytest.approx(2.0, abs=1e-9)


@pytest.mark.parametrize("row", ROWS["measuring_rim"], ids=lambda row: str(row["section"]))
def test_on_its_measuring_rim_a_tyre_is_as_wide_as_printed(row: dict[str, object]) -> None:
    """That is what a measuring rim is for."""
    for width in row["section"]:  # type: ignore[attr-defined]
        answer = mounted_width(width, row["rim"], ROWS["measuring_rim"])  # type: ignore[arg-type]
        assert (answer.width.low + answer.width.high) / 2 == pytest.approx(width, abs=1e-12)


def test_a_width_without_a_measuring_rim_is_unknown() -> None:
    """Measure it mounted."""
    with pytest.raises(Unknown, match="measure it mounted"):
        mounted_width(16, 13, ROWS["measuring_rim"])


@given(st.integers(18, 120), st.integers(200, 640))
def test_what_rolls_is_near_the_nominal_way(width: int, seat: int) -> None:
    """From 0.79 of the width high, sunk, to the width and 4.1 mm; 5.6 under 28 mm."""
    answer = circumference(TyreSize(width, seat))
    assert answer.rolling.low < answer.nominal < answer.rolling.high
    more = 5.6 if width < 28 else 4.1
    assert answer.rolling.low * 1000 == pytest.approx(0.985 * math.pi * (seat + 1.58 * width), rel=1e-12)
    assert answer.rolling.high * 1000 == pytest.approx(math.pi * (seat + 2 * (width + more)), rel=1e-12)


@given(st.floats() | st.integers() | st.none() | st.text(max_size=5), st.floats() | st.booleans())
def test_no_figure_brings_it_down(width: object, rim: object) -> None:
    """A width, or a refusal said to a person."""
    try:
        mounted_width(width, rim, ROWS["measuring_rim"])  # type: ignore[arg-type]
    except PinchboltError as refused:
        assert refused.sentence
