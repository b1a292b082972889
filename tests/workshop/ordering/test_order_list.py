"""The order list of tonight: agreed work first, then who may come; nothing that lies there or is on its way; and what nobody can tell."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from types import SimpleNamespace

import pytest

from pinchbolt.engines.fit import FitWord
from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import BinPart, Line
from pinchbolt.workshop.came_up.job_parts import parts_for
from pinchbolt.workshop.ordering.bin_marks import MarksRequest, bin_marks, set_marks
from pinchbolt.workshop.ordering.order_files import order_csv
from pinchbolt.workshop.ordering.order_list import OrderListView, PartsOrderView, order_list
from pinchbolt.workshop.ordering.send_order import OrderedLine, SendOrderRequest, send_order
from pinchbolt.workshop.parts import check_fit
from pinchbolt.workshop.parts.deliver import DeliveryLine, DeliveryRequest, take_in_delivery
from pinchbolt.workshop.parts.sold_by import SoldByRequest, say_sold_by
from pinchbolt.workshop.parts.stocktake import CountRequest, count_bin
from pinchbolt.workshop.parts.suppliers import SupplierRequest, say_supplier
from pinchbolt.workshop.parts.take_in_parts import PartsRequest, take_in_parts
from pinchbolt.workshop.parts.wanted import WantRequest, open_wanted, take_from_bins, wanted_of
from pinchbolt.workshop.stays.promise import PromiseRequest, promise
from tests import story
from tests.story import NOW, TODAY, Story

HEAD = "number,kind,words,price,count,bin,supplier,supplier_number,cost,pack\n"


@pytest.fixture
def agreed(db: None) -> Story:
    """The chain's line is agreed and promised for Friday; Harrow takes two days."""
    on = story.answered(story.priced(story.walked_round(story.checked_in())))
    when = PromiseRequest(on.job, NOW + timedelta(days=1), "owner's wish", "by phone")
    promise(when, by=on.first, key=on.key(), now=NOW)
    asked = SupplierRequest("Harrow Supply", days=1, carriage=Decimal("6.00"), free_from=Decimal("90.00"))
    say_supplier(asked, by=on.first, key=on.key(), now=NOW)
    return on


def needed(on: Story) -> str:
    """The words of the part that the chain's line needs."""
    line = Line.objects.get(job=on.job, operation="chain", event__corrected_by__isnull=True).pk
    return next(one.words for one in parts_for(on.record, NOW) if one.line == line)


def stock(on: Story, count: int = 0, cost: str = "18.00") -> None:
    """A row of the bins of these very words."""
    file = f'{HEAD}CH-1,chain,"{needed(on)}",36.00,{count},A3,Harrow Supply,H-77,{cost},1\n'
    take_in_parts(PartsRequest(file), by=on.first, key=on.key(), now=NOW)


def tonight() -> OrderListView:
    """The list."""
    return order_list(NOW)


def order_of(name: str = "Harrow Supply") -> PartsOrderView:
    """The order to a supplier."""
    return next(one for one in tonight().orders if one.supplier == name)


def test_what_agreed_work_lacks_is_ordered_with_its_reason(agreed: Story) -> None:
    """One chain is promised for tomorrow and none lies there: it stands on the list for its bike, in time, with carriage."""
    stock(agreed)
    order = order_of()
    assert [(one.number, one.supplier_number, one.needs[0].tag) for one in order.lines] == [
        ("CH-1", "H-77", agreed.record.bike.tag)
    ]
    assert order.lines[0].count >= 1
    assert order.lines[0].why[0] == f"1 for {agreed.record.bike.tag}, promised Thu 26 Nov"
    assert order.goods == Decimal("18.00") * order.lines[0].count
    assert order.total == order.goods + Decimal("6.00")
    assert order.due == TODAY + timedelta(days=1)
    assert needed(agreed) in [one.words for one in tonight().short]
    assert tonight().proven


def test_what_is_set_aside_for_the_bike_is_not_ordered_for_it(agreed: Story) -> None:
    """Three lie there and one is set aside: the work lacks nothing, and two are enough for whoever walks in."""
    on = agreed
    stock(on, 3)
    line = Line.objects.get(job=on.job, operation="chain", event__corrected_by__isnull=True).pk
    asked = WantRequest(needed(on), on.job, line, 0, bin_number="CH-1")
    take_from_bins(asked, by=on.first, key=on.key(), now=NOW)
    assert tonight().orders == ()


def test_once_ordered_it_is_not_ordered_again_and_a_delivery_closes_it(agreed: Story) -> None:
    """The list goes out: the job waits for its part, the list is empty; the van comes: the part is here."""
    on = agreed
    stock(on)
    lines = tuple(OrderedLine(one.number, one.count) for one in order_of().lines)
    asked, mark = SendOrderRequest("Harrow Supply", lines), on.key()
    for _ in range(2):
        send_order(asked, by=on.first, key=mark, now=NOW)
    assert [(one.state, one.supplier, one.due) for one in wanted_of(on.record)] == [
        ("ordered", "Harrow Supply", TODAY + timedelta(days=1))
    ]
    assert tonight().orders == ()
    van = DeliveryRequest("Harrow Supply", (DeliveryLine(lines[0].count, "H-77"),), "1")
    take_in_delivery(van, by=on.first, key=on.key(), now=NOW)
    assert [one.state for one in wanted_of(on.record)] == ["arrived"]
    assert BinPart.objects.get(number="CH-1").count == lines[0].count - 1


