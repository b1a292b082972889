"""Deliveries: by scan or list, jobs before bins, what came short stays on order, and nothing counts twice."""

import random
from datetime import timedelta
from decimal import Decimal

import pytest

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import BinPart, WantedMove
from pinchbolt.workshop.bikes.bin_moves import sum_of_moves
from pinchbolt.workshop.parts.deliver import (
    DeliveryBackRequest,
    DeliveryLine,
    DeliveryRequest,
    deliveries,
    on_order_from,
    take_back_delivery,
    take_in_delivery,
)
from pinchbolt.workshop.parts.sold_by import SoldByRequest, bins_scanned, margins, say_sold_by
from pinchbolt.workshop.parts.stocktake import CountRequest, count_bin
from pinchbolt.workshop.parts.take_in_parts import PartsRequest, take_in_parts, try_parts
from pinchbolt.workshop.parts.wanted import (
    WantedMoveRequest,
    WantRequest,
    move_wanted,
    open_wanted,
    set_aside_in,
    take_from_bins,
    want_part,
)
from tests import story
from tests.story import NOW, TODAY, Story

FILE = (
    "number,kind,words,price,count,bin,gtin,supplier,supplier_number,cost,pack\n"
    "CH-11,chain,chain 11 speed,36.00,4,A3,7300011000017,Harrow Supply,H-77,18.00,1\n"
    "PAD-2,disc pads,pads of shape 2,12.00,0,B1,36000241457,Harrow Supply,H-9,6.00,10\n"
)
GTIN = "7300011000017"


@pytest.fixture
def stocked(db: None) -> Story:
    """A bike is here, and two parts are in the book."""
    on = story.walked_round(story.checked_in())
    take_in_parts(PartsRequest(FILE), by=on.first, key=on.key(), now=NOW)
    return on


def count_of(number: str) -> int:
    """What the book says; it is the sum of the moves, and never below nothing."""
    row = BinPart.objects.get(number=number)
    assert row.count == sum_of_moves(row) >= 0
    return row.count


def ordered(on: Story, number: str, count: int, job: int | None = None) -> int:
    """So many on order of Harrow."""
    asked = WantRequest(number.lower(), job, count=count, bin_number=number)
    wanted = want_part(asked, by=on.first, key=on.key(), now=NOW)
    move = WantedMoveRequest(wanted, "ordered", "Harrow Supply", Decimal("18.00"), TODAY + timedelta(days=2))
    move_wanted(move, by=on.first, key=on.key(), now=NOW)
    return wanted


def came(on: Story, *lines: tuple[str, int], slip: str = "4711", key: str = "") -> tuple[str, ...]:
    """Harrow's van was here."""
    asked = DeliveryRequest("Harrow Supply", tuple(DeliveryLine(n, what) for what, n in lines), slip)
    return take_in_delivery(asked, by=on.first, key=key or on.key(), now=NOW).lines


def test_jobs_first_then_bins_then_more_than_was_ordered(stocked: Story) -> None:
    """Five chains came: one for the bike that waits, three that the bin wanted, one over; each is said."""
    on = stocked
    ordered(on, "CH-11", 3)
    ordered(on, "CH-11", 1, on.job)
    told = came(on, (GTIN, 5))
    assert told == (
        f"1 × ch-11 for {on.record.bike.tag}",
        "3 × ch-11 into A3",
        "1 × chain 11 speed into A3",
    )
    assert count_of("CH-11") == 8
    assert [one.state for one in open_wanted()] == ["arrived", "arrived"]


def test_a_delivery_taken_in_twice_counts_once(stocked: Story) -> None:
    """The same tap, and the same slip by somebody else: four and two make six, whoever asks again."""
    on, mark = stocked, stocked.key()
    for _ in range(2):
        came(on, ("CH-11", 2), key=mark)
    assert count_of("CH-11") == 6
    with pytest.raises(
        NotPossibleNow, match=r"4711 of Harrow Supply was taken in on 25 Nov 2026 .* it counts once"
    ):
        came(on, ("CH-11", 2))
    came(on, ("CH-11", 2), slip="4712")
    assert count_of("CH-11") == 8


def test_without_a_slip_there_is_one_delivery_a_day(stocked: Story) -> None:
    """Nobody can tell two such from one taken in twice, so the second needs a number."""
    came(stocked, ("CH-11", 2), slip="")
    with pytest.raises(NotPossibleNow, match="Type the number on the slip"):
        came(stocked, ("CH-11", 2), slip="")


