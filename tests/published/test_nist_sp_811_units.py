"""NIST SP 811 (2008), Appendix B.8: factors as printed, seven digits; exact ones are exact."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.values import units

# Name, printed factor, half a unit in its last printed digit (0 where the table prints the factor in bold: exact).
PRINTED = [
    ("n_m_per_lbf_in", 0.1129848, 5e-8),
    ("n_m_per_lbf_ft", 1.355818, 5e-7),
    ("n_m_per_ozf_in", 0.007061552, 5e-10),
    ("n_m_per_kgf_m", 9.80665, 0.0),
    ("n_m_per_kgf_cm", 0.0980665, 0.0),
    ("pa_per_psi", 6894.757, 5e-4),
    ("n_per_lbf", 4.448222, 5e-7),
    ("pa_per_bar", 1e5, 0.0),
    ("m_per_inch", 0.0254, 0.0),
    ("m_per_ft", 0.3048, 0.0),
    ("kg_per_lb", 0.45359237, 0.0),
    ("km_per_mile", 1.609344, 0.0),
]
# The same factors by a units library (second way); its names beside ours.
BY_LIBRARY = [
    ("n_m_per_lbf_in", "pound_force * inch", "newton * meter"),
    ("n_m_per_lbf_ft", "pound_force * foot", "newton * meter"),
    ("n_m_per_kgf_cm", "kilogram_force * centimeter", "newton * meter"),
    ("pa_per_psi", "pound_force_per_square_inch", "pascal"),
    ("bar_per_psi", "pound_force_per_square_inch", "bar"),
    ("km_per_mile", "mile", "kilometer"),
]
REGISTRY = pint.UnitRegistry()


@pytest.mark.parametrize(("name", "printed", "half"), PRINTED)
def test_factors_round_to_the_printed_ones(name: str, printed: float, half: float) -> None:
    """Ours carry more digits and round to what is printed."""
    assert getattr(units, name) == pytest.approx(printed, abs=half, rel=1e-15)


@pytest.mark.parametrize(("name", "one", "into"), BY_LIBRARY)
def test_factors_agree_with_a_units_library(name: str, one: str, into: str) -> None:
    """The same definitions by other hands."""
    assert getattr(units, name) == pytest.approx(REGISTRY(one).to(into).magnitude, rel=1e-12)


@given(st.floats(0.01, 1000.0), st.sampled_from([row[0] for row in PRINTED]))
def test_there_and_back_is_the_same_value(value: float, name: str) -> None:
    """Round trips lose nothing but the last bit."""
    factor = getattr(units, name)
    assert value * factor / factor == pytest.approx(value, rel=1e-15)
