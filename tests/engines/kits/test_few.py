"""The few tools that do most: exact, and the cheapest of those that do as much."""

import random
from decimal import Decimal
from itertools import combinations

import pytest

from pinchbolt.engines.kits import CoverJoint, CoverTool, best_few, needs_of
from pinchbolt.errors import InputRefused, Unknown


def drawn(seed: int) -> tuple[list[CoverJoint], list[CoverTool]]:
    """A few joints and tools, some joints that nothing turns."""
    draw = random.Random(seed)
    drives = [f"d{number}" for number in range(7)]
    tools = [
        CoverTool(f"t{number}", f"tool {number}", 10, frozenset(draw.sample(drives[:6], draw.randint(1, 3))),
                  frozenset(f"j{joint}" for joint in range(9) if draw.random() < 0.2), Decimal(draw.randint(1, 30)))
        for number in range(8)
    ]  # fmt: skip
    joints = [
        CoverJoint(
            f"j{number}",
            f"joint {number}",
            tuple(draw.sample(drives, draw.randint(1, 2))),
            draw.random() < 0.4,
        )
        for number in range(9)
    ]
    return joints, tools


@pytest.mark.parametrize("seed", range(40))
@pytest.mark.parametrize("most", [1, 3])
def test_no_few_do_more_and_none_that_do_as_much_cost_less(seed: int, most: int) -> None:
    """Against every choice there is."""
    joints, tools = drawn(seed)
    needs = needs_of(joints, tools)

    def worth(some: tuple[CoverTool, ...]) -> tuple[int, Decimal]:
        ids = {tool.id for tool in some}
        met = sum(not need.by.isdisjoint(ids) for need in needs)
        return -met, sum((tool.price or Decimal(0) for tool in some), Decimal(0))

    best = min(worth(some) for size in range(most + 1) for some in combinations(tools, size))
    found = best_few(joints, tools, most)
    assert (-found.met, found.price) == best
    assert found.proven and len(found.tools) <= most and found.needs == len(needs)
    assert len(found.open) == found.needs - found.met


def test_the_most_for_its_money_comes_first() -> None:
    """A key of 3 for three bolts before a driver of 60 for one."""
    joints = [CoverJoint(name, name, ("hex-5",), False) for name in "abc"]
    joints.append(CoverJoint("face", "face", ("hex-5",), True))
    tools = [
        CoverTool("driver", "torque driver", 300, keeps=frozenset({"face"}), price=Decimal(60)),
        CoverTool("hex-5", "5 mm key", 38, frozenset({"hex-5"}), price=Decimal(3)),
    ]
    found = best_few(joints, tools)
    assert [(one.id, one.meets, one.alone) for one in found.tools] == [("hex-5", 4, 4), ("driver", 1, 1)]


def test_what_can_not_be_chosen_is_refused() -> None:
    """None, too many, without a price."""
    joint, tool = CoverJoint("a", "a", ("x",), False), CoverTool("t", "t", 1, frozenset({"x"}))
    with pytest.raises(InputRefused, match="1 to 12 are possible"):
        best_few([joint], [tool], 0)
    with pytest.raises(Unknown, match="No price is known for t"):
        best_few([joint], [tool])
    nothing = best_few([], [])
    assert (nothing.tools, nothing.met, nothing.needs, nothing.price) == ((), 0, 0, 0)
    bare = best_few([joint], [CoverTool("u", "u", 1, frozenset({"y"}), price=Decimal(1))])
    assert (bare.tools, bare.met, bare.needs, len(bare.open)) == ((), 0, 1, 1)


def test_what_costs_nothing_is_cheaper_than_what_costs_little() -> None:
    """A tool that lies at home already, at no price, before the same one for a half."""
    joint = CoverJoint("a", "a", ("x",), False)
    tools = [
        CoverTool("bought", "bought", 1, frozenset({"x"}), price=Decimal("0.50")),
        CoverTool("there", "there", 1, frozenset({"x"}), price=Decimal(0)),
    ]
    found = best_few([joint], tools, 1)
    assert [one.id for one in found.tools] == ["there"] and found.price == 0
