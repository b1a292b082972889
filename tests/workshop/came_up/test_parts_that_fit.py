"""Parts of the bins for a line: what fits this bike by its facts, what nobody can tell, and what does not fit with the reason."""

from decimal import Decimal

import pytest

from pinchbolt.records.models import BinPart
from pinchbolt.workshop.bikes.build_sheet import facts_of_bike
from pinchbolt.workshop.came_up.job_parts import NeededPart, parts_for
from pinchbolt.workshop.parts.check_fit import each_in_place
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from tests.story import NOW, Story
from tests.workshop.build_story import bike, describe, part_on

pytestmark = pytest.mark.django_db


def lies(number: str, kind: str, words: str, place: str = "", **facts: object) -> None:
    """Three of a part lie in a bin."""
    BinPart.objects.create(
        number=number,
        kind=kind,
        words=words,
        place=place,
        facts=facts,
        price=Decimal("20.00"),
        bin="C5",
        count=3,
    )


def needed(there: Story, operation: str, place: str = "") -> NeededPart:
    """The first part of one agreed line."""
    asked = ProposeRequest(there.job, operation, place=place)
    line = propose(asked, by=there.first, key=there.key(), now=NOW).line
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    answer(AnswerRequest(there.job, {line: True}), by=there.first, key=there.key(), now=NOW)
    return parts_for(there.record, NOW)[0]


@pytest.fixture
def chains() -> Story:
    """A bike with a 12-speed drivetrain, and chains of three widths in the bins; one of which nothing is written down."""
    there = bike("full-suspension")
    describe(there, part_on(there, "cassette"), cassette="c12-ms")
    for speeds in (9, 11, 12):
        lies(f"CH-{speeds:02}", "chain", f"chain, {speeds}-speed", chain=f"ch-{speeds}")
    lies("CH-OLD", "chain", "chain, out of the drawer")
    return there


def test_a_chain_of_another_width_is_no_chain_for_this_bike(chains: Story) -> None:
    """9 and 11-speed chains stood behind the right one; the reason is the rule's own: they are too wide outside."""
    seen = needed(chains, "chain")
    assert (seen.bins[0].number, seen.bins[0].fit) == ("CH-12", "fits")
    assert {one.number for one in seen.misfits} == {"CH-09", "CH-11"}
    assert all("too wide outside" in one.because for one in seen.misfits)


def test_what_is_not_known_is_said_as_not_known(chains: Story) -> None:
    """A chain without facts may be the right one: it is offered behind what fits, with what is not known."""
    (old,) = (one for one in needed(chains, "chain").bins if one.number == "CH-OLD")
    assert old.fit == "cannot tell" and old.because.startswith(
        "not known: nothing of this part is written down"
    )


def test_an_offer_says_in_which_bin_it_lies(chains: Story) -> None:
    """Three 12-speed chains in bin C5; of the chain out of the drawer nobody wrote down where: it is in the bins."""
    BinPart.objects.filter(number="CH-OLD").update(bin="")
    told = {one.number: one.words for one in needed(chains, "chain").bins}
    assert told["CH-12"] == "chain, 12-speed, 3 in C5"
    assert told["CH-OLD"] == "chain, out of the drawer, 3 in the bins"


def test_a_rotor_of_the_lines_own_size_leads_and_one_too_large_does_not_fit() -> None:
    """160 where the line says 160, although 140 would go on without a plate; 180 is past what the frame allows."""
    there = bike("road-disc")
    describe(there, part_on(there, "frame"), max_rotor=160, mount_kind="flat", mount="fm-rear-140")
    for size in (140, 160, 180):
        lies(f"RT-{size}", "rotor", f"rotor {size}, splined", rotor=size, rotor_kind="centre-lock")
    seen = needed(there, "rotor", "rear")
    assert "160" in seen.words and seen.bins[0].number == "RT-160"
    assert "RT-180" not in {one.number for one in seen.bins}
    assert "RT-180" in {one.number for one in seen.misfits}


def test_a_part_for_the_other_end_is_not_offered() -> None:
    """A front rotor by its own label is none for the rear."""
    there = bike("road-disc")
    lies("RT-F", "rotor", "rotor 160, front only", "front", rotor=160)
    seen = needed(there, "rotor", "rear")
    assert "RT-F" not in {one.number for one in (*seen.bins, *seen.misfits)}


def test_a_part_for_the_other_end_is_not_offered_where_very_many_lie_either() -> None:
    """Past the first twenty-four nothing is judged: what is of the other end is left out all the same, the rest is said as not looked at."""
    there = bike("road-disc")
    for size in range(130, 156):
        lies(f"RT-{size}", "rotor", f"rotor {size}", rotor=size)
    lies("RT-F", "rotor", "rotor", "front", rotor=160)
    lies("RT-LAST", "rotor", "rotor", "rear", rotor=161)
    build = facts_of_bike(there.record.bike)
    rows = BinPart.objects.filter(kind="rotor").order_by("pk")
    told = {row.number: seen for row, seen in each_in_place(rows, "rotor", "rear", build)}
    assert "RT-F" not in told and told["RT-LAST"].because.startswith("not looked at")


def test_a_part_that_no_rule_knows_is_offered_without_a_doubt() -> None:
    """Grips have nothing that a fit rule looks at: no sentence is made up for them."""
    there = bike("city-hub-gear")
    lies("GR-1", "grips", "grips, black")
    (seen,) = needed(there, "grips-set").bins
    assert (seen.fit, seen.because) == ("", "")
