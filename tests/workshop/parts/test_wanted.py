"""Parts on their way: what a job waits for and until when, what lies in a bin and why, and nothing counted twice."""

from datetime import timedelta
from decimal import Decimal

import pytest

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import BinPart, Event, Line
from pinchbolt.workshop.acts.state import Where, job_state
from pinchbolt.workshop.bikes.bin_moves import moves_of, sum_of_moves
from pinchbolt.workshop.came_up.job_parts import parts_for, short_for_tomorrow
from pinchbolt.workshop.came_up.undo_act import UndoRequest, acts_today, undo_act
from pinchbolt.workshop.leaving.shop_day import job_view
from pinchbolt.workshop.parts.stocktake import CountRequest, count_bin
from pinchbolt.workshop.parts.take_in_parts import PartsRequest, bins, take_in_parts
from pinchbolt.workshop.parts.wanted import (
    WantedMoveRequest,
    WantRequest,
    move_wanted,
    take_from_bins,
    want_part,
    wanted_of,
)
from pinchbolt.workshop.stays.promise import PromiseRequest, promise
from pinchbolt.workshop.stays.start_work import (
    AsideRequest,
    LineDoneRequest,
    StandRequest,
    finish_line,
    set_aside,
    start_work,
)
from tests import story
from tests.story import NOW, TODAY, Story

FILE = "number,kind,words,price,count,bin\nCH-11,chain,chain 11 speed,36.00,4,A3\n"


@pytest.fixture
def begun(db: None) -> Story:
    """The work has begun; the bins hold four chains."""
    on = story.answered(story.priced(story.walked_round(story.checked_in())))
    start_work(StandRequest(on.job, 1), by=on.first, key=on.key(), now=NOW)
    take_in_parts(PartsRequest(FILE), by=on.first, key=on.key(), now=NOW)
    return on


def chain_line(on: Story) -> int:
    """The line that changes the chain."""
    return Line.objects.get(job=on.job, operation="chain", event__corrected_by__isnull=True).pk


def chain() -> BinPart:
    """The row of the bins."""
    return BinPart.objects.get(number="CH-11")


def go(on: Story, wanted: int, to: str, **said: object) -> None:
    """A wanted part goes on."""
    asked = WantedMoveRequest(wanted, to, **said)  # type: ignore[arg-type]
    move_wanted(asked, by=on.first, key=on.key(), now=NOW)


def test_a_line_done_uses_its_part_and_undo_puts_it_back(begun: Story) -> None:
    """Four lie there; one is used with the line; taken back, four lie there again. The count is the sum of its moves."""
    on, line = begun, chain_line(begun)
    take_from_bins(
        WantRequest("chain", on.job, line, 0, bin_number="CH-11"), by=on.first, key=on.key(), now=NOW
    )
    assert chain().count == 4, "set aside is not used"
    finish_line(LineDoneRequest(on.job, line), by=on.first, key=on.key(), now=NOW)
    assert chain().count == sum_of_moves(chain()) == 3
    assert moves_of(chain())[0].why == "used by a line"
    newest = acts_today(on.record, NOW)[0]
    undo_act(UndoRequest(on.job, newest.event), by=on.first, key=on.key(), now=NOW)
    assert chain().count == sum_of_moves(chain()) == 4
    assert [one.state for one in wanted_of(on.record)] == ["from the bins"]


def test_a_list_taken_in_again_never_overwrites_a_count(begun: Story) -> None:
    """Prices and words change; the count stays, but for what was counted today."""
    on = begun
    count_bin(CountRequest("CH-11", 3), by=on.first, key=on.key(), now=NOW)
    again = FILE.replace("36.00", "38.00")
    take_in_parts(PartsRequest(again), by=on.first, key=on.key(), now=NOW)
    assert (chain().price, chain().count) == (Decimal("38.00"), 3)
    counted = FILE.replace("count", "counted_today").replace(",4,", ",7,")
    take_in_parts(PartsRequest(counted), by=on.first, key=on.key(), now=NOW)
    assert chain().count == sum_of_moves(chain()) == 7
    assert [one.count for one in moves_of(chain())] == [4, -1, 4]


def test_a_count_says_what_is_missing(begun: Story) -> None:
    """Counted 2, the book says 4."""
    counted = count_bin(CountRequest("CH-11", 2), by=begun.first, key=begun.key(), now=NOW)
    assert counted.words == "counted 2, book says 4: 2 missing"


def test_what_is_set_aside_for_one_job_is_not_promised_to_another(begun: Story) -> None:
    """One lies there and a job holds it: the other one is told whose it is, and what to do."""
    on, line = begun, chain_line(begun)
    count_bin(CountRequest("CH-11", 1), by=on.first, key=on.key(), now=NOW)
    asked = WantRequest("chain", on.job, line, 0, bin_number="CH-11")
    take_from_bins(asked, by=on.first, key=on.key(), now=NOW)
    with pytest.raises(
        NotPossibleNow, match=f"1 in A3 by the book, set aside for {on.record.bike.tag}, 1 needed"
    ):
        take_from_bins(asked, by=on.first, key=on.key(), now=NOW)
    count_bin(CountRequest("CH-11", 2), by=on.first, key=on.key(), now=NOW)
    take_from_bins(asked, by=on.first, key=on.key(), now=NOW)
    assert bins("chain")[0].lies == "2 in A3, 2 of them set aside"


