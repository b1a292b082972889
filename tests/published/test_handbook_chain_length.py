"""Chain length in links, ISO 606 family handbooks.

Short form n = 2 a + (z1 + z2)/2 + (z2 - z1)^2 / (4 pi^2 a), a = centre distance by pitch. Printed example: 63 and 20
teeth at 35.84 pitches, printed 114.305, rounded up to 114; the formula of the same page gives 114.496 there, so the
example is held for the rounding only. Short form and exact loop must agree within 0.01 pitch at cycle sizes (the next
term of the series is below it).
"""

import math

import pytest

from pinchbolt.engines.gearing import chain_length, taut_loop


def short_form(centre_mm: float, ring: int, sprocket: int) -> float:
    """The handbooks' formula, typed from the page."""
    a = centre_mm / 12.7
    return 2 * a + (ring + sprocket) / 2 + (ring - sprocket) ** 2 / (4 * math.pi**2 * a)


@pytest.mark.parametrize(
    ("centre", "ring", "sprocket", "short", "exact"),
    [
        (410, 44, 16, 95.18207, 95.18305),
        (425, 50, 17, 101.25343, 101.25513),
        (440, 32, 18, 94.43464, 94.43469),
    ],
)
def test_short_form_and_exact_loop_agree(
    centre: int, ring: int, sprocket: int, short: float, exact: float
) -> None:
    """Five decimals worked apart from this code: half of the last is 5e-6."""
    assert short_form(centre, ring, sprocket) == pytest.approx(short, abs=5e-6)
    assert taut_loop(centre, ring, sprocket) == pytest.approx(exact, abs=5e-6)
    assert abs(exact - short_form(centre, ring, sprocket)) < 0.01


def test_the_printed_example_takes_an_even_number_of_links() -> None:
    """114.3 by the page, 114.5 by its formula: both stand between 114 and 116."""
    loop = taut_loop(35.84 * 12.7, 63, 20)
    assert 114 < loop < 116
    assert loop == pytest.approx(114.496, abs=0.01)


@pytest.mark.parametrize(
    ("stay_in", "ring", "sprocket", "printed_in"), [(16, 50, 20, 50.5), (17, 52, 18, 52.5)]
)
def test_a_public_page_of_the_trade_works_two_chains(
    stay_in: float, ring: int, sprocket: int, printed_in: float
) -> None:
    """Its short form 2 C + F/4 + R/4 + 1 prints 50.5 and 52.5 in; a chain is cut in whole inches, so 51 and 53.

    The exact loop is longer by what the short form leaves out, (F - R)^2 / (4 pi^2 a) pitches, here below 0.5 in: it must not
    change the cut.
    """
    assert 2 * stay_in + ring / 4 + sprocket / 4 + 1 == printed_in
    cut = chain_length(stay_in * 25.4, ring, sprocket)
    assert cut.pitches == 2 * math.ceil(printed_in)
    assert 0 < (cut.wrap + 2) / 2 - printed_in < 0.5
