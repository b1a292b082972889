"""What an estimate says for the worked examples of the trade, and what it refuses."""

from dataclasses import replace
from decimal import Decimal, localcontext

import pytest

from pinchbolt.engines.estimate import (
    AtRate,
    Block,
    LineToPrice,
    Minutes,
    OperationToPrice,
    PartPrice,
    Terms,
    add_up,
    price,
    tax_on,
)
from pinchbolt.errors import InputRefused
from pinchbolt.values import Verdict

D = Decimal
TERMS = Terms(labour_an_hour=D("45.00"), tax_percent=D("20"), currency="GBP")

# Minutes as the trade writes them down: common practice, no source.
BLOCKS = {
    block.id: block
    for block in (
        Block("on-stand", "bike on the stand", 2),
        Block("rear-wheel-out", "rear wheel out and back in", 3),
        Block("front-wheel-out", "front wheel out and back in", 2),
        Block("cassette-off", "cassette off and on", 4),
        Block("crank-off", "cranks off and on", 8),
        Block("chain-off", "chain off and on", 4),
        Block("gears-set", "gears set", 5),
        Block("road-test", "road test", 5),
        Block("tyre-off", "one tyre off and on", 5, at_place=True),
    )
}
CHAIN = OperationToPrice("chain", "new chain", Minutes(12, 15, 25), ("on-stand", "chain-off", "gears-set"))
CASSETTE = OperationToPrice(
    "cassette",
    "new cassette",
    Minutes(12, 15, 22),
    ("on-stand", "rear-wheel-out", "cassette-off", "gears-set"),
)
ROTOR = OperationToPrice("rotor", "new rotor", Minutes(8, 12, 18), ("on-stand",))
TUBE = OperationToPrice("tyre-tube", "new tyre or tube", Minutes(10, 13, 25), ("on-stand", "tyre-off"))
FULL = OperationToPrice(
    "full-service",
    "full service",
    Minutes(150, 190, 260),
    (
        "on-stand",
        "rear-wheel-out",
        "front-wheel-out",
        "cassette-off",
        "chain-off",
        "crank-off",
        "gears-set",
        "road-test",
    ),
)


def line(operation, *parts, id=None, waiting=None, place="", verdict=Verdict.NEXT_VISIT):
    """A line named after its operation."""
    return LineToPrice(id or operation.id, operation.name, operation, parts, verdict, waiting, place)


CHAIN_LINE = line(CHAIN, PartPrice("chain", D("45.00")), waiting=D("180.00"))
CASSETTE_LINE = line(CASSETTE, PartPrice("cassette", D("225.00")), waiting=D("0"))


@pytest.mark.parametrize(
    ("operations", "usual"),
    [
        ([CHAIN, CASSETTE], 23),
        ([CHAIN, CASSETTE, ROTOR], 33),
        ([FULL, CHAIN, CASSETTE], 195),
        ([CASSETTE, FULL, CHAIN], 195),
    ],
)
def test_shared_work_is_charged_once(operations, usual):
    """Worked example of the trade (common practice, no source): 15 + 15 is 23, with a rotor 33; service 195."""
    assert price([line(operation) for operation in operations], TERMS, BLOCKS).minutes.usual == usual


def test_chain_and_cassette_by_hand():
    """Worked by hand: 15 and 8 minutes at 45.00 are 11.25 and 6.00, by itself the cassette's 15 are 11.25 too; a sixth is tax."""
    answer = price([CHAIN_LINE, CASSETTE_LINE], TERMS, BLOCKS)
    assert [(one.labour, one.parts_total, one.price, one.saved, one.total) for one in answer.lines] == [
        (D("11.25"), D("45.00"), D("56.25"), D("0.00"), D("56.25")),
        (D("11.25"), D("225.00"), D("236.25"), D("5.25"), D("231.00")),
    ]
    assert (answer.price, answer.saved) == (D("292.50"), D("5.25"))
    assert (answer.total, answer.tax, answer.net) == (D("287.25"), D("47.88"), D("239.37"))
    assert answer.minutes == Minutes(12 + 14 - 7, 23, 25 + 22 - 7)
    assert answer.high_total == D("18.75") + D("45.00") + D("11.25") + D("225.00")
    assert answer.saved_minutes == 7