def test_used_beyond_the_book_is_put_into_it_and_asks_for_a_count(begun: Story) -> None:
    """Counted as none while one was set aside, then fitted: it was there. The count stays at 0 and the bin says that it wants counting."""
    on, line = begun, chain_line(begun)
    take_from_bins(
        WantRequest("chain", on.job, line, 0, bin_number="CH-11"), by=on.first, key=on.key(), now=NOW
    )
    count_bin(CountRequest("CH-11", 0), by=on.first, key=on.key(), now=NOW)
    finish_line(LineDoneRequest(on.job, line), by=on.first, key=on.key(), now=NOW)
    assert chain().count == sum_of_moves(chain()) == 0
    assert bins("chain")[0].lies == "to order: more were there than the book had, count A3"
    undo_act(UndoRequest(on.job, acts_today(on.record, NOW)[0].event), by=on.first, key=on.key(), now=NOW)
    assert chain().count == sum_of_moves(chain()) == 0
    count_bin(CountRequest("CH-11", 3), by=on.first, key=on.key(), now=NOW)
    assert bins("chain")[0].lies == "3 in A3, 1 of them set aside"


def test_a_job_that_waits_says_for_what_and_until_when(begun: Story) -> None:
    """Ordered, late, here: the waiting line follows, and the job can go on by itself when the last part is here."""
    on, line = begun, chain_line(begun)
    wanted = want_part(WantRequest("chain", on.job, line, 0), by=on.first, key=on.key(), now=NOW)
    set_aside(AsideRequest(on.job, "part", "bolts in tray 3"), by=on.first, key=on.key(), now=NOW)
    assert job_view(on.record, NOW).waits_words == "chain, to order; bolts in tray 3"
    go(on, wanted, "ordered", supplier="Harrow Supply", price=Decimal("22.00"), due=TODAY + timedelta(days=2))
    assert "chain, due Fri 27 Nov" in job_view(on.record, NOW).waits_words
    go(on, wanted, "late", due=TODAY + timedelta(days=8))
    assert "chain, due Thu 3 Dec" in job_view(on.record, NOW).waits_words
    assert "chain, due since Thu 3 Dec" in job_view(on.record, NOW + timedelta(days=12)).waits_words
    go(on, wanted, "late")
    assert "chain, no day known" in job_view(on.record, NOW).waits_words
    go(on, wanted, "arrived", count=1)
    assert job_state(on.record).where is not Where.PART
    assert [one.supplier for one in wanted_of(on.record)] == ["Harrow Supply"]


def test_a_wrong_part_goes_back(begun: Story) -> None:
    """Wrong, sent back, credited; what was not said to be wrong is refused."""
    on = begun
    wanted = want_part(WantRequest("rotor", on.job, chain_line(on), 0), by=on.first, key=on.key(), now=NOW)
    with pytest.raises(NotPossibleNow, match="can't become arrived"):
        go(on, wanted, "arrived")
    go(on, wanted, "ordered")
    go(on, wanted, "arrived")
    with pytest.raises(InputRefused, match="What is wrong"):
        go(on, wanted, "wrong", words="blue")
    go(on, wanted, "wrong", words="does not fit")
    go(on, wanted, "sent back")
    go(on, wanted, "credited")
    assert [one.state for one in wanted_of(on.record)] == ["credited"]
    assert Event.objects.filter(job=on.job, kind="part sent back").count() == 1


def test_what_is_short_for_tomorrow(begun: Story) -> None:
    """Parts of a job promised for tomorrow that nobody has looked for are short; in a bin or here they are not."""
    on, line = begun, chain_line(begun)
    tomorrow = PromiseRequest(on.job, NOW + timedelta(days=1), "owner's wish", "by phone")
    promise(tomorrow, by=on.first, key=on.key(), now=NOW)
    needed = [one for one in parts_for(on.record, NOW) if one.line == line]
    before = [one.words for one in short_for_tomorrow(NOW)]
    assert needed and needed[0].words in before
    take_from_bins(
        WantRequest(needed[0].words, on.job, line, 0, bin_number="CH-11"), by=on.first, key=on.key(), now=NOW
    )
    assert needed[0].words not in [one.words for one in short_for_tomorrow(NOW)]


def test_a_part_for_the_bins_lies_there_when_it_came(begun: Story) -> None:
    """Ten ordered for the bins, ten more lie there; sent twice it counts once."""
    on = begun
    wanted = want_part(
        WantRequest("chains", count=10, bin_number="CH-11"), by=on.first, key=on.key(), now=NOW
    )
    go(on, wanted, "ordered")
    asked, mark = WantedMoveRequest(wanted, "arrived", count=10), on.key()
    for _ in range(2):
        move_wanted(asked, by=on.first, key=mark, now=NOW)
    assert chain().count == sum_of_moves(chain()) == 14
