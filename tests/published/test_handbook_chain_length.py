"""Chain length in links, ISO 606 family handbooks.

Short form n = 2 a + (z1 + z2)/2 + (z2 - z1)^2 / (4 pi^2 a), a = centre distance by pitch. Printed example, 63 and 20 teeth: a
public paper on chain drives prints 114.8 pitches by this formula (its reference 8; that is a = 36), corrects them to 114 and
prints 35.6 pitches of centre distance for those. The paper's own formula, which follows the chain as a polygon, prints 114.305
and 35.8447; ours follows the pitch circles as the handbooks do. Short form and exact loop must agree within 0.01 pitch at cycle sizes (the next
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


def test_the_printed_example_as_it_is_printed() -> None:
    """63 and 20 teeth at 36 pitches: the paper prints 114.8 by the handbooks' formula, cuts 114, and prints 35.6 for them.

    Half of the last digit printed, and for the exact loop what the short form leaves out besides (below 0.01 pitch). A length
    that is 0.1 pitch wrong is seen.
    """
    loop = taut_loop(36 * 12.7, 63, 20)
    assert loop == pytest.approx(114.8, abs=0.05 + 0.01)
    for centre in (35.55, 35.65):
        assert abs(taut_loop(centre * 12.7, 63, 20) - 114) < 2 * 0.05 + 0.06
    assert taut_loop(35.55 * 12.7, 63, 20) < 114.0 + 0.02 < taut_loop(35.65 * 12.7, 63, 20)


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
