"""Markings in two units against the factors of NIST SP 811, and sizes against the pairs of ISO 5775.

NIST Special Publication 811, 2008 edition, Appendix B.8, typed from the print: lbf·in to N·m 1.129 848 E-01; lbf·ft to N·m
1.355 818 E+00; kgf·m to N·m 9.806 65 E+00; psi to Pa 6.894 757 E+03; bar to Pa 1.0 E+05. Tolerance: the rounding as printed.
"""

import os

import pytest

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinchbolt.serving.settings")

from pinchbolt.engines.markings import MarkingContext, MarkingKind, Sureness, TextSeen, read_texts
from pinchbolt.workshop.markings._place_known import sizes_known

LBF_IN, LBF_FT, KGF_CM, PSI = 0.1129848, 1.355818, 0.0980665, 6894.757


def answer(kind: MarkingKind, text: str, place: MarkingContext) -> tuple[Sureness, float]:
    """What is offered for a text that six copies show, and its last figure."""
    seen = [TextSeen(text, 0.98, (0, 0, 1, 1), f"copy {n}", f"cut {n % 3}") for n in range(6)]
    found = read_texts(kind, seen, place)
    return found.sureness, found.candidates[0].figures[-1].value


@pytest.mark.parametrize("torque", [1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 14, 15, 20, 25, 30, 40, 50])
@pytest.mark.parametrize(("unit", "factor"), [("in·lb", LBF_IN), ("kgf·cm", KGF_CM)])
def test_a_torque_beside_its_printed_conversion_agrees(torque, unit, factor):
    """Rounded to whole units, as parts carry it; the value in N·m is the one that is taken."""
    text = f"{torque} N·m ({torque / factor:.0f} {unit})"
    assert answer(MarkingKind.TORQUE, text, MarkingContext(0.5, 60.0)) == (
        Sureness.SURE,
        pytest.approx(torque),
    )


@pytest.mark.parametrize("torque", [12, 14, 20, 25, 30, 35, 40, 45, 50])
def test_a_torque_beside_foot_pounds_agrees(torque):
    """The same in lbf·ft, which is coarser."""
    text = f"{torque} N·m / {torque / LBF_FT:.0f} ft·lb"
    assert answer(MarkingKind.TORQUE, text, MarkingContext(0.5, 60.0)) == (
        Sureness.SURE,
        pytest.approx(torque),
    )


@pytest.mark.parametrize("bar", [2, 3, 3.5, 4, 4.5, 5, 5.5, 6, 7, 8, 9, 10])
def test_a_pressure_in_bar_agrees_with_its_psi(bar):
    """5 bar and 73 psi."""
    text = f"MAX {bar:g} bar {bar * 1e5 / PSI:.0f} psi"
    assert answer(MarkingKind.PRESSURE, text, MarkingContext(1e5, 12e5)) == (
        Sureness.SURE,
        pytest.approx(bar * 1e5),
    )


@pytest.mark.parametrize("off", [0.85, 0.9, 1.1, 1.2])
@pytest.mark.parametrize("torque", [5, 8, 12, 40])
def test_a_conversion_that_is_a_tenth_off_does_not(torque, off):
    """44 read as 40 or 49: one of the two figures is not what is printed."""
    text = f"{torque} N·m ({torque / LBF_IN * off:.0f} in·lb)"
    assert answer(MarkingKind.TORQUE, text, MarkingContext(0.5, 60.0))[0] is Sureness.ONE_OF


# ISO 5775-1 pairs with the sizes they are sold as, as in the tables of fit; those of the trade by common practice, no source.
@pytest.mark.parametrize(
    ("pair", "sold"),
    [
        ("40-622", "700x40C"),
        ("28-622", "700x28C"),
        ("47-559", "26x1.75"),
        ("54-559", "26x2.10"),
        ("37-590", "26x1-3/8"),
        ("47-406", "20x1.75"),
        ("23-571", "650x23C"),
        ("50-584", "650x50B"),
        ("57-584", "27.5x2.25"),
        ("60-622", "29x2.35"),
    ],
)
def test_a_pair_of_the_standard_agrees_with_the_size_it_is_sold_as(pair, sold):
    """Both on one side of a tyre bear each other out."""
    seen = [TextSeen(f"{pair} {sold}", 0.98, (0, 0, 1, 1), f"copy {n}", f"cut {n % 3}") for n in range(6)]
    found = read_texts(MarkingKind.TYRE_SIZE, seen, sizes_known())
    assert (found.sureness, found.candidates[0].words) == (Sureness.SURE, pair)
    assert f"{sold} is sold on this seat" in found.candidates[0].why


@pytest.mark.parametrize("wrong", ["40-662", "40-612", "47-569", "37-580", "47-408"])
def test_a_seat_that_no_rim_has_is_not_offered_for_sure(wrong):
    """One figure read wrong: the tables say so."""
    seen = [TextSeen(wrong, 1.0, (0, 0, 1, 1), f"copy {n}", f"cut {n % 3}") for n in range(12)]
    assert read_texts(MarkingKind.TYRE_SIZE, seen, sizes_known()).sureness is not Sureness.SURE
