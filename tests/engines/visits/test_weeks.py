"""Who is asked back in which week: near the best of all plans, safety first, and nobody left out."""

import random
import time
from itertools import product

import pytest

from pinchbolt.engines.visits import BikeDue, plan_of_weeks, week_cost, weeks_allowed
from pinchbolt.engines.visits._smooth import OVERTIME, SAFETY_CHANCE
from pinchbolt.errors import InputRefused


def due(rng, name, weeks):
    """A bike by chance; one in five has a part that can throw its rider."""
    start = rng.random() ** 2 * (rng.random() < 0.3)
    step = rng.random() ** 2 * 0.5
    past = tuple(min(1.0, start + step * week) for week in range(weeks + 1))
    own = next((week for week in range(weeks) if past[week + 1] > 0.5), weeks - 1)
    return BikeDue(
        name,
        past,
        own,
        rng.choice((30, 45, 60, 90)),
        rng.uniform(5, 80),
        rng.uniform(0.5, 3),
        rng.random() < 0.2,
    )


def least_by_counting(bikes, room):
    """The cost of the best plan, by trying every one."""
    best = float("inf")
    for plan in product(*(weeks_allowed(one) for one in bikes)):
        used = [0.0] * len(room)
        cost = 0.0
        for one, week in zip(bikes, plan, strict=True):
            used[week] += one.minutes
            cost += week_cost(one, week)
        over = sum(max(0, a - b) for a, b in zip(used, room, strict=True))
        best = min(best, cost + OVERTIME * over)
    return best


@pytest.mark.parametrize("many", (100, 0), ids=("by risk", "by the programme"))
@pytest.mark.parametrize("seed", range(4))
def test_within_a_fiftieth_of_counting_all(seed, many):
    """Seven bikes, four weeks, by both ways."""
    rng = random.Random(seed)
    bikes = [due(rng, f"B{at}", 4) for at in range(7)]
    room = [rng.choice((60, 90, 120)) for _ in range(4)]
    plan = plan_of_weeks(bikes, room, many)
    assert plan.cost <= least_by_counting(bikes, room) * 1.02 + 1e-9


@pytest.mark.parametrize("count", (0, 1, 30, 300))
def test_nobody_is_left_out_and_safety_is_in_time(count):
    """Each bike once; one with a part that can throw its rider while it is unlikely to be past, or now."""
    rng = random.Random(count)
    bikes = [due(rng, f"B{at}", 8) for at in range(count)]
    plan = plan_of_weeks(bikes, [300.0] * 8)
    assert sorted(one.name for one in plan.asked) == sorted(one.name for one in bikes)
    by_name = {one.name: one for one in bikes}
    for one in plan.asked:
        bike = by_name[one.name]
        if bike.safety:
            assert bike.past[one.week + 1] <= SAFETY_CHANCE or one.week == 0


def test_safety_stands_first_in_its_week_and_a_full_week_drops_none():
    """No room at all: everybody is asked all the same, and it is said by how much it is over."""
    bikes = [BikeDue("calm", (0.9, 0.9), 0, 60, 10), BikeDue("unsafe", (0.5, 0.6), 0, 60, 10, safety=True)]
    plan = plan_of_weeks(bikes, [0.0])
    assert [one.name for one in plan.asked] == ["unsafe", "calm"]
    assert plan.over == (120.0,)


def test_the_programme_is_cheaper_than_each_at_its_own_week():
    """Three hundred bikes, most due in the same weeks: less is lost, and no week is far over."""
    rng = random.Random(5)
    bikes = [due(rng, f"B{at}", 12) for at in range(300)]
    room = [sum(one.minutes for one in bikes) / 12] * 12
    start = time.process_time()
    plan = plan_of_weeks(bikes, room)
    assert time.process_time() - start < 4
    assert plan.by == "by the programme"
    used = [0.0] * 12
    own = 0.0
    for one in bikes:
        week = one.own_week if one.own_week in weeks_allowed(one) else max(weeks_allowed(one))
        used[week] += one.minutes
        own += week_cost(one, week)
    own += OVERTIME * sum(max(0, a - b) for a, b in zip(used, room, strict=True))
    assert plan.cost < own


def test_chances_that_fall_are_refused():
    """Being past does not pass by itself."""
    with pytest.raises(InputRefused, match="never fall"):
        plan_of_weeks([BikeDue("A", (0.5, 0.2), 0, 30, 1)], [60])
    with pytest.raises(InputRefused, match="room"):
        plan_of_weeks([], [])