def test_what_comes_short_stays_on_order(stocked: Story) -> None:
    """Two of ten: two lie there, eight are on order. A job takes all of its pieces or waits."""
    on = stocked
    ordered(on, "PAD-2", 10)
    assert came(on, ("H-9", 2)) == ("2 × pad-2 into B1, 8 still on order",)
    assert [(one.count, one.state) for one in on_order_from("Harrow Supply")] == [(8, "ordered")]
    ordered(on, "CH-11", 2, on.job)
    told = came(on, ("CH-11", 1), slip="4712")
    assert told[0] == f"{on.record.bike.tag} needs 2 × ch-11 and 1 came: they stay on order"
    assert count_of("CH-11") == 5


def test_taken_back_all_is_as_before(stocked: Story) -> None:
    """A wrong tap: the count, what is on order and the slip's number are as they were."""
    on = stocked
    ordered(on, "PAD-2", 10)
    came(on, ("PAD-2", 4), ("CH-11", 1))
    back = DeliveryBackRequest(deliveries(NOW)[0].delivery)
    take_back_delivery(back, by=on.first, key=on.key(), now=NOW)
    assert (count_of("PAD-2"), count_of("CH-11")) == (0, 4)
    assert [(one.count, one.state) for one in open_wanted()] == [(10, "ordered")]
    came(on, ("PAD-2", 10))
    assert count_of("PAD-2") == 10


def test_a_misread_code_is_scanned_again_and_changes_nothing(stocked: Story) -> None:
    """One wrong line refuses the whole delivery; the sentence says what to do."""
    with pytest.raises(InputRefused, match="Scan it again"):
        came(stocked, ("CH-11", 1), ("7300011000018", 1))
    with pytest.raises(NotFound, match="No part here has the bar code 6291041500213"):
        came(stocked, ("6291041500213", 1))
    with pytest.raises(InputRefused, match="count"):
        came(stocked, ("CH-11", 0))
    assert count_of("CH-11") == 4
    assert deliveries(NOW) == ()


def test_a_scanned_part_is_found_by_whatever_number_it_has(stocked: Story) -> None:
    """Ours, the supplier's, the bar code with or without zeros that a spreadsheet took."""
    for told in ("CH-11", "H-77", GTIN, f" {GTIN} ", f"0{GTIN}"):
        assert [one.number for one in bins_scanned(told)] == ["CH-11"]
    assert [one.number for one in bins_scanned("036000241457")] == ["PAD-2"]


def test_one_code_of_two_parts_is_asked(stocked: Story) -> None:
    """The program does not choose between them."""
    on = stocked
    asked = SoldByRequest("PAD-2", "Harrow Supply", Decimal("6.00"), gtin=GTIN)
    say_sold_by(asked, by=on.first, key=on.key(), now=NOW)
    with pytest.raises(InputRefused, match=r"code of CH-11 \(chain 11 speed\), PAD-2"):
        came(on, (GTIN, 1))


def test_what_is_left_of_a_price(stocked: Story) -> None:
    """36.00 with a fifth of tax is 30.00 without; 18.00 of it is the supplier's, 40 percent stay."""
    chain = next(one for one in margins(TODAY) if one.number == "CH-11")
    assert (chain.net, chain.left, round(chain.percent)) == (Decimal("30.00"), Decimal("12.00"), 40)


def test_a_file_taken_in_again_changes_the_cost_and_nothing_else(stocked: Story) -> None:
    """The new price list of a supplier: one put right, one as it was."""
    on, dearer = stocked, FILE.replace("18.00", "19.50")
    assert (try_parts(PartsRequest(dearer)).put_right, try_parts(PartsRequest(FILE)).put_right) == (1, 0)
    take_in_parts(PartsRequest(dearer), by=on.first, key=on.key(), now=NOW)
    assert next(one for one in margins(TODAY) if one.number == "CH-11").cost == Decimal("19.50")
    assert count_of("CH-11") == 4


def test_scanned_and_counted_on_the_list_it_comes_once(stocked: Story) -> None:
    """The scan brings it to the job; the list names the same one again: that piece is one more, for the bin."""
    on = stocked
    wanted = ordered(on, "CH-11", 1, on.job)
    lines = (DeliveryLine(1, GTIN), DeliveryLine(1, wanted=wanted))
    asked = DeliveryRequest("Harrow Supply", lines, "4711")
    told = take_in_delivery(asked, by=on.first, key=on.key(), now=NOW).lines
    assert told == (f"1 × ch-11 for {on.record.bike.tag}", "1 × chain 11 speed into A3")
    assert count_of("CH-11") == 5
    assert WantedMove.objects.filter(wanted=wanted, state="arrived").count() == 1


