"""Which bike a ride was on, by rides of which somebody told it: few questions, and a doubt that is true."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinchbolt.engines.rides import SURE, RideShape, batches_alike, likely_bikes
from pinchbolt.errors import InputRefused

COMMUTE = RideShape("a", 1, 8.0, 8.0, 17.0, 5.0, False)
RACE = RideShape("a", 6, 9.0, 80.0, 29.0, 9.0, False)


def shapes(like: RideShape, many: int, rng: np.random.Generator) -> list[RideShape]:
    """Rides of one habit, as unlike each other as days are: 15 % in length, 5 % in speed, half an hour, 1.5 m/km."""
    return [
        replace(
            like,
            weekday=int(rng.integers(5)) if like.weekday < 5 else int(rng.integers(5, 7)),
            hour=(like.hour or 0) + float(rng.normal(0, 0.5)),
            km=like.km * float(np.exp(rng.normal(0, 0.15))),
            km_an_hour=like.km_an_hour * float(np.exp(rng.normal(0, 0.05))),
            climb_m_per_km=max(0.0, (like.climb_m_per_km or 0.0) + float(rng.normal(0, 1.5))),
        )
        for _ in range(many)
    ]


def test_nothing_told_makes_each_bike_as_likely_as_the_others() -> None:
    """One half each of two, one third of three, and no bike at all is refused."""
    assert likely_bikes([COMMUTE], {"x": [], "y": []})[0].odds == (("x", 0.5), ("y", 0.5))
    assert [share for _, share in likely_bikes([COMMUTE], {"x": [], "y": [], "z": []})[0].odds] == [
        pytest.approx(1 / 3)
    ] * 3
    with pytest.raises(InputRefused, match="No bike was given"):
        likely_bikes([COMMUTE], {})
    with pytest.raises(InputRefused, match="A ride's distance is -1"):
        likely_bikes([replace(COMMUTE, km=-1.0)], {"x": []})


@pytest.mark.parametrize("many", [0, 1, 4, 9, 40])
def test_so_many_told_rides_that_are_quite_alike_make_a_bike_so_likely(many: int) -> None:
    """By hand: n quite alike on one of two bikes give (n + 1/2) / (n + 1); sure from 9 on: 9.5 / 10 = 0.95."""
    (found,) = likely_bikes([COMMUTE], {"x": [COMMUTE] * many, "y": []})
    assert found.best[1] == pytest.approx((many + 0.5) / (many + 1))
    assert found.alike == pytest.approx(many)
    assert found.is_sure is (many >= 9)


@pytest.mark.parametrize(
    ("other", "likeness"),
    [
        # By hand, from the widths: exp(-1/2) a standard deviation off in one thing.
        (replace(COMMUTE, km=8.0 * np.exp(0.5)), np.exp(-0.5)),
        (replace(COMMUTE, km_an_hour=17.0 * np.exp(0.24)), np.exp(-2.0)),
        (replace(COMMUTE, climb_m_per_km=9.0), np.exp(-0.5)),
        (replace(COMMUTE, hour=11.0), np.exp(-0.5)),
        (replace(COMMUTE, weekday=2), 0.9),
        (replace(COMMUTE, weekday=6), 0.3),
        (replace(COMMUTE, device="b"), 0.1),
        (replace(COMMUTE, device=""), 0.5),
        (replace(COMMUTE, indoor=True), 0.02),
        (replace(COMMUTE, indoor=None, hour=None, climb_m_per_km=None, km_an_hour=0.0), 1.0),
    ],
)
def test_how_alike_two_rides_are_is_as_the_page_says(other: RideShape, likeness: float) -> None:
    """Each width and factor of the method by itself; what one does not tell counts as alike."""
    (found,) = likely_bikes([COMMUTE], {"x": [other], "y": []})
    assert found.alike == pytest.approx(float(likeness))


def test_late_at_night_is_near_to_early_in_the_morning() -> None:
    """23:30 and 00:30 are an hour apart, a third of the width: exp(-1/18)."""
    (found,) = likely_bikes([replace(COMMUTE, hour=23.5)], {"x": [replace(COMMUTE, hour=0.5)]})
    assert found.alike == pytest.approx(float(np.exp(-1 / 18)))


@pytest.mark.parametrize(("speed", "most_asked"), [(20.0, 1.0), (22.0, 1.0), (28.0, 0.2)])
def test_of_what_is_called_sure_at_most_one_in_twenty_is_wrong(speed: float, most_asked: float) -> None:
    """Two bikes to the same work, at 17 km/h and faster, 60 told rides, 600 more, in 12 made-up years: what is called sure is right
    at least as often as it says (0.95), less two standard errors; where the habits are apart few are asked about."""
    rng = np.random.default_rng(20261128)
    right = sure = whole = 0
    for _ in range(12):
        habits = {"old": COMMUTE, "light": replace(COMMUTE, km_an_hour=speed)}
        told = {bike: shapes(like, 30, rng) for bike, like in habits.items()}
        for bike, like in habits.items():
            for found in likely_bikes(shapes(like, 300, rng), told):
                whole += 1
                sure += found.is_sure
                right += found.is_sure and found.best[0] == bike
    assert right >= SURE * sure - 2 * (SURE * (1 - SURE) * sure) ** 0.5
    assert 1 - sure / whole <= most_asked


def test_two_bikes_that_are_ridden_alike_are_asked_about() -> None:
    """The same way at the same pace on either: never sure, whatever was told."""
    rng = np.random.default_rng(7)
    told = {bike: shapes(COMMUTE, 60, rng) for bike in ("x", "y")}
    assert not any(found.is_sure for found in likely_bikes(shapes(COMMUTE, 100, rng), told))


def test_a_season_of_one_owner_is_settled_by_few_questions() -> None:
    """150 commutes, 30 Sunday rides and 20 evenings on rollers by one device, mixed: at most 4 batches, and none holds two habits."""
    rng = np.random.default_rng(3)
    rollers = replace(COMMUTE, hour=19.0, km=25.0, km_an_hour=31.0, climb_m_per_km=None, indoor=True)
    rides = [
        (name, one)
        for name, like, many in (("work", COMMUTE, 150), ("sunday", RACE, 30))
        for one in shapes(like, many, rng)
    ]
    rides += [("rollers", replace(rollers, weekday=int(rng.integers(5)))) for _ in range(20)]
    order = rng.permutation(len(rides))
    mixed = [rides[int(one)] for one in order]
    found = batches_alike([one for _, one in mixed])
    assert sorted(place for batch in found for place in batch) == list(range(200))
    habits = [{mixed[place][0] for place in batch} for batch in found]
    # The last batch is what is like few others.
    assert all(len(one) == 1 for one in habits[:3])
    assert sum(len(batch) for batch in found[:3]) >= 180
    assert len(found) <= 6


shape = st.builds(
    RideShape,
    st.sampled_from(["", "a", "b"]),
    st.integers(0, 6),
    st.none() | st.floats(0, 24),
    st.floats(0, 400),
    st.floats(0, 60),
    st.none() | st.floats(0, 60),
    st.none() | st.booleans(),
)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.lists(shape, max_size=12), st.lists(shape, max_size=12), st.lists(shape, max_size=12))
def test_odds_are_a_distribution_and_batches_hold_each_ride_once(
    rides: list[RideShape], one: list[RideShape], other: list[RideShape]
) -> None:
    """Whatever is told: probabilities add up to 1, the likeliest first; no ride is lost or asked twice; never another device's."""
    for found in likely_bikes(rides, {"x": one, "y": other}):
        shares = [share for _, share in found.odds]
        assert sum(shares) == pytest.approx(1.0) and shares == sorted(shares, reverse=True)
        assert min(shares) > 0 and 0 <= found.alike <= len(one) + len(other) + 1e-9
    batches = batches_alike(rides)
    assert sorted(place for batch in batches for place in batch) == list(range(len(rides)))
    assert all(len({rides[place].device for place in batch}) == 1 for batch in batches)
