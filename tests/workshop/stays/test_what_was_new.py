"""A work that names two things says which of them was new: that one starts as new, the other goes on as it was."""

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Line, Part
from pinchbolt.workshop.bikes.build_sheet import build_of, parts_on
from pinchbolt.workshop.came_up.undo_act import UndoRequest, undo_act
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.leaving.bike_sheet import bike_sheet
from pinchbolt.workshop.leaving.handover_sheet import handover_sheet
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.job_card import job_card
from pinchbolt.workshop.stays.mended import findings_mended
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import LineDoneRequest, StandRequest, finish_line, start_work
from tests.story import NOW, Story
from tests.workshop.build_story import add, bike, part_on, read

pytestmark = pytest.mark.django_db


def begun(there: Story, operation: str, finding: int | None = None, place: str = "") -> Line:
    """One line is agreed and the work has begun."""
    made = propose(
        ProposeRequest(there.job, operation, finding, place=place), by=there.first, key=there.key(), now=NOW
    )
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    answer(AnswerRequest(there.job, {made.line: True}), by=there.first, key=there.key(), now=NOW)
    start_work(StandRequest(there.job, 1), by=there.first, key=there.key(), now=NOW)
    return Line.objects.get(pk=made.line)


def done(there: Story, line: Line, *new: Part) -> None:
    """The line is done, and these were new."""
    said = tuple(part.pk for part in new)
    finish_line(LineDoneRequest(there.job, line.pk, said), by=there.first, key=there.key(), now=NOW)


def on_bike(there: Story) -> set[int]:
    """The parts on the bike, by their numbers."""
    return {part.pk for part in parts_on(there.record.bike)}


def worn_tyre() -> tuple[Story, Part, Part, int]:
    """A rear tyre that is cut on a wheel with a tube, and the finding of it."""
    there = bike("road-rim")
    tyre, tube = part_on(there, "tyre", "rear"), part_on(there, "tube", "rear")
    read(there, tyre, "tyre-cut", word="yes")
    return there, tyre, tube, tyre.findings.get().pk


def test_a_new_tyre_starts_as_new_and_the_tube_goes_on() -> None:
    """On the owner's wish, at the wheel that the line names: the other wheel keeps both."""
    there = bike("road-rim")
    tyre, tube = part_on(there, "tyre", "rear"), part_on(there, "tube", "rear")
    other = part_on(there, "tyre", "front")
    done(there, begun(there, "tyre-tube", place="rear"), tyre)
    assert tyre.pk not in on_bike(there) and {tube.pk, other.pk} <= on_bike(there)
    assert part_on(there, "tyre", "rear").fittings.get().start_known


def test_a_new_tube_leaves_the_tyre_as_it_is() -> None:
    """A puncture asks for no tyre."""
    there = bike("road-rim")
    tyre, tube = part_on(there, "tyre", "rear"), part_on(there, "tube", "rear")
    done(there, begun(there, "tyre-tube", place="rear"), tube)
    assert tyre.pk in on_bike(there) and tube.pk not in on_bike(there)


def test_nothing_new_is_an_answer_too() -> None:
    """The tape was torn: tyre and tube went back on."""
    there = bike("road-rim")
    before = on_bike(there)
    done(there, begun(there, "tyre-tube", place="rear"))
    assert on_bike(there) == before


def test_a_wish_is_not_done_before_it_is_said_what_was_new() -> None:
    """Nobody knows it but who did it, so nothing is taken for granted."""
    there = bike("road-rim")
    line = begun(there, "tyre-tube", place="rear")
    with pytest.raises(
        InputRefused, match=r"^What was new is not said: rear tyre, rear inner tube. Say which"
    ):
        finish_line(LineDoneRequest(there.job, line.pk), by=there.first, key=there.key(), now=NOW)


def test_only_what_the_work_can_renew_is_taken() -> None:
    """The tyre of the other wheel was not in hand."""
    there = bike("road-rim")
    with pytest.raises(InputRefused, match=r"^This part is not where the work was done"):
        done(there, begun(there, "tyre-tube", place="rear"), part_on(there, "tyre", "front"))


def test_a_finding_that_nobody_answers_more_closely_says_it_itself() -> None:
    """A worn tyre asks for tyre and tube: both end, where only the tyre did before."""
    there, tyre, tube, finding = worn_tyre()
    line = begun(there, "tyre-tube", finding)
    finish_line(LineDoneRequest(there.job, line.pk), by=there.first, key=there.key(), now=NOW)
    assert not {tyre.pk, tube.pk} & on_bike(there)
    assert job_card(there.record).lines[0].new == ("rear tyre", "rear inner tube")


