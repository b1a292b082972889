"""A line on the estimate is changed or taken off until the owner has answered it, and not after."""

from decimal import Decimal

import pytest

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.job_card import job_card, joints_to_add, menu
from pinchbolt.workshop.stays.line_parts import LinePart
from pinchbolt.workshop.stays.own_lines import OwnLineRequest, own_line
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner, estimate
from pinchbolt.workshop.stays.propose import (
    ChangeRequest,
    ProposeRequest,
    WithdrawRequest,
    change_line,
    propose,
    withdraw,
)
from tests import story
from tests.story import NOW, STEM, Story

CHEAP = (LinePart("chain, of the shelf", Decimal("14.00")),)


def line_on(at: Story, operation: str = "chain") -> int:
    """A line on the owner's wish."""
    return propose(ProposeRequest(at.job, operation), by=at.first, key=at.key(), now=NOW).line


def answered(at: Story, line: int, yes: bool = True) -> None:
    """The owner is asked and answers."""
    ask_owner(PriceRequest(at.job), by=at.first, key=at.key(), now=NOW)
    answer(AnswerRequest(at.job, {line: yes}), by=at.first, key=at.key(), now=NOW)


def test_other_parts_take_the_place_of_those_proposed(arrived: Story) -> None:
    """One line stands afterwards, with the part that was chosen."""
    changed = change_line(
        ChangeRequest(arrived.job, line_on(arrived), CHEAP), by=arrived.first, key=arrived.key(), now=NOW
    )
    standing = arrived.record.lines.filter(event__corrected_by__isnull=True)
    assert [line.pk for line in standing] == [changed.line]
    (part,) = standing[0].parts
    assert (part["name"], Decimal(part["each"])) == ("chain, of the shelf", Decimal("14.00"))


@pytest.mark.parametrize("yes", [True, False])
def test_a_line_that_was_answered_is_neither_changed_nor_taken_off(arrived: Story, yes: bool) -> None:
    """What the owner said was said of that price, agreed or declined."""
    line = line_on(arrived)
    answered(arrived, line, yes)
    with pytest.raises(NotPossibleNow, match=r"so its price stays\. Add another line"):
        change_line(ChangeRequest(arrived.job, line, CHEAP), by=arrived.first, key=arrived.key(), now=NOW)
    with pytest.raises(NotPossibleNow, match="so it stays"):
        withdraw(WithdrawRequest(arrived.job, line), by=arrived.first, key=arrived.key(), now=NOW)


def test_a_line_of_another_bike_is_left_alone(arrived: Story) -> None:
    """Two tabs open, the wrong one tapped."""
    line, other = line_on(arrived), story.checked_in("child")
    with pytest.raises(NotPossibleNow, match="This line belongs to another job"):
        change_line(ChangeRequest(other.job, line, CHEAP), by=other.first, key=other.key(), now=NOW)
    with pytest.raises(NotPossibleNow, match="This line belongs to another job"):
        withdraw(WithdrawRequest(other.job, line), by=other.first, key=other.key(), now=NOW)


def test_a_line_that_was_taken_off_is_gone_and_comes_back_as_another(arrived: Story) -> None:
    """A changed mind, twice."""
    line = line_on(arrived)
    withdraw(WithdrawRequest(arrived.job, line), by=arrived.first, key=arrived.key(), now=NOW)
    assert not arrived.record.lines.filter(event__corrected_by__isnull=True).exists()
    again = line_on(arrived)
    assert again != line


@pytest.mark.parametrize(
    "part",
    [
        LinePart("", Decimal("5")),
        LinePart("x", Decimal("-1")),
        LinePart("x", Decimal("5"), 0),
        LinePart("x", Decimal("5"), -2),
    ],
)
def test_a_part_without_name_price_or_count_is_refused(arrived: Story, part: LinePart) -> None:
    """The line stays as it was."""
    line = line_on(arrived)
    with pytest.raises(InputRefused):
        change_line(ChangeRequest(arrived.job, line, (part,)), by=arrived.first, key=arrived.key(), now=NOW)
    assert arrived.record.lines.get(event__corrected_by__isnull=True).pk == line


def test_the_card_shows_agreed_work_alone(arrived: Story) -> None:
    """A declined line and one without an answer are no work; what was done says by whom."""
    chain, cassette = line_on(arrived), line_on(arrived, "cassette")
    ask_owner(PriceRequest(arrived.job), by=arrived.first, key=arrived.key(), now=NOW)
    answer(
        AnswerRequest(arrived.job, {chain: True, cassette: False}),
        by=arrived.first,
        key=arrived.key(),
        now=NOW,
    )
    card = job_card(arrived.record)
    assert [line.line for line in card.lines] == [chain]
    assert card.lines[0].minutes > 0 and card.tools and card.parts


def test_a_joint_on_the_sheet_is_not_offered_again(arrived: Story) -> None:
    """Every other joint of this bike is, each with its end where it has two."""
    everything = [one.id for one in joints_to_add(arrived.record, [])]
    assert STEM in everything
    rest = joints_to_add(arrived.record, [STEM])
    assert [one.id for one in rest] == [name for name in everything if name != STEM]
    named = {one.id: one.name for one in rest}
    assert all(name.endswith(f", {key.split(':')[1]}") for key, name in named.items() if ":" in key)


def test_the_menu_has_minutes_that_rise(arrived: Story) -> None:
    """At least, usually, at most: of every operation, and no operation twice."""
    rows = menu()
    assert len({row.id for row in rows}) == len(rows) > 20
    assert all(0 < row.minutes[0] <= row.minutes[1] <= row.minutes[2] for row in rows)


def test_a_line_of_one_s_own_needs_a_price_minutes_or_a_part(arrived: Story) -> None:
    """Each of them is enough; words alone are no line."""
    with pytest.raises(InputRefused, match="A line needs words and a price, minutes or a part"):
        own_line(OwnLineRequest(arrived.job, "oil the lock"), by=arrived.first, key=arrived.key(), now=NOW)
    part = LinePart("a tin of oil", Decimal("4.00"))
    for said in ({"price": Decimal("2.00")}, {"minutes": 5}, {"parts": (part,)}):
        asked = OwnLineRequest(arrived.job, "oil the lock", **said)
        own_line(asked, by=arrived.first, key=arrived.key(), now=NOW)
    totals = [one.money.total for one in estimate(arrived.record).lines]
    # £54.00 an hour: five minutes are £4.50.
    assert totals == [Decimal("2.00"), Decimal("4.50"), Decimal("4.00")]


def test_lines_that_the_owner_was_not_asked_about_are_counted(arrived: Story) -> None:
    """Three, then none, then the one that came later."""
    for operation in ("chain", "safety-check", "cassette"):
        line = ProposeRequest(arrived.job, operation)
        propose(line, by=arrived.first, key=arrived.key(), now=NOW)
    assert estimate(arrived.record).unasked == 3
    ask_owner(PriceRequest(arrived.job), by=arrived.first, key=arrived.key(), now=NOW)
    assert estimate(arrived.record).unasked == 0
    propose(
        ProposeRequest(arrived.job, "wheel-true", place="rear"),
        by=arrived.first,
        key=arrived.key(),
        now=NOW,
    )
    assert estimate(arrived.record).unasked == 1