def test_a_delivery_is_not_taken_back_from_under_a_job(stocked: Story) -> None:
    """What came was set aside for the bike since: it is laid back first."""
    on = stocked
    came(on, ("PAD-2", 2))
    asked = WantRequest("pads", on.job, count=2, bin_number="PAD-2")
    wanted = take_from_bins(asked, by=on.first, key=on.key(), now=NOW)
    back = DeliveryBackRequest(deliveries(NOW)[0].delivery)
    with pytest.raises(NotPossibleNow, match=f"set aside for {on.record.bike.tag} since"):
        take_back_delivery(back, by=on.first, key=on.key(), now=NOW)
    assert count_of("PAD-2") == 2
    move_wanted(WantedMoveRequest(wanted, "not wanted"), by=on.first, key=on.key(), now=NOW)
    take_back_delivery(back, by=on.first, key=on.key(), now=NOW)
    assert count_of("PAD-2") == 0


def test_what_came_for_the_bins_is_kept_once_and_what_is_wrong_lies_there_no_more(stocked: Story) -> None:
    """Three came and lie there; kept, they are three still. Three others are wrong: out of the bin, back to the supplier."""
    on = stocked
    for to, left in (
        (("kept for the bins",), 7),
        (("wrong", "sent back"), 7),
        (("wrong", "kept for the bins"), 10),
    ):
        wanted = ordered(on, "CH-11", 3)
        for state in ("arrived", *to):
            words = "damaged" if state == "wrong" else ""
            asked = WantedMoveRequest(wanted, state, words=words)
            move_wanted(asked, by=on.first, key=on.key(), now=NOW)
        assert count_of("CH-11") == left


def test_what_came_for_the_bins_long_ago_is_no_news(stocked: Story) -> None:
    """A year of orders: the page shows the newest, and whatever is wrong until it is settled."""
    on = stocked
    wanted = [ordered(on, "CH-11", 1) for _ in range(53)]
    for one in wanted:
        move_wanted(WantedMoveRequest(one, "arrived"), by=on.first, key=on.key(), now=NOW)
    move_wanted(WantedMoveRequest(wanted[0], "wrong", words="damaged"), by=on.first, key=on.key(), now=NOW)
    assert [one.id for one in open_wanted()] == [wanted[0], *wanted[3:]]


def test_whatever_is_done_no_bin_is_below_nothing_and_nothing_is_promised_twice(stocked: Story) -> None:
    """Three hundred acts drawn with a fixed seed, refused ones too: the count is the sum of its moves, never below 0, and what jobs
    hold lies there unless somebody counted fewer."""  # fmt: skip
    on, draw = stocked, random.Random(28)
    two = (on.job, story.checked_in().job)
    part = BinPart.objects.get(number="CH-11")
    counted_fewer, done, refused = False, set[str](), 0

    def open_ones(*states: str) -> list[int]:
        return [one.id for one in open_wanted() if one.state in states]

    for n in range(300):
        some, what = draw.randint(1, 3), draw.choice(("aside", "order", "came", "back", "move", "count"))
        try:
            if what == "aside":
                asked = WantRequest("chain", draw.choice(two), count=some, bin_number="CH-11")
                take_from_bins(asked, by=on.first, key=on.key(), now=NOW)
            elif what == "order":
                ordered(on, "CH-11", some, draw.choice((None, *two)))
            elif what == "came":
                came(on, ("CH-11", some), slip=str(n))
            elif what == "back" and (told := deliveries(NOW)):
                back = DeliveryBackRequest(draw.choice(told).delivery)
                take_back_delivery(back, by=on.first, key=on.key(), now=NOW)
            elif what == "move" and (there := open_ones("from the bins", "arrived", "wrong", "sent back")):
                to = draw.choice(
                    ("not wanted", "wrong", "kept for the bins", "sent back", "given to the owner")
                )
                move = WantedMoveRequest(draw.choice(there), to, words="damaged")
                move_wanted(move, by=on.first, key=on.key(), now=NOW)
            elif what == "count":
                found = draw.randint(0, 6)
                counted_fewer = found < held(part)
                count_bin(CountRequest("CH-11", found), by=on.first, key=on.key(), now=NOW)
            done.add(what)
        except NotPossibleNow:
            refused += 1
        lies = count_of("CH-11")
        counted_fewer = counted_fewer and lies < held(part)
        assert counted_fewer or held(part) <= lies
    assert len(done) == 6 and refused > 20


def held(part: BinPart) -> int:
    """How many of a bin jobs hold."""
    return sum(one.count for one in set_aside_in([part.pk]).get(part.pk, ()))
