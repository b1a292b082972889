"""12 kinds of bike and 12 complaints: the first ten looks are those that a mechanic wrote down before the program was asked.

The lists are common practice, no source, and of the same hand as the tables: that they agree proves neither.
"""

import tomllib
from functools import cache
from pathlib import Path

import pytest

from pinchbolt.engines.build import Build
from pinchbolt.engines.look import LookPlan, LookSheet, believed, plan_looks, safety_floor
from pinchbolt.reference import tables
from pinchbolt.workshop.looks._look_sheet import look_sheet
from tests.reference.templates_built import built

BY_HAND = tomllib.loads((Path(__file__).parent / "first_ten_by_hand.toml").read_text(encoding="utf-8"))
PAIRS = [
    (kind, complaint)
    for complaint, row in BY_HAND["complaint"].items()
    for kind in BY_HAND["kind"]
    if kind not in row.get("not_on", ())
]
MINUTES = 10
MEAN, GOOD, MANY_GOOD, LEAST = 8.5, 8, 0.9, 6


@cache
def bike(kind: str) -> Build:
    """A bike as its template tells it."""
    template = tables().templates[kind]
    return built(tables(), template, template.speeds[0])


@cache
def sheet(kind: str, complaint: str) -> LookSheet:
    """What is looked at on it."""
    return look_sheet(bike(kind), complaints=[complaint])


@cache
def plan(kind: str, complaint: str, minutes: float) -> LookPlan:
    """What the program plans."""
    return plan_looks(believed(sheet(kind, complaint)), minutes)


def by_hand(kind: str, complaint: str) -> list[str]:
    """The ten that were written down."""
    there = sheet(kind, complaint).look_at
    named = (*BY_HAND["complaint"][complaint]["places"], *BY_HAND["kind"][kind]["floor"])
    return list(dict.fromkeys(name for name in named if name in there))[:10]


def agreed(kind: str, complaint: str) -> int:
    """How many of the ten are among the program's first ten."""
    first = {one.look.id for one in plan(kind, complaint, MINUTES).looks[:10]}
    return len(first.intersection(by_hand(kind, complaint)))


def test_twelve_kinds_and_twelve_complaints_were_written() -> None:
    """Each a row of the tables, and each list ten looks that the bike has."""
    assert (len(BY_HAND["kind"]), len(BY_HAND["complaint"])) == (12, 12)
    assert set(BY_HAND["kind"]) <= set(tables().templates)
    assert set(BY_HAND["complaint"]) <= set(tables().complaints)
    assert all(len(by_hand(*pair)) == 10 for pair in PAIRS)


def test_most_of_the_first_ten_are_those_of_the_hand() -> None:
    """Mean, nine in ten pairs and the worst: the three bars together, with the worst pairs named."""
    counts = {pair: agreed(*pair) for pair in PAIRS}
    worst = sorted(counts.items(), key=lambda one: one[1])[:8]
    assert sum(counts.values()) / len(counts) >= MEAN, worst
    assert sum(count >= GOOD for count in counts.values()) / len(counts) >= MANY_GOOD, worst
    assert min(counts.values()) >= LEAST, worst


@pytest.mark.parametrize("minutes", [5, MINUTES])
def test_no_plan_leaves_a_safety_look_out(minutes: float) -> None:
    """Whatever the owner complains of, the floor of safety looks is whole, in five minutes too."""
    for kind, complaint in PAIRS:
        chosen = {one.look.id for one in plan(kind, complaint, minutes).looks}
        assert {one.id for one in safety_floor(sheet(kind, complaint))} <= chosen, (kind, complaint)
