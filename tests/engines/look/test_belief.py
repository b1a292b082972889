"""What is believed after answers is what counting out every combination says, and moves the way a mechanic expects."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.engines.look import (
    Causes,
    Look,
    LookBelief,
    LookFault,
    LookSheet,
    LookStation,
    answered,
    believed,
    chances_now,
    told_split,
)
from pinchbolt.engines.look.look_types import Split
from pinchbolt.errors import InputRefused

CHANCE, SEEN = st.floats(0.02, 0.6), st.floats(0.3, 0.97)


@st.composite
def sheets(draw: st.DrawFn) -> LookSheet:
    """Five faults, one of which goes with another, five looks, perhaps a complaint."""
    faults = tuple(
        LookFault(
            f"f{n}", f"fault {n}", draw(CHANCE), 3.0, 10.0,
            {"neglect": draw(st.floats(0, 1)), "fall": draw(st.floats(0, 2))},
            "f0" if n == 1 else "", draw(st.floats(0.2, 2)) if n == 1 else 0.0,
        )
        for n in range(5)
    )  # fmt: skip
    looks = tuple(
        Look(f"l{n}", f"look {n}", "here", 5.0, {f"f{n}": draw(SEEN), f"f{(n + 1) % 5}": draw(SEEN)}, 0.03)
        for n in range(5)
    )
    shares = {"f0": 3.0, "f1": 2.0, "f3": 1.5}
    told = (Causes("creak", "creaks", shares, 2.0, ("l0",)),) if draw(st.booleans()) else ()
    return LookSheet((LookStation("here", "here", False),), looks, faults, (), told)


def counted_out(belief: LookBelief, answers: dict[str, dict[str, bool]]) -> tuple[np.ndarray, np.ndarray]:
    """Chances of faults and causes by summing over all nodes and all 2^n combinations of faults: slow and plain."""
    sheet, nodes = belief.sheet, belief.nodes
    fault, cause, total = np.zeros(len(sheet.faults)), np.zeros(len(sheet.faults)), 0.0
    for weight, because, with_pair, without in zip(
        nodes.weight, nodes.cause, nodes.with_pair, nodes.without, strict=True
    ):
        for there in product((False, True), repeat=len(sheet.faults)):
            p = weight
            for n, one in enumerate(sheet.faults):
                chance = (
                    with_pair[n] if one.goes_with and there[sheet.fault_at[one.goes_with]] else without[n]
                )
                p *= chance if there[n] else 1 - chance
            for look, told in answers.items():
                row = sheet.looks[sheet.look_at[look]]
                for name, is_found in told.items():
                    shown = row.sees[name] if there[sheet.fault_at[name]] else row.false_alarm
                    p *= shown if is_found else 1 - shown
            total += p
            fault += p * np.array(there)
            if because >= 0:
                cause[because] += p
    return fault / total, cause / total


@given(
    sheets(),
    st.lists(
        st.tuples(st.integers(0, 4), st.booleans(), st.booleans()), max_size=4, unique_by=lambda a: a[0]
    ),
)
def test_answers_are_counted_in_as_by_counting_out(
    sheet: LookSheet, told: list[tuple[int, bool, bool]]
) -> None:
    """Exact given the grid, pairs and causes too: own arithmetic, 1e-9."""
    belief, answers = believed(sheet), {}
    for number, first, second in told:
        look = sheet.looks[number]
        answers[look.id] = dict(zip(look.sees, (first, second), strict=True))
        belief = answered(belief, look.id, answers[look.id])
    fault, cause = counted_out(believed(sheet), answers)
    now = chances_now(belief)
    assert now.fault == pytest.approx(fault, abs=1e-9)
    assert now.cause == pytest.approx(cause, abs=1e-9)


@given(sheets())
def test_a_usual_bike_has_the_chances_of_its_rows(sheet: LookSheet) -> None:
    """The mean over neglect, falls and pairs is what the row says: nothing is raised by being counted twice."""
    plain = replace(sheet, complaints=())
    assert chances_now(believed(plain)).fault == pytest.approx([one.chance for one in sheet.faults], abs=1e-6)


@given(sheets(), st.integers(0, 4))
def test_sound_lowers_and_found_raises_what_a_look_sees(sheet: LookSheet, number: int) -> None:
    """At the look's own first fault, whatever else hangs on it."""
    look = sheet.looks[number]
    own = sheet.fault_at[next(iter(look.sees))]
    before = chances_now(believed(sheet)).fault[own]
    assert chances_now(answered(believed(sheet), look.id, False)).fault[own] < before
    assert chances_now(answered(believed(sheet), look.id, True)).fault[own] > before


def test_a_find_on_a_neglected_bike_makes_the_others_likelier() -> None:
    """Faults come together: what nobody sees is how neglected it is."""
    faults = tuple(LookFault(f"f{n}", "", 0.1, 3, 0, {"neglect": 0.8}) for n in range(3))
    looks = (Look("l0", "", "here", 5, {"f0": 0.9}, 0.02),)
    belief = believed(LookSheet((LookStation("here", "", False),), looks, faults, ()))
    assert chances_now(answered(belief, "l0", True)).fault[2] > 1.3 * chances_now(belief).fault[2]


def test_sound_divides_a_cause_by_its_own_miss_rate() -> None:
    """As a mechanic does in the head: a look that shows it nine times in ten divides its odds by about ten."""
    faults = tuple(LookFault(f"f{n}", "", 0.02, 3, 0) for n in range(2))
    looks = (Look("l0", "", "here", 5, {"f0": 0.9}, 0.01),)
    sheet = LookSheet(
        (LookStation("here", "", False),),
        looks,
        faults,
        (),
        (Causes("creak", "creaks", {"f0": 4, "f1": 4}, 2.0),),
    )
    before, after = (
        chances_now(believed(sheet)).cause,
        chances_now(answered(believed(sheet), "l0", False)).cause,
    )
    assert after[0] / after[1] == pytest.approx(before[0] / before[1] * 0.1 / 0.99, rel=0.02)


def test_a_test_tells_causes_apart() -> None:
    """Standing up, and the creak is gone: the saddle gains, the pedals lose."""
    faults = (LookFault("saddle", "", 0.05, 3, 0), LookFault("pedals", "", 0.05, 3, 0))
    split = Split("stands", "Standing up: gone?", ("saddle",), ("pedals",))
    sheet = LookSheet(
        (LookStation("here", "", False),),
        (Look("l0", "", "here", 5, {"saddle": 0.9, "pedals": 0.9}, 0.01),),
        faults,
        (),
        (Causes("creak", "creaks", {"saddle": 2, "pedals": 4}, 2.0, ("l0",), (split,)),),
    )
    before, after = chances_now(believed(sheet)), chances_now(told_split(believed(sheet), "stands", yes=True))
    assert after.cause[0] > before.cause[0]
    assert after.cause[1] < before.cause[1]


def test_a_look_that_the_bike_does_not_have_is_refused() -> None:
    """By its name."""
    sheet = LookSheet((LookStation("here", "", False),), (), (), ())
    with pytest.raises(InputRefused, match='"belt" is no look at this bike'):
        answered(believed(sheet), "belt", found=True)
