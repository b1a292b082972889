"""Yes, no and not known: the laws of the judge, on truths alone and on whole bikes."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.engines.build import (
    Build,
    FactValue,
    PartOn,
    Truth,
    holds,
    items_for,
    joints_of,
    limits_on,
    settled,
)
from pinchbolt.engines.build._truth import all_of, any_of
from pinchbolt.reference import tables
from pinchbolt.reference.rows.condition import Condition, condition
from pinchbolt.reference.rows.kinds import PartFact, PartKind

TRADE = tables()
KINDS = [kind for kind in TRADE.kinds.values() if kind.fitted_to != "supply"]

# Source of the three tables: S. C. Kleene, Introduction to Metamathematics, 1952, section 64, strong connectives
# (from memory). t, f and u as there.
KLEENE = {True: "t", False: "f", None: "u"}
ANY = {"tt": "t", "tf": "t", "tu": "t", "ft": "t", "ff": "f", "fu": "u", "ut": "t", "uf": "u", "uu": "u"}
ALL = {"tt": "t", "tf": "f", "tu": "u", "ft": "f", "ff": "f", "fu": "f", "ut": "u", "uf": "f", "uu": "u"}


@pytest.mark.parametrize(("one", "other"), list(product(KLEENE, repeat=2)))
def test_any_and_all_are_kleenes(one: bool | None, other: bool | None) -> None:
    """All nine pairs, against the printed tables."""
    pair, both = KLEENE[one] + KLEENE[other], [Truth(one), Truth(other)]
    assert KLEENE[any_of(both).answer] == ANY[pair]
    assert KLEENE[all_of(both).answer] == ALL[pair]


truths = st.lists(st.builds(Truth, st.sampled_from([True, False, None]), st.booleans()), max_size=5)


def _not(truth: Truth) -> Truth:
    return truth if truth.answer is None else Truth(not truth.answer, truth.confirmed)


def _said(truth: Truth) -> tuple[bool | None, bool]:
    return truth.answer, truth.answer is not None and truth.confirmed


@given(truths, st.randoms(use_true_random=False))
def test_the_order_of_conditions_means_nothing(told: list[Truth], chance: Any) -> None:
    """Neither for the answer nor for whether hands have seen it."""
    mixed = list(told)
    chance.shuffle(mixed)
    assert _said(any_of(told)) == _said(any_of(mixed))
    assert _said(all_of(told)) == _said(all_of(mixed))


@given(truths)
def test_all_is_any_turned_round(told: list[Truth]) -> None:
    """De Morgan: not all = any not; what is confirmed stays so."""
    assert _said(_not(all_of(told))) == _said(any_of([_not(one) for one in told]))


def _conditions() -> list[Condition]:
    """Every condition of the tables, as it stands and denied."""
    said: set[str] = set()
    for rows in (TRADE.limits, TRADE.joints, TRADE.prices, TRADE.proposals, TRADE.operations, TRADE.cautions):
        said |= {one.text for row in rows.values() for one in row.when}  # type: ignore[attr-defined]
    said |= {one.text for item in TRADE.signoff.values() for one in item.applies}
    said |= {one.text for row in TRADE.features.values() for one in (*row.any, *row.all)}
    bare = {text.removeprefix("not ") for text in said}
    return [condition(text) for text in sorted(bare | {f"not {text}" for text in bare})]


CONDITIONS = _conditions()


def _answers(row: PartFact) -> list[Any]:
    """Words and figures that decide something somewhere, and one that does not."""
    decided = {word for one in CONDITIONS if one.fact == row.id for word in one.words}
    if row.flag:
        return [True, False]
    if row.one_of:
        return list(row.one_of)
    figures = [float(word) for word in decided if word.replace(".", "").isdigit()]
    return [*figures, 99.0] if figures else [*sorted(decided), "another"]


@st.composite
def parts(draw: st.DrawFn) -> PartOn:
    """A part of some kind at some end, with some of its facts known."""
    kind: PartKind = draw(st.sampled_from(KINDS))
    end = "" if kind.ends == "one" else draw(st.sampled_from(["front", "rear"]))
    facts = {}
    for name in kind.facts:
        if draw(st.booleans()):
            value = draw(st.sampled_from(_answers(TRADE.facts[name])))
            facts[name] = FactValue(value, draw(st.sampled_from(["read off the part", "template"])))
    return PartOn(0, kind, end, settled(kind, facts), draw(st.booleans()))


@st.composite
def bikes(draw: st.DrawFn) -> Build:
    """A bike of up to eight parts, some corners confirmed."""
    on = draw(st.lists(parts(), max_size=8))
    kind = draw(st.sampled_from(sorted(TRADE.bike_kinds)))
    seen = draw(st.sets(st.sampled_from(sorted(set(TRADE.spots.values())))))
    numbered = (PartOn(n, one.kind, one.end, one.facts, one.confirmed) for n, one in enumerate(on, start=1))
    return Build(TRADE, kind, tuple(numbered), frozenset(seen))


def _with(build: Build, on: Sequence[PartOn]) -> Build:
    return Build(build.tables, build.bike_kind, tuple(on), build.confirmed)


@given(bikes(), st.randoms(use_true_random=False))
def test_the_order_of_parts_means_nothing(build: Build, chance: Any) -> None:
    """Limits, joints, items and every condition are the same, whichever part was written down first."""
    on = list(build.parts)
    chance.shuffle(on)
    mixed = _with(build, on)
    for one in CONDITIONS:
        assert _said(holds(build, one)) == _said(holds(mixed, one)), one.text
    assert items_for(build) == items_for(mixed)
    assert [(one.name, one.stands) for one in joints_of(build)] == [
        (one.name, one.stands) for one in joints_of(mixed)
    ]
    for part in build.parts:
        assert limits_on(build, part) == limits_on(mixed, part)


@given(bikes(), st.data())
def test_more_facts_known_never_turn_yes_into_no(build: Build, data: st.DataObject) -> None:
    """What was yes or no stays so when somebody reads one more fact; only what was not known may be settled."""
    open_ones = [(part, name) for part in build.parts for name in part.kind.facts if name not in part.facts]
    if not open_ones:
        return
    part, name = data.draw(st.sampled_from(open_ones))
    value = data.draw(st.sampled_from(_answers(TRADE.facts[name])))
    told = PartOn(
        part.id, part.kind, part.end, {**part.facts, name: FactValue(value, "measured")}, part.confirmed
    )
    after = _with(build, [told if one.id == part.id else one for one in build.parts])
    for one in CONDITIONS:
        before = holds(build, one, part).answer
        assert before is None or holds(after, one, told).answer is before, one.text


@given(bikes(), st.sampled_from(CONDITIONS))
def test_a_condition_denied_is_the_other_way_round(build: Build, one: Condition) -> None:
    """And denied of what nobody knows is not known."""
    denied = Condition(one.text, one.what, one.fact, one.words, one.here, not one.negated)
    assert _said(holds(build, denied)) == _said(_not(holds(build, one)))


@given(bikes(), st.sampled_from(CONDITIONS))
def test_what_is_asked_would_settle_something(build: Build, one: Condition) -> None:
    """Only what is not known asks, and only for facts that are not known."""
    truth = holds(build, one)
    assert truth.answer is None or not truth.asks
    assert all(ask.fact.id not in ask.part.facts for ask in truth.asks)


def _part(kind: str, **facts: Any) -> PartOn:
    row = TRADE.kinds[kind]
    known = {name: FactValue(value, "measured") for name, value in facts.items()}
    return PartOn(1, row, "", settled(row, known), True)


def test_a_fact_that_no_part_of_the_bike_has_is_not_known() -> None:
    """A chain alone on the sheet: nobody knows how many sprockets it runs over, so the careful row is read, not none."""
    chain = _part("chain")
    build = Build(TRADE, "road", (chain,), frozenset(TRADE.spots.values()))
    truth = holds(build, condition("*.sprockets_behind=11"))
    assert (truth.answer, truth.asks) == (None, ())
    assert holds(build, condition("not *.sprockets_behind=11")).answer is None
    read = {one.row.id: one.by_caution for one in limits_on(build, chain)}
    careful = [row for row in TRADE.limits.values() if row.if_unknown and row.is_elongation]
    assert {row.id for row in careful} == {name for name in read if name.startswith("chain-elongation")}
    assert careful and all(read[row.id] for row in careful)


def test_a_joint_that_nobody_can_be_asked_about_is_on_no_sheet() -> None:
    """No part of the bike has the fact that decides: the joint is neither there nor a question."""
    bolt = next(one for one in TRADE.joints.values() if "crank" in one.on)
    odd = replace(bolt, id="odd", when=(condition("*.gears=8"),))
    laid = replace(TRADE, joints={**TRADE.joints, "odd": odd})
    crank, geared = PartOn(1, TRADE.kinds["crank"]), _part("hub gear", gears=8)
    assert "odd" not in {one.name for one in joints_of(Build(laid, "road", (crank,)))}
    assert "odd" in {one.name for one in joints_of(Build(laid, "road", (crank, geared)))}