def test_a_cut_tyre_that_stayed_on_is_not_mended_by_a_tube() -> None:
    """The finding stands although its own line was done; a new tyre puts it right."""
    there, _, tube, finding = worn_tyre()
    done(there, begun(there, "tyre-tube", finding), tube)
    assert finding not in findings_mended(there.record.bike)


def test_a_cut_tyre_that_came_off_is_mended() -> None:
    """The brother of the case above."""
    there, tyre, _, finding = worn_tyre()
    done(there, begun(there, "tyre-tube", finding), tyre)
    assert finding in findings_mended(there.record.bike)


def test_a_tubeless_tyre_that_got_a_tube_to_ride_home_on_is_asked_for() -> None:
    """No row of the finding foresaw the work: the tyre stayed the old one on record, without a word."""
    there = bike("full-suspension")
    tyre = part_on(there, "tyre", "rear")
    read(there, tyre, "tyre-knob-height", value=22)
    line = begun(there, "tyre-tube", tyre.findings.get().pk)
    assert [one.words for one in job_card(there.record).lines[0].may_be_new] == ["rear tyre"]
    done(there, line, tyre)
    assert tyre.pk not in on_bike(there)


def test_chain_and_cassette_are_both_new_whichever_was_read() -> None:
    """The mechanic chose the work that does both: the cassette does not stay the old one."""
    there = bike("road-disc")
    chain, cassette = part_on(there, "chain"), part_on(there, "cassette")
    read(there, chain, first_of(there, chain), high=1.0, low=0.75)
    line = begun(there, "chain-and-cassette", chain.findings.get().pk)
    finish_line(LineDoneRequest(there.job, line.pk), by=there.first, key=there.key(), now=NOW)
    assert not {chain.pk, cassette.pk} & on_bike(there)


def test_a_new_hose_on_the_owners_wish_is_a_new_hose() -> None:
    """The kit that is charged is no part on the bike; the hose and its fluid are."""
    there = bike("road-disc")
    front, hose = (add(there, "brake hose", end) for end in ("front", "rear"))
    fluid = part_on(there, "brake fluid", "rear")
    line = begun(there, "brake-hose", place="rear")
    finish_line(LineDoneRequest(there.job, line.pk), by=there.first, key=there.key(), now=NOW)
    assert not {hose.pk, fluid.pk} & on_bike(there) and front.pk in on_bike(there)


def test_what_was_new_is_told_and_taken_back_with_the_act() -> None:
    """On the job card and the handover sheet; undone, the old tyre is on again."""
    there, tyre, _, finding = worn_tyre()
    line = begun(there, "tyre-tube", finding)
    done(there, line, tyre)
    assert job_card(there.record).lines[0].new == ("rear tyre",)
    (work,) = handover_sheet(there.record, NOW).work
    assert work.words == "new tyre or tube, one wheel, rear (new: rear tyre)"
    event = there.record.events.filter(kind="line done").get()
    undo_act(UndoRequest(there.job, event.pk), by=there.first, key=there.key(), now=NOW)
    assert tyre.pk in on_bike(there)


def test_history_calls_what_was_new_by_its_name() -> None:
    """Not by the word of the table: tube is the inner tube."""
    there = bike("road-rim")
    done(there, begun(there, "tyre-tube", place="rear"), part_on(there, "tube", "rear"))
    told = [one.words for one in bike_sheet(there.tag, NOW).history]
    assert "new tyre or tube, one wheel, rear: done (new: rear inner tube)" in told


def test_every_work_that_names_two_things_asks_which() -> None:
    """Names of works with "or" in them: each asks, or stands here with why it need not."""
    one_on_record = {
        "headset-replace": "bearings are the headset's",
        "hub-service": "bearings are no part on record",
        "crank-replace": "arms are one part on record",
        "sprocket": "one part, of two kinds of drive",
        "post-set": "set, nothing new",
        "bike-pack": "nothing new",
        "carrier-fix": "fixed, nothing new",
        "steering-cargo": "put right; a new linkage is replaced on the build sheet",
        "hub-brake-service": "serviced, its lining is no part on record",
    }
    two = {row.id for row in tables().operations.values() if " or " in row.name and not row.may_renew}
    assert two == set(one_on_record)


def first_of(there: Story, part: Part) -> str:
    """The limit that is read on a part of this bike first."""
    from pinchbolt.engines.build import limits_on

    build = build_of(there.record.bike)
    on = build.part(part.pk)
    assert on is not None
    return next(one.row.id for one in limits_on(build, on) if one.row.unit == "percent")