def test_what_nobody_can_tell_is_said_and_not_guessed(agreed: Story) -> None:
    """Two rows of one name: the program does not choose between them. No row: the same, with what to do."""
    on = agreed
    assert any("nobody has said which part it is" in one for one in tonight().cannot_tell)
    twice = "".join(f'CH-{n},chain,"{needed(on)}",36.00,0,A3,Harrow Supply,,18.00,1\n' for n in (1, 2))
    take_in_parts(PartsRequest(HEAD + twice), by=on.first, key=on.key(), now=NOW)
    assert any(one.startswith(needed(on)) for one in tonight().cannot_tell)


def test_nothing_to_order_is_said_only_where_nothing_is_missing(agreed: Story) -> None:
    """A part is short and nobody said which one it is: that comes first, and is no evening without an order."""
    seen = tonight()
    assert seen.orders == () and seen.short and "Nothing" not in seen.no_order
    assert (
        replace(seen, short=(), on_no_order=(), cannot_tell=(), instead=()).no_order
        == "Nothing to order tonight."
    )


def test_a_part_that_nobody_sells_is_said(agreed: Story) -> None:
    """No supplier, no price: it is no order, and no other part is put in its place in silence."""
    on = agreed
    file = f'number,kind,words,price,count\nCH-1,chain,"{needed(on)}",36.00,0\n'
    take_in_parts(PartsRequest(file), by=on.first, key=on.key(), now=NOW)
    seen = tonight()
    assert seen.orders == ()
    assert any("nobody is known who sells it" in one for one in seen.cannot_tell)


def test_an_order_refuses_what_its_supplier_does_not_sell(agreed: Story) -> None:
    """A strange supplier, a strange part, none at all."""
    on = agreed
    stock(on)
    for asked, sort, words in (
        (SendOrderRequest("Nobody", (OrderedLine("CH-1", 1),)), NotFound, "no supplier"),
        (SendOrderRequest("Harrow Supply", (OrderedLine("CH-9", 1),)), NotFound, "has the number"),
        (SendOrderRequest("Harrow Supply", ()), InputRefused, "0 lines"),
        (SendOrderRequest("Harrow Supply", (OrderedLine("CH-1", 0),)), InputRefused, "count"),
    ):
        with pytest.raises(sort, match=words):
            send_order(asked, by=on.first, key=on.key(), now=NOW)
    assert wanted_of(on.record) == ()


def test_the_order_as_a_file_keeps_every_cell_a_text(agreed: Story) -> None:
    """A part's name that begins like a formula is no formula in the supplier's table program."""
    on = agreed
    stock(on)
    BinPart.objects.filter(number="CH-1").update(words=needed(on))
    assert order_csv("Harrow Supply", NOW).splitlines()[1].startswith("Harrow Supply,H-77,CH-1,")
    with pytest.raises(NotFound, match="Nothing is to be ordered"):
        order_csv("Nobody", NOW)


def test_marks_by_what_was_asked_for_with_the_reason(agreed: Story) -> None:
    """A new part: few are kept; the reason says how many were asked for. Set, they stand."""
    on = agreed
    stock(on)
    seen = next(one for one in bin_marks(NOW) if one.number == "CH-1")
    assert "asked for in" in seen.why[0]
    asked = MarksRequest("CH-1", seen.should_low, seen.should_up_to)
    set_marks(asked, by=on.first, key=on.key(), now=NOW)
    assert next(one for one in bin_marks(NOW) if one.number == "CH-1").is_so
    with pytest.raises(InputRefused, match="not above the upper one"):
        set_marks(MarksRequest("CH-1", 5, 2), by=on.first, key=on.key(), now=NOW)


def sent(on: Story, *lines: tuple[str, int]) -> None:
    """An order goes out to Harrow."""
    asked = SendOrderRequest("Harrow Supply", tuple(OrderedLine(*one) for one in lines))
    send_order(asked, by=on.first, key=on.key(), now=NOW)


def test_a_job_does_not_wait_for_the_van_with_its_part_in_the_bin(agreed: Story) -> None:
    """Five lie there and three more are ordered for the shelf: the three are the bin's, and the job takes of the five."""
    on = agreed
    stock(on, 5)
    sent(on, ("CH-1", 3))
    assert wanted_of(on.record) == ()
    assert [(one.count, one.job) for one in open_wanted()] == [(3, None)]


def test_the_same_order_by_two_people_goes_out_once(agreed: Story) -> None:
    """Both have the list before them and tap: the second is told who was first. Another count is another order."""
    on = agreed
    stock(on)
    sent(on, ("CH-1", 2))
    with pytest.raises(NotPossibleNow, match="went out to Harrow Supply today by"):
        sent(on, ("CH-1", 2))
    assert sum(one.count for one in open_wanted()) == 2
    sent(on, ("CH-1", 1))


