"""Readings said with and without their unit: what fits is taken, what fits another unit is asked about, the rest is refused."""

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.values.units import m_per_inch
from pinchbolt.workshop.common.measured import measured, units_of
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.common.usual import usual_range

CHAIN, LENGTH, ROTOR = "chain-elongation-11", "chain-length-12-pitch-pairs", "rotor-thickness-1.8"


def read(said, row):
    """The value in the row's unit."""
    return measured(said, tables().limits[row], "value", "it")


@pytest.mark.parametrize(
    ("said", "row", "value"),
    [
        ("12 1/16 in", LENGTH, 12.0625 * 25.4),
        ('12 1/16"', LENGTH, 12.0625 * 25.4),
        ("12.0625 inches", LENGTH, 12.0625 * 25.4),
        ("306,4 mm", LENGTH, 306.4),
        ("306.4", LENGTH, 306.4),
        ("0.06 in", ROTOR, 1.524),
        ("60 thou", ROTOR, 1.524),
        ("1,8", ROTOR, 1.8),
        ("60 months", "tyre-age", 5.0),
        ("2 years", "brake-fluid-age-glycol", 24.0),
        ("95 %", "tyre-pressure", 0.95),
        ("5.2 of 5.5", "tyre-pressure", 5.2 / 5.5),
        ("75/80", "tyre-pressure", 75 / 80),
        ("3,5 of 5", "bolt-retained", 0.7),
        ("110 kgf", "spoke-tension-high-side", 110 * 9.80665),
        ("306.324 mm", CHAIN, 0.5),
        ("12 1/16 in", CHAIN, 12.0625 / 12 * 100 - 100),
        ("0.5 percent", CHAIN, 0.5),
        ("3,000 miles", "gear-cable-age", 3000 * 1.609344),
        (1.52, ROTOR, 1.52),
    ],
)
def test_a_value_is_taken_with_its_unit(said, row, value):
    """Factors are exact by definition (NIST SP 811, 2008, appendix B); 24 pitches of half an inch are 12 inches."""
    assert read(said, row) == pytest.approx(value, rel=6e-5)


@pytest.mark.parametrize(
    ("said", "row", "meant", "words"),
    [
        (12.0625, LENGTH, 306.39, "12.0625 in? Did you mean 306.39 mm?"),
        (0.06, ROTOR, 1.524, "0.06 in? Did you mean 1.524 mm?"),
        (60, "tyre-age", 5.0, "60 months? Did you mean 5 years?"),
        (730, "brake-fluid-age-glycol", 23.984, "730 days? Did you mean 23.984 months?"),
        (110, "spoke-tension-high-side", 1078.7, "110 kgf? Did you mean 1078.7 N?"),
        (95, "tyre-pressure", 0.95, "95 %? Did you mean 0.95 share"),
        (0.8, "battery-health", 80.0, "0.8 as a share? Did you mean 80 percent?"),
        (306.4, CHAIN, 0.52493, "306.4 mm over 24 pitches? Did you mean 0.52493 percent?"),
        ("12.06", CHAIN, 0.5, "12.06 in over 24 pitches? Did you mean 0.5 percent?"),
        (0.118, "disc-pad-total", 2.9972, "0.118 in? Did you mean 2.9972 mm?"),
        (18.0, ROTOR, 1.8, "Was 1.8 meant?"),
        (75.0, CHAIN, 0.75, "Was 0.75 meant?"),
    ],
)
def test_a_value_that_fits_another_unit_is_asked_about(said, row, meant, words):
    """Never taken in silence: the sentence asks, and the refusal carries the value that one tap confirms."""
    with pytest.raises(InputRefused) as refused:
        read(said, row)
    assert words in refused.value.sentence
    assert refused.value.meant[0].value == pytest.approx(meant, rel=1e-6)
    # What is offered is taken.
    assert read(refused.value.meant[0].value, row) == refused.value.meant[0].value
    assert refused.value.envelope()["meant"][0]["value"] == refused.value.meant[0].value


@pytest.mark.parametrize(
    ("said", "row", "words"),
    [
        (-5.0, CHAIN, "0 to 3 percent is possible. Measure and type it again."),
        (-0.2, "disc-pad-lining-resin", "0 to 5 mm is possible"),
        (float("nan"), ROTOR, "nan mm"),
        (float("inf"), ROTOR, "inf mm"),
        (0.1, ROTOR, "0.4 to 2.2 mm is possible"),
        ("1.8 furlongs", ROTOR, 'said in "furlongs": mm, in, cm, thou can be read here'),
        ("about a third", ROTOR, "a number in mm is needed"),
        ("1/0 in", ROTOR, "a number in mm is needed"),
        ("", ROTOR, "a number in mm is needed"),
        ("nan", ROTOR, "a number in mm is needed"),
        ("1e3", ROTOR, 'said in "e3"'),
        ("1" + " " * 5000 + "1", ROTOR, "a number in mm is needed"),
        ("1" * 5000 + "x", ROTOR, "a number in mm is needed"),
        ("5 in", ROTOR, "5 in, which is 127 mm"),
    ],
)
def test_what_no_part_shows_is_refused(said, row, words):
    """The sentence says what is possible."""
    with pytest.raises(InputRefused) as refused:
        read(said, row)
    assert words in refused.value.sentence
    assert not refused.value.meant or said == 0.1


def test_nineteen_percent_on_a_chain_is_a_slip_of_the_point():
    """19 % is no chain; 1.9 % would be one far past its limit, and is asked about."""
    with pytest.raises(InputRefused, match=r"19 percent: 0 to 3 percent is possible. Was 1.9 meant\?"):
        read(19.0, CHAIN)


def test_every_row_takes_its_own_figures_and_no_nonsense():
    """New, warning and limit of each row lie in its range; the range is in order; a guess never fits the row's own range."""
    for row in tables().limits.values():
        if row.direction == "flag":
            continue
        least, greatest = usual_range(row)
        assert least < greatest, row.id
        for own in (row.new, row.warn, row.limit, row.limit_low, row.limit_high, row.warn_low, row.warn_high):
            if isinstance(own, int | float) and not (
                row.direction == "band" and own in (row.warn, row.limit)
            ):
                assert least <= own <= greatest, (row.id, own)
                assert read(float(own), row.id) == own
                # The same value said in each unit of the row comes back as itself.
                for unit in units_of(row):
                    figure = (own - unit.offset) / unit.factor
                    assert read(f"{figure:.9f} {unit.names[0]}", row.id) == pytest.approx(
                        own, rel=6e-5, abs=2e-4
                    )


def test_an_inch_of_rotor_is_the_inch_of_the_standard():
    """One factor in one place."""
    assert read("0.07 in", ROTOR) == pytest.approx(0.07 * 1000 * m_per_inch)
