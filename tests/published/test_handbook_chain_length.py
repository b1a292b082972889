"""Chain length in links, ISO 606 family handbooks.

Short form n = 2 a + (z1 + z2)/2 + (z2 - z1)^2 / (4 pi^2 a), a = centre distance by pitch. Printed example: 63 and 20
teeth at 35.84 pitches, printed 114.305, rounded up to 114; the formula of the same page gives 114.496 there, so the
example is held for the rounding only. Short form and exact loop must agree within 0.01 pitch at cycle sizes (the next
term of the series is below it).
"""

import math

import pytest

from pinchbolt.engines.gearing import taut_loop


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