@pytest.mark.parametrize(
    ("rate", "fraction"), [("20", (1, 6)), ("17.5", (7, 47)), ("5", (1, 21)), ("15", (3, 23)), ("0", (0, 1))]
)
def test_tax_is_contained_as_the_published_fraction_says(rate, fraction):
    """Tax inside a price of 2 x 3 x 7 x 23 x 47 pounds. Fractions of VAT Notice 700 (from memory): exact there."""
    gross = 2 * 3 * 7 * 23 * 47
    part = LineToPrice("p", "part", None, (PartPrice("part", D(gross)),), Verdict.SOUND)
    answer = price([part], replace(TERMS, tax_percent=D(rate)), BLOCKS)
    assert answer.tax == D(gross * fraction[0] // fraction[1])
    assert answer.net == gross - answer.tax


def test_the_later_line_says_what_it_was_spared():
    """A block is charged to the first line that brings it; the line after it names the block and that line."""
    answer = price([CHAIN_LINE, CASSETTE_LINE], TERMS, BLOCKS)
    spared = [reason for reason in answer.lines[1].reasons if "less" in reason.words]
    assert {reason.row: reason.words for reason in spared} == {
        "on-stand": "bike on the stand: 2 minutes less, already in 'new chain'.",
        "gears-set": "gears set: 5 minutes less, already in 'new chain'.",
    }
    assert not [reason for reason in answer.lines[0].reasons if "less" in reason.words]


def test_a_low_end_never_undercuts_the_work_inside_it():
    """The cassette's low end of 12 minutes holds blocks of 14: it is raised to 14, and the line says so."""
    answer = price([CASSETTE_LINE], TERMS, BLOCKS)
    assert answer.minutes.low == 14
    assert "not 12" in answer.lines[0].reasons[1].words


@pytest.mark.parametrize(
    ("places", "usual"), [(("front", "rear"), 24), (("rear", "rear"), 19), (("", ""), 24), (("rear", ""), 24)]
)
def test_a_tyre_off_at_the_front_saves_nothing_at_the_rear(places, usual):
    """Blocks of a place are shared only where both lines name the same place; unnamed places save nothing."""
    lines = [line(TUBE, id=str(number), place=place) for number, place in enumerate(places)]
    assert price(lines, TERMS, BLOCKS).minutes.usual == usual


def test_an_empty_estimate_costs_nothing():
    """No lines: all sums are 0.00."""
    answer = price([], TERMS, BLOCKS)
    assert str(answer.total) == str(answer.tax) == str(answer.net) == str(answer.saved) == "0.00"


def test_a_narrow_decimal_context_of_the_caller_changes_nothing():
    """Sums stay exact to the penny though the caller works with three digits."""
    lines = [CHAIN_LINE, CASSETTE_LINE]
    expected = price(lines, TERMS, BLOCKS)
    with localcontext() as narrow:
        narrow.prec = 3
        assert price(lines, TERMS, BLOCKS) == expected


def test_a_currency_without_pennies_is_rounded_to_its_own_coin():
    """ISO 4217: the yen has no minor unit. 15 minutes at 5,000 an hour are 1,250; a rotor's 12 are 1,000."""
    yen = Terms(D("5001"), D("10"), "JPY")
    answer = price([line(CHAIN), line(ROTOR)], yen, BLOCKS)
    assert [str(one.labour - one.saved) for one in answer.lines] == ["1250", "834"]


def test_a_declined_line_leaves_the_others_as_they_were():
    """Chain declined: the cassette costs what was told, 231.00; the shop bears the stand and the gears."""
    told = price([CHAIN_LINE, CASSETTE_LINE], TERMS, BLOCKS)
    agreed = add_up(told.lines[1:], "GBP")
    assert (agreed.price, agreed.saved, agreed.total) == (D("236.25"), D("5.25"), D("231.00"))
    assert agreed.tax == D("38.50")


def test_what_was_told_before_spares_what_comes_after():
    """The chain was told: a cassette that comes later is spared stand and gears, whatever sorts first."""
    later = price([CASSETTE_LINE], TERMS, BLOCKS, told=[CHAIN_LINE])
    assert [(one.id, one.total, one.saved_minutes) for one in later.lines] == [("cassette", D("231.00"), 7)]


def test_twice_is_the_blocks_once_and_the_rest_twice():
    """Two spokes in one wheel: 12 minutes with 2 on the stand are 2 + 2 x 10."""
    answer = price([replace(line(ROTOR), count=2)], TERMS, BLOCKS)
    assert answer.minutes == Minutes(2 + 2 * 6, 2 + 2 * 10, 2 + 2 * 16)


def test_labour_and_parts_have_their_own_rates():
    """Reduced labour, a usual part, a helmet without tax: each rate on its own sum, worked by hand."""
    work = replace(ROTOR, tax_percent=D("5"))
    parts = (PartPrice("rotor", D("60.00")), PartPrice("child helmet", D("30.00"), 1, D("0")))
    answer = price([LineToPrice("1", "rotor", work, parts, Verdict.WATCH)], TERMS, BLOCKS)
    assert [(row.rate, row.gross, row.tax) for row in answer.taxes] == [
        (D("20"), D("60.00"), D("10.00")),
        (D("5"), D("9.00"), D("0.43")),
        (D("0"), D("30.00"), D("0.00")),
    ]
    assert answer.tax == D("10.43")


def test_a_shop_that_is_not_registered_has_no_tax_row():
    """None is not 0.00."""
    answer = price([CHAIN_LINE], replace(TERMS, tax_percent=None), BLOCKS)
    assert (answer.taxes, answer.tax, answer.net) == ((), D("0.00"), answer.total)


@pytest.mark.parametrize(
    ("each", "times", "rate", "currency", "tax"),
    [("0.99", 30, "19", "EUR", "4.74"), ("0.02", 100, "20", "GBP", "0.33"), ("100", 3, "10", "JPY", "27")],
)
def test_tax_is_rounded_once_a_rate_and_not_once_a_line(each, times, rate, currency, tax):
    """A line at a time the first came to 4.80 and the second to nothing. Worked by hand: sum x t / (100 + t)."""
    (row,) = tax_on([AtRate(D(rate), D(each))] * times, currency)
    assert (row.tax, row.net) == (D(tax), row.gross - D(tax))


def test_what_comes_off_first_is_asked_once_however_often_the_work_is_done():
    """Three spokes behind, the sprockets off for 10 minutes: 30, and twice 30 less 5 of blocks less 10."""
    spoke = OperationToPrice(
        "spoke", "spoke replaced", Minutes(12, 30, 45), ("tyre-off",), once=Minutes(8, 10, 15)
    )
    one, three = (
        price([replace(line(spoke), place="rear", count=n)], TERMS, BLOCKS).lines[0].minutes for n in (1, 3)
    )
    assert one == Minutes(12, 30, 45)
    assert three == Minutes(12, 60, 95), "the low end never falls below one"


def part_line(each, count=1):
    """A line with one part and no work."""
    return LineToPrice("p", "part", None, (PartPrice("grip", each, count),), Verdict.SOUND)


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        (part_line(4.5), "price of 'grip' is the float 4.5: money is a Decimal"),
        (part_line(4), "price of 'grip' is the int 4: money is a Decimal"),
        (part_line(D("-0.01")), "price of 'grip' is -0.01: a price is 0 or above"),
        (part_line(D("NaN")), "price of 'grip' is NaN: it is a finite number"),
        (part_line(D("sNaN")), "price of 'grip' is sNaN: it is a finite number"),
        (part_line(D("Infinity")), "price of 'grip' is Infinity: it is a finite number"),
        (part_line(D("4.505")), "price of 'grip' is 4.505: GBP is counted in steps of 0.01"),
        (part_line(D("1E+30")), "price of 'grip' is 1E.30: no more than 1000000000 is taken"),
        (part_line(D("4.50"), 0), "count of 'grip' is 0: a whole number from 1 to 10000"),
        (part_line(D("4.50"), True), "count of 'grip' is True: a whole number from 1 to 10000"),
        (part_line(D("4.50"), 1.5), "count of 'grip' is 1.5: a whole number from 1 to 10000"),
        (replace(CHAIN_LINE, count=0), "count of line 'chain' is 0: a whole number from 1"),
        (line(replace(ROTOR, tax_percent=D("101"))), "tax of operation 'rotor' is 101 percent"),
        (replace(CHAIN_LINE, id=""), "line 'new chain' has no id"),
        (replace(CHAIN_LINE, cost_of_waiting=D("NaN")), "cost of waiting of line 'chain' is NaN"),
        (replace(CHAIN_LINE, cost_of_waiting=1.0), "cost of waiting of line 'chain' is the float 1.0"),
        (
            line(replace(ROTOR, minutes=Minutes(12, 8, 18))),
            "operation 'rotor' takes 12, 8, 18 minutes: low, usual and high stand in that order",
        ),
        (
            line(replace(ROTOR, minutes=Minutes(-1, 8, 18))),
            "operation 'rotor': minutes is -1: a whole number",
        ),
        (
            line(replace(ROTOR, shares=("hub",))),
            "operation 'rotor' shares 'hub', which is no block: there are",
        ),
        (line(replace(ROTOR, shares=("on-stand",) * 2)), "operation 'rotor' names a block twice"),
        (
            line(replace(ROTOR, shares=("crank-off", "gears-set"))),
            "usually takes 12 minutes and its blocks 13",
        ),
    ],
)
def test_what_cannot_be_priced_is_refused(asked, sentence):
    """Each refusal names the thing with its value and what is allowed."""
    with pytest.raises(InputRefused, match=sentence):
        price([asked], TERMS, BLOCKS)


@pytest.mark.parametrize(
    ("terms", "sentence"),
    [
        (replace(TERMS, labour_an_hour=45.0), "labour an hour is the float 45.0"),
        (replace(TERMS, labour_an_hour=D("-1")), "labour an hour is -1: a price is 0 or above"),
        (
            replace(TERMS, labour_an_hour=D("45.001")),
            "labour an hour is 45.001: GBP is counted in steps of 0.01",
        ),
        (replace(TERMS, tax_percent=D("-1")), "tax is -1 percent: it is from 0 to 100 percent"),
        (replace(TERMS, tax_percent=D("NaN")), "tax is NaN: it is a finite number"),
        (replace(TERMS, currency="pounds"), "currency is 'pounds': an ISO 4217 code"),
    ],
)
def test_terms_that_cannot_hold_are_refused(terms, sentence):
    """Labour, tax and currency are checked before any line."""
    with pytest.raises(InputRefused, match=sentence):
        price([], terms, BLOCKS)


def test_two_lines_of_one_id_are_refused():
    """An owner's answer goes to one line: an id may not be there twice."""
    with pytest.raises(InputRefused, match="line 'chain' is there twice"):
        price([CHAIN_LINE, CHAIN_LINE], TERMS, BLOCKS)
