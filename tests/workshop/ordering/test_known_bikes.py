"""What bikes that were here will ask for: how likely each comes, by its own visits."""

import pytest

from pinchbolt.workshop.ordering._known_bikes import chance_of_coming


@pytest.mark.parametrize(
    ("visits", "known", "days", "chance"),
    [
        # By hand: 1 - ((180 + known) / (180 + known + days)) ^ (1 + visits).
        (0, 0.0, 180.0, 0.5),
        (3, 360.0, 60.0, 1 - 0.9**4),
        (1, 180.0, 40.0, 1 - 0.9**2),
    ],
)
def test_a_bike_comes_as_often_as_it_came(visits: int, known: float, days: float, chance: float) -> None:
    """Two visits a year are taken of a bike that was never here; each visit of its own counts as one."""
    assert chance_of_coming(visits, known, days) == pytest.approx(chance, rel=1e-12)


def test_whoever_was_not_seen_for_long_is_expected_less() -> None:
    """The same three visits, in half a year and in three."""
    assert chance_of_coming(3, 180.0, 30.0) > chance_of_coming(3, 1080.0, 30.0)
