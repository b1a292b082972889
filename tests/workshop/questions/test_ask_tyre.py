"""A tyre by hand: what does not fit gets no pressure, what is too narrow is said, and sizes are read as people write them."""

from itertools import product

import pytest

from pinchbolt.errors import InputRefused, PinchboltError
from pinchbolt.workshop.questions.ask_tyre import TyreRequest, ask_tyre


def test_no_answer_both_refuses_and_gives_a_pressure() -> None:
    """Over tyres, rims, loads and markings: a misfit, or a room that is too small, never comes with a pressure."""
    refused = given = 0
    for marking, rim, seat, hook, mass, opening in product(
        ("23-622", "28-622", "40-622", "50-559", "100-559"),
        (15, 19, 25, 76),
        (622, 559),
        (True, False),
        (60, 95, 150),
        (None, 30),
    ):
        found = ask_tyre(
            TyreRequest(
                marking, rim_inner_mm=rim, rim_seat_mm=seat, hooked=hook, allowed_hookless=True, total_kg=mass, tyre_max_bar=6,
                rim_max_bar=6, opening_mm=opening,
            )
        )  # fmt: skip
        against = any(check.verdict.value == "does not fit" for check in found.on_rim)
        against = against or (found.room is not None and found.room.enough is False)
        assert (found.pressure is None) is bool(found.no_pressure)
        assert not (against and found.pressure)
        if found.pressure is not None:
            assert found.pressure.start.high <= found.pressure.ceiling
            assert bool(found.pressure.too_narrow) is (
                found.pressure.start.low == found.pressure.ceiling < found.pressure.wanted * 0.9
            )
        refused, given = refused + against, given + (found.pressure is not None)
    assert refused > 100 and given > 50


def test_what_the_load_wants_is_said_where_the_ceiling_is_below_it() -> None:
    """130 kg on a hookless 28: 8 bar are wanted, 5.0 allowed; a width that carries it is named."""
    told = TyreRequest("28-622", rim_inner_mm=19, hooked=False, allowed_hookless=True, total_kg=130)
    found = ask_tyre(told)
    assert found.pressure is not None and found.pressure.held == "ceiling"
    assert found.pressure.too_narrow.startswith(
        "Wanted 8.2 bar for 71.5 kg on this wheel, ceiling 5.0: too narrow for this load."
    )
    light = ask_tyre(TyreRequest("28-622", rim_inner_mm=19, hooked=False, allowed_hookless=True, total_kg=70))
    assert light.pressure is not None and light.pressure.too_narrow == ""


@pytest.mark.parametrize(
    ("marking", "least", "most"), [("100-559", 0.3, 0.9), ("62-622", 1.0, 1.9), ("57-559", 1.0, 2.0)]
)
def test_fat_and_balloon_tyres_are_ridden_below_a_bar_and_a_half(
    marking: str, least: float, most: float
) -> None:
    """From memory: fat bikes 0.4 to 0.9 bar off road, balloon tyres from 1 bar on."""
    found = ask_tyre(
        TyreRequest(marking, hooked=True, off_road=True, total_kg=75, tyre_max_bar=3, rim_max_bar=3)
    )
    assert found.pressure is not None
    assert least <= found.pressure.start.low < found.pressure.start.high <= most


def test_a_least_pressure_of_a_fat_tyre_is_taken() -> None:
    """0.4 bar is marked on such tyres; a refusal names the least, not the greatest."""
    fat = TyreRequest("100-559", hooked=True, off_road=True, total_kg=85, tyre_max_bar=1.4, tyre_min_bar=0.4)
    assert ask_tyre(fat).pressure is not None
    with pytest.raises(InputRefused, match=r"tyre min is 0\.1 bar"):
        ask_tyre(TyreRequest("100-559", hooked=True, total_kg=85, tyre_max_bar=1.4, tyre_min_bar=0.1))


@pytest.mark.parametrize(
    ("written", "width", "seat"),
    [
        ("28-622", 28, 622), ("28 - 622", 28, 622), ("28\u2013622", 28, 622), ("700x28C", 28, 622), ("700 x 28c", 28, 622),
        ("700C x 28", 28, 622), ("700x28", 28, 622), ("650 x 47B", 47, 584), ("26 x 1-3/8", 34.9, 590), ("26 x 1 3/8", 34.9, 590),
        ("26x1.75", 44.5, 559), ("26 x 2.1", 53.3, 559), ("29x2.2", 55.9, 622), ("27.5 x 2.25", 57.2, 584), ("20x1.75", 44.5, 406),
        ("28 x 1-1/2", 38.1, 635), ("28 x 1-3/8", 34.9, 642), ("24 x 1.75", 44.5, 507), ("16 x 1.75", 44.5, 305), ("27 x 1-1/4", 31.8, 630),
    ],
)  # fmt: skip
def test_sizes_are_read_as_people_write_them(written: str, width: float, seat: float) -> None:
    """A fraction and a decimal are two sizes; the letter, or none after 700, is a third."""
    size = ask_tyre(TyreRequest(written)).size
    assert (size.width, size.bead_seat) == (pytest.approx(width, abs=0.11), seat)


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("26x175", "Was 26 x 1.75 meant"), ("28-623", "the nearest is 622"), ("700C", "give the marking with its width"),
        ("20 x 1-3/8", "may be 438 or 440 or 451 mm"), ("26 in", "may be 559"), ("22 x 1-3/8", "489 or 490 or 501"), ("26x1.25", "559 or 599"),
        ("banana", "not in the table"), ("", "two figures in mm"), ("28", "give the marking with its width"),
    ],
)  # fmt: skip
def test_what_means_no_seat_or_several_is_asked_back(written: str, said: str) -> None:
    """Never a guess: a wrong seat blows a tyre off."""
    with pytest.raises(PinchboltError, match=said):
        ask_tyre(TyreRequest(written))
