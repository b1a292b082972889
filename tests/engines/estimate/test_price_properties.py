"""What holds for every estimate, whatever the lines."""

from dataclasses import replace
from decimal import Decimal

from hypothesis import example, given
from hypothesis import strategies as st

from pinchbolt.engines.estimate import (
    Block,
    LineToPrice,
    Minutes,
    OperationToPrice,
    PartPrice,
    Terms,
    add_up,
    price,
)
from pinchbolt.values import Verdict

BLOCKS = {
    name: Block(name, name, minutes, at_place)
    for name, minutes, at_place in [
        ("stand", 2, False),
        ("wheel", 3, False),
        ("tyre", 5, True),
        ("crank", 8, False),
    ]
}
TERMS = Terms(Decimal("47.35"), Decimal("20"), "GBP")


def pennies(most: int) -> st.SearchStrategy[Decimal]:
    """Amounts to the penny, from nothing to *most* pounds."""
    return st.integers(0, most * 100).map(lambda penny: Decimal(penny) / 100)


@st.composite
def operations(draw):
    """Operations whose blocks fit inside them; the low end may be below its blocks, as in the trade's tables."""
    shares = tuple(draw(st.lists(st.sampled_from(sorted(BLOCKS)), unique=True)))
    inside = sum(BLOCKS[name].minutes for name in shares)
    usual = inside + draw(st.integers(0, 40))
    minutes = Minutes(draw(st.integers(0, usual)), usual, usual + draw(st.integers(0, 60)))
    return OperationToPrice(f"op-{draw(st.integers(0, 9))}", "work", minutes, shares)


def lines(least=0):
    """Estimates of up to six lines, ids by their order."""
    parts = st.builds(PartPrice, st.just("part"), pennies(500), st.integers(1, 4))
    asked = st.builds(
        LineToPrice,
        id=st.just(""),
        words=st.just("line"),
        operation=st.none() | operations(),
        parts=st.lists(parts, max_size=3).map(tuple),
        verdict=st.sampled_from(Verdict),
        cost_of_waiting=st.none() | st.integers(-9999, 99999).map(lambda penny: Decimal(penny) / 100),
        place=st.sampled_from(["", "front", "rear"]),
    )
    return st.lists(asked, min_size=least, max_size=6).map(
        lambda some: [replace(one, id=str(number)) for number, one in enumerate(some)]
    )


terms = st.builds(
    Terms, pennies(200), st.integers(0, 300).map(lambda tenth: Decimal(tenth) / 10), st.just("GBP")
)
# Three lines of 1 minute at 20.10: 0.335 each. Rounded on the line 1.02; rounded once at the end it would be 1.01.
MINUTE = OperationToPrice("minute", "work", Minutes(1, 1, 1), ())
THREE_HALVES = [LineToPrice(str(number), "line", MINUTE, (), Verdict.SOUND) for number in range(3)]


@given(lines(), terms)
@example(THREE_HALVES, Terms(Decimal("20.10"), Decimal("20"), "GBP"))
def test_the_total_is_the_sum_of_the_printed_lines(asked, shop):
    """Exact to the penny: parts and labour make the line, lines less what is shared make the total, tax and net make it again."""
    answer = price(asked, shop, BLOCKS)
    penny = Decimal("0.01")
    for one in answer.lines:
        assert one.price == one.labour + one.parts_total
        assert one.total == one.price - one.saved == sum(amount.gross for amount in one.amounts)
        assert one.parts_total == sum(part.each for part in one.parts for _ in range(part.count))
        assert one.total == one.total.quantize(penny) and one.saved == one.saved.quantize(penny)
        assert 0 <= one.saved <= one.labour and 0 <= one.total <= one.high_total
    assert answer.price == sum(one.price for one in answer.lines)
    assert answer.total == answer.price - answer.saved == sum(one.total for one in answer.lines)
    assert answer.high_total == sum(one.high_total for one in answer.lines)
    assert answer.net + answer.tax == answer.total
    for row in answer.taxes:
        exact = row.gross * row.rate / (100 + row.rate)
        assert row.net + row.tax == row.gross and abs(row.tax - exact) <= penny / 2
    assert sum(row.gross for row in answer.taxes) == answer.total


@given(lines().flatmap(lambda some: st.tuples(st.just(some), st.permutations(some))))
def test_the_order_of_the_lines_does_not_change_the_minutes(pair):
    """Shared work goes to another line, but the whole takes as long: low, usual and high."""
    asked, shuffled = pair
    assert price(asked, TERMS, BLOCKS).minutes == price(shuffled, TERMS, BLOCKS).minutes


@given(lines(least=1))
def test_another_line_never_shortens_the_work(asked):
    """Each line adds 0 minutes or more at every end, and the ends stay in order."""
    for one in price(asked, TERMS, BLOCKS).lines:
        assert 0 <= one.minutes.low <= one.minutes.usual <= one.minutes.high


@given(lines())
def test_the_minutes_are_own_work_plus_every_block_once(asked):
    """Second way: own minutes of each line, plus the union of the blocks; nothing is subtracted."""
    own, union = 0, set()
    for one in asked:
        if one.operation is None:
            continue
        names = one.operation.shares
        own += one.operation.minutes.usual - sum(BLOCKS[name].minutes for name in names)
        union |= {(name, (one.place or one.id) if BLOCKS[name].at_place else None) for name in names}
    assert price(asked, TERMS, BLOCKS).minutes.usual == own + sum(BLOCKS[name].minutes for name, _ in union)


@given(lines(), st.sets(st.integers(0, 5).map(str)))
def test_no_answer_makes_a_line_dearer(asked, wanted):
    """Whatever is declined, what is left costs what was told: less by exactly the totals of what was declined."""
    whole = price(asked, TERMS, BLOCKS)
    agreed = add_up([one for one in whole.lines if one.id in wanted], "GBP")
    declined = sum(one.total for one in whole.lines if one.id not in wanted)
    assert agreed.total == whole.total - declined >= 0
    assert agreed.price - agreed.saved == agreed.total <= agreed.high_total


@given(lines(), lines())
def test_what_comes_later_is_spared_what_was_told_and_moves_nothing(first, second):
    """In one asking or in two: the same minutes and the same totals of the first."""
    later = [replace(one, id=f"later-{one.id}") for one in second]
    told, together = price(first, TERMS, BLOCKS), price([*first, *later], TERMS, BLOCKS)
    after = price(later, TERMS, BLOCKS, told=first)
    assert together.lines == (*told.lines, *after.lines)
