"""Figures of a forecast as people say them."""

from math import inf

import pytest

from pinchbolt.values.about import about, worn


@pytest.mark.parametrize(
    ("figure", "said"),
    [(2479, "2,500"), (13068, "13,000"), (978, "980"), (325, "330"), (99.6, "100"), (994, "990"), (995, "1,000"),
     (42, "42"), (9.6, "10"), (3.4, "3"), (0.2, "0"), (0, "0"), (-4737, "0"), (inf, "any")],
)  # fmt: skip
def test_two_digits_count(figure, said):
    """A half goes up; nothing left is nothing, however far past."""
    assert about(figure) == said


def test_what_is_said_is_near_what_is_meant():
    """Within five percent from ten on, over six powers of ten."""
    for i in range(600):
        figure = 10 * 1.02**i
        assert float(about(figure).replace(",", "")) == pytest.approx(figure, rel=0.05)


@pytest.mark.parametrize(
    ("figure", "said"),
    [
        (-0.18, "0"),
        (0.4949, "0.49"),
        (1.5, "1.5"),
        (1.8, "1.8"),
        (306.387, "306.4"),
        (24.0, "24"),
        (78.43, "78.4"),
        (0.0, "0"),
    ],
)
def test_wear_has_the_digits_of_its_instrument(figure, said):
    """Hundredths of a millimetre or percent, tenths of what is large; no lining below nothing."""
    assert worn(figure) == said