def test_a_number_twice_in_one_order_is_refused_whole(agreed: Story) -> None:
    """Nobody can tell whether it is meant twice."""
    on = agreed
    stock(on)
    with pytest.raises(InputRefused, match="CH-1 stands twice"):
        sent(on, ("CH-1", 1), (" CH-1", 2))
    assert open_wanted() == ()


def test_a_price_list_read_in_whole_puts_nothing_on_the_order(agreed: Story) -> None:
    """Three hundred lines of a supplier that never lay here: one of each on the shelf is what nobody asked for."""
    on = agreed
    rows = "".join(f"ZZ-{n},bell,bell {n},9.00,0,,Harrow Supply,,4.00,1\n" for n in range(300))
    take_in_parts(PartsRequest(HEAD + rows), by=on.first, key=on.key(), now=NOW)
    stock(on)
    assert [line.number for line in order_of().lines] == ["CH-1"]


def test_what_is_agreed_and_on_no_order_is_said(agreed: Story) -> None:
    """The supplier takes no order below 500, and one chain is none: it is on no list, and that stands there with the bike."""
    on = agreed
    asked = SupplierRequest("Harrow Supply", days=1, least_order=Decimal("500.00"))
    say_supplier(asked, by=on.first, key=on.key(), now=NOW)
    stock(on)
    seen = tonight()
    assert seen.orders == ()
    assert [one.split(":")[0] for one in seen.on_no_order] == [
        f"1 × {needed(on)} (CH-1) for {on.record.bike.tag}"
    ]


def test_marks_that_somebody_set_are_what_is_ordered(agreed: Story) -> None:
    """At 2, up to 6: with five there beside the one for the bike nothing more; with two, as many as make six."""
    on = agreed
    # Carriage that is never free: else one more is taken to save it.
    asked = SupplierRequest("Harrow Supply", days=1, carriage=Decimal("6.00"))
    say_supplier(asked, by=on.first, key=on.key(), now=NOW)
    stock(on, 6)
    set_marks(MarksRequest("CH-1", 2, 6), by=on.first, key=on.key(), now=NOW)
    assert tonight().orders == ()
    count_bin(CountRequest("CH-1", 3), by=on.first, key=on.key(), now=NOW)
    line = order_of().lines[0]
    assert line.count == 4
    assert "its mark: ordered at 2, up to 6" in line.why


def test_what_fits_in_front_is_not_offered_for_the_rear(
    agreed: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A rotor that fits in front alone: offered for a front one; not for a rear one, nor where nobody said at which end it goes."""

    def in_front_alone(tag: str, changes: dict[str, object]) -> SimpleNamespace:
        fits = FitWord.FITS if "rotor_front" in changes else FitWord.DOES_NOT_FIT
        return SimpleNamespace(verdict=fits, checks=(SimpleNamespace(because="the mount holds 180"),))

    monkeypatch.setattr(check_fit, "fit_bike", in_front_alone)

    def rotor(place: str = "") -> BinPart:
        return BinPart(number=f"RO-{place}", kind="rotor", place=place, facts={"rotor": 180})

    tag = agreed.record.bike.tag
    assert check_fit.why_it_fits_instead(rotor(), rotor("front"), tag) == "the mount holds 180"
    for other, of in ((rotor(), rotor("rear")), (rotor(), rotor()), (rotor("rear"), rotor("front"))):
        assert check_fit.why_it_fits_instead(other, of, tag) == ""


def test_what_lies_there_is_not_said_to_be_sold_by_nobody(agreed: Story) -> None:
    """The work lacks nothing: one lies in the bin."""
    on = agreed
    file = f'number,kind,words,price,count,bin\nCH-1,chain,"{needed(on)}",36.00,1,A3\n'
    take_in_parts(PartsRequest(file), by=on.first, key=on.key(), now=NOW)
    assert not any("CH-1" in one for one in tonight().cannot_tell)


@pytest.mark.parametrize(("days", "supplier"), [(2, "Quick Parts"), (30, "Harrow Supply")])
def test_a_promise_is_worth_a_dearer_part_in_time_and_a_far_one_is_not(
    agreed: Story, days: int, supplier: str
) -> None:
    """Harrow takes six days, Quick one, at two pounds more: near a promise, Quick has the order."""
    on = agreed
    for name, takes in (("Harrow Supply", 6), ("Quick Parts", 1)):
        say_supplier(SupplierRequest(name, days=takes), by=on.first, key=on.key(), now=NOW)
    when = PromiseRequest(on.job, NOW + timedelta(days=days), "owner's wish", "by phone")
    promise(when, by=on.first, key=on.key(), now=NOW)
    stock(on)
    quick = SoldByRequest("CH-1", "Quick Parts", Decimal("20.00"))
    say_sold_by(quick, by=on.first, key=on.key(), now=NOW)
    orders = {one.supplier: one for one in tonight().orders}
    assert [one.number for one in orders[supplier].lines] == ["CH-1"]
    # Neither said what it takes for the carriage, so none is in the sum.
    assert (orders[supplier].carriage, orders[supplier].total) == (0, orders[supplier].goods)
