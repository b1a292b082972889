"""What waiting costs, as it is said beside a line of the estimate."""

import re
from decimal import Decimal

import pytest

from pinchbolt.values import Verdict
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.line_parts import LinePart
from pinchbolt.workshop.stays.price import LineView, PriceRequest, ask_owner, estimate
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.wear.waiting import waiting_for
from tests.story import NOW, TODAY, Story, checked_in, priced, walked_round
from tests.workshop.build_story import part_on, read

pytestmark = pytest.mark.django_db
# Written down first: the sentence as a bookkeeper and an owner can read it, to the next five pounds.
SENTENCE = re.compile(
    r"Left until the next visit \(about 90 days, [\d,]+ km\): "
    r"(about the same either way|probably about £[\d,]+[05] (dearer|cheaper)(, [^;]*)?|probably about £5 (dearer|cheaper)(, [^;]*)?)"
    r"(; likely (the same|£[\d,]+ (dearer|cheaper))( to (the same|£[\d,]+ (dearer|cheaper)))?)?\. "
    r"Allowed to wait: yes(, if we look at it by \d+ \w+ \d{4})?\. Cheapest: (now|later|either)\."
)


def lines() -> tuple[LineView, ...]:
    """The lines of a bike that was walked round."""
    return estimate(priced(walked_round(checked_in())).record).lines


def test_no_money_is_said_on_what_may_not_wait() -> None:
    """A cut tyre and pads before it leaves: no sum that reads as 'leaving is cheaper'."""
    must = [line for line in lines() if line.rank >= Verdict.BEFORE_IT_LEAVES.rank]
    assert len(must) >= 2
    for line in must:
        assert line.money.cost_of_waiting is None and "£" not in line.waiting_reasons[0]
        assert line.waiting_reasons[0].startswith("Allowed to wait: no.")


def test_what_may_wait_says_both_answers_in_whole_pounds() -> None:
    """Allowed and cheapest are two answers; the figure, its interval, and until when."""
    may = [line for line in lines() if line.rank < Verdict.BEFORE_IT_LEAVES.rank]
    assert may and all(SENTENCE.fullmatch(line.waiting_reasons[0]) for line in may), may[0].waiting_reasons[0]


def test_three_sums_and_no_sum_of_waiting() -> None:
    """What must be done and what can be done make the whole."""
    seen = estimate(priced(walked_round(checked_in())).record)
    assert seen.before_it_leaves.total + seen.can_wait.total == seen.priced.total <= seen.priced.high_total
    assert {line.id for line in seen.before_it_leaves.lines} == {
        str(line.id) for line in seen.lines if line.rank >= Verdict.BEFORE_IT_LEAVES.rank
    }


def test_rim_pads_cost_a_rim_and_never_a_rotor() -> None:
    """A bike with rim brakes has no rotor that a plate could meet."""
    there = checked_in("road-rim")
    pads = part_on(there, "rim pads", "rear")
    read(there, pads, "rim-pad-groove", value=1.2)
    found = pads.findings.get()
    asked = ProposeRequest(there.job, "brake-pads-rim", found.pk)
    propose(asked, by=there.first, key=there.key(), now=NOW)
    said = " ".join(estimate(there.record).lines[0].waiting_reasons)
    assert "rotor" not in said and ("rim" in said or found.verdict == Verdict.BEFORE_IT_LEAVES)


def worn_chain(elongation: float) -> tuple[Story, int]:
    """A bike with a chain at this elongation, and its finding."""
    there = checked_in()
    chain = part_on(there, "chain")
    read(there, chain, "chain-elongation-12to13", value=elongation)
    return there, chain.findings.get().pk


def put_on(there: Story, operation: str, finding: int | None = None) -> int:
    """A line of the menu."""
    asked = ProposeRequest(there.job, operation, finding)
    return propose(asked, by=there.first, key=there.key(), now=NOW).line


def test_chain_and_cassette_are_said_once_of_both() -> None:
    """One sentence with both names; the other line points to it, and no line says that the cassette may be saved."""
    there, found = worn_chain(0.35)
    chain, cassette = put_on(there, "chain", found), put_on(there, "cassette")
    said = {line.id: line.waiting_reasons[0] for line in estimate(there.record).lines}
    assert said[chain].startswith("Chain and cassette together. Left until the next visit")
    assert SENTENCE.fullmatch(said[chain].partition("together. ")[2]), said[chain]
    assert "can take the" not in said[chain] and "dearer" not in said[chain]
    assert said[cassette] == "Said of both at “new chain”."


def test_of_both_no_saving_is_told_past_the_chains_warning() -> None:
    """At 0.62 % it may still wait, and what that takes of the rings nobody knows."""
    there, found = worn_chain(0.62)
    chain, _ = put_on(there, "chain", found), put_on(there, "cassette")
    (said,) = next(line.waiting_reasons for line in estimate(there.record).lines if line.id == chain)
    assert said.startswith("Chain and cassette together. Allowed to wait: yes. Past its warning")
    assert "cheaper" not in said and "£" not in said


def test_without_the_cassette_the_chain_speaks_for_itself() -> None:
    """Alone, and again once the cassette is declined or taken off."""
    there, found = worn_chain(0.35)
    chain = put_on(there, "chain", found)
    (alone,) = (line.waiting_reasons for line in estimate(there.record).lines)
    cassette = put_on(there, "cassette")
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    answer(AnswerRequest(there.job, {cassette: False}), by=there.first, key=there.key(), now=NOW)
    said = {line.id: line.waiting_reasons for line in estimate(there.record).lines}
    assert said[chain] == alone and said[cassette] == () and "together" not in alone[0]


def test_two_of_a_part_and_its_fitting_are_counted() -> None:
    """The price that waiting is held against is that of the whole line: twice the part is not the same."""
    costs = []
    for count in (1, 4):
        there = checked_in()
        chain = part_on(there, "chain")
        read(there, chain, "chain-elongation-12to13", value=0.35)
        parts = (LinePart("chain", Decimal("30.00"), count),)
        asked = ProposeRequest(there.job, "chain", chain.findings.get().pk, parts=parts)
        propose(asked, by=there.first, key=there.key(), now=NOW)
        costs.append(estimate(there.record).lines[0].money.cost_of_waiting)
    assert costs[0] != costs[1]


@pytest.mark.parametrize(
    ("kind", "place", "limit", "shown", "spread"),
    [
        ("chain", "", "chain-elongation-12to13", 0.35, r"; likely £\d+ cheaper to £\d+ dearer"),
        ("rotor", "front", "rotor-thickness-1.8", 1.6, ""),
    ],
)
def test_a_likely_range_is_told_where_there_is_one(
    kind: str, place: str, limit: str, shown: float, spread: str
) -> None:
    """A chain may take its cassette along, or not; a rotor spoils nothing else and costs the same later: no range of nought to nought."""
    there = checked_in()
    part = part_on(there, kind, place)
    read(there, part, limit, value=shown)
    parts = (LinePart(kind, Decimal("40.00"), 1),)
    said = waiting_for(part.findings.get(), "", parts, there.record.bike, TODAY).reasons[0]
    assert re.search(rf"km\): about the same either way{spread}\. Allowed to wait", said), said
