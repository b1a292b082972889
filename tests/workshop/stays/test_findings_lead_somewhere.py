"""A finding leads to the right work, to a refusal or to a word, and only that work puts it right."""

import pytest

from pinchbolt.engines.build import limits_on
from pinchbolt.records.models import Bike, Line
from pinchbolt.values import Verdict
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.leaving.sign_off import sign_off_list
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.note_finding import findings_mended, findings_of
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import LineDoneRequest, StandRequest, finish_line, start_work
from pinchbolt.workshop.stays.suggest import READ_AGAIN, advice, proposals_for, suggestions
from pinchbolt.workshop.stays.walk_round import walk_round
from tests import story
from tests.story import NOW, Story
from tests.workshop.build_story import add, describe, part_on, read

pytestmark = pytest.mark.django_db


def done(there: Story, operation: str, finding: int | None) -> Line:
    """A line proposed, agreed and done."""
    found = propose(ProposeRequest(there.job, operation, finding), by=there.first, key=there.key(), now=NOW)
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    answer(AnswerRequest(there.job, {found.line: True}), by=there.first, key=there.key(), now=NOW)
    start_work(StandRequest(there.job, 1), by=there.first, key=there.key(), now=NOW)
    finish_line(LineDoneRequest(there.job, found.line), by=there.first, key=there.key(), now=NOW)
    return Line.objects.get(pk=found.line)


def asked(there: Story) -> list[str]:
    """The operations that the findings ask for."""
    return [one.operation for one in suggestions(there.record)]


def unsafe(there: Story) -> tuple[str, ...]:
    """What stands unsafe before sign-off."""
    return sign_off_list(there.record, NOW).unsafe_declined


def test_a_cracked_crank_is_not_mended_by_a_torque_wrench() -> None:
    """A new arm is asked for; bolts done to torque for the same finding leave it standing."""
    there = story.checked_in()
    crank = part_on(there, "crank")
    read(there, crank, "crank-arm-damage", word="yes")
    assert asked(there) == ["crank-replace"]
    found = crank.findings.get()
    done(there, "crank-bolts", found.pk)
    assert len(unsafe(there)) == 1 and findings_mended(there.record.bike) == set()


def test_a_new_crank_puts_the_crack_right() -> None:
    """The work that the finding asks for is done: it stands no longer."""
    there = story.checked_in()
    crank = part_on(there, "crank")
    read(there, crank, "crank-arm-damage", word="yes")
    line = done(there, "crank-replace", crank.findings.get().pk)
    assert unsafe(there) == () and {"crank-pinch-2", "pedal"} <= set(line.joints)
    assert [part["name"] for part in line.parts] == ["crank arm or cranks"]


def test_a_look_mends_no_frame() -> None:
    """The look after a crash is done, the crack stands; a frame of carbon is refused in its place."""
    there = story.checked_in()
    frame = part_on(there, "frame")
    describe(there, frame, material="carbon")
    read(there, frame, "frame-crack", word="yes")
    assert [one.refusal for one in advice(there.record)] == ["rf-carbon"]
    done(there, "crash-look", frame.findings.get().pk)
    assert len(unsafe(there)) == 1


def test_what_was_found_by_eye_is_put_right_by_whatever_was_done_for_it() -> None:
    """A mechanic's own words have no row that could say better."""
    there = story.walked_round(story.checked_in())
    eye = next(one for one in there.record.findings.all() if not one.limit)
    done(there, "bar-tape-bars", eye.pk)
    assert eye.pk in findings_mended(there.record.bike)


def test_a_damaged_battery_is_refused_in_its_place_and_goes_out() -> None:
    """Refusal with what is done instead, and the line that takes it out of the bike."""
    there = story.checked_in("city-ebike")
    read(there, part_on(there, "battery"), "battery-damage", word="yes")
    (refused,) = advice(there.record)
    assert refused.refusal == "rf-battery" and "recycler" in refused.instead
    assert asked(there) == ["battery-out"]


def test_a_chain_at_its_limit_asks_for_no_cassette() -> None:
    """12 sprockets: 0.5 drops in: a chain, and a word about the teeth. 0.75 drops in: the cassette's price as well."""
    there = story.checked_in()
    chain = part_on(there, "chain")
    read(there, chain, "chain-elongation-12to13", low=0.5, high=0.75, distance_km=2900.0)
    assert asked(there) == ["chain"]
    assert ["try it under load" in one.why for one in advice(there.record)] == [True]
    read(there, chain, "chain-elongation-12to13", low=0.75, distance_km=2900.0)
    assert asked(there) == ["chain", "cassette"]


def test_a_long_lever_asks_for_the_adjuster_and_a_broken_strand_for_a_cable() -> None:
    """A cable is renewed for what is wrong with it."""
    there = story.checked_in("road-rim")
    read(there, part_on(there, "brake", "front"), "cable-brake-lever-gap", value=4.0)
    assert asked(there) == ["brake-adjust"]
    read(there, part_on(there, "brake cable", "front"), "brake-cable", value=2.0)
    assert sorted(asked(there)) == ["brake-adjust", "brake-cable"]


def test_a_cut_rear_tyre_on_a_hub_gear_takes_its_own_time() -> None:
    """Cable, arm, washers, marks, slack: 35 minutes and not 13; axle and arm on the sheet."""
    there = story.checked_in("city-hub-gear")
    tyre = part_on(there, "tyre", "rear")
    read(there, tyre, "tyre-cut", word="yes")
    (one,) = suggestions(there.record)
    assert (one.operation, [part.name for part in one.parts]) == (
        "tyre-hub-gear",
        ["tyre, city tread", "inner tube"],
    )
    assert {"axle-nut-rear:rear", "reaction-arm:rear"} <= set(done(there, one.operation, one.finding).joints)


def test_work_on_the_owner_s_wish_brings_its_parts() -> None:
    """A tube for a puncture, two doses of sealant for two wheels, spokes by the wheel's count for a built wheel."""
    there = story.checked_in("road-rim")
    describe(there, add(there, "spokes", "rear"), spoke_count=24)
    wheel = part_on(there, "rim", "rear")
    read(there, wheel, "rim-crack", word="yes")
    built = propose(
        ProposeRequest(there.job, "wheel-build", wheel.findings.get().pk),
        by=there.first,
        key=there.key(),
        now=NOW,
    )
    brought = {"tyre-tube": [("inner tube", 1)], "sealant-top-up": [("tubeless sealant, one wheel", 2)]}
    for operation, parts in brought.items():
        asked = ProposeRequest(there.job, operation, place="rear" if operation == "tyre-tube" else "")
        line = propose(asked, by=there.first, key=there.key(), now=NOW).line
        assert [(part["name"], part["count"]) for part in Line.objects.get(pk=line).parts] == parts
    of_wheel = Line.objects.get(pk=built.line).parts
    assert [(part["name"], part["count"]) for part in of_wheel] == [("rim", 1), ("spoke and nipple", 24)]


@pytest.mark.parametrize(
    ("template", "buttons"),
    [("road-disc", [0.5, 0.75]), ("track", [0.75, 1.0]), ("city-hub-gear", [0.75, 1.0])],
)
def test_the_chain_s_buttons_are_those_of_its_own_limit(template: str, buttons: list[float]) -> None:
    """A chain on one sprocket is good to 1 %: it could not be answered by 0.5 and 0.75."""
    there = story.checked_in(template)
    (due,) = [
        one
        for place in walk_round(there.record, NOW)
        for one in place.readings
        if one.limit.startswith("chain-elongation") and not one.is_deeper
    ]
    assert [choice.high for choice in due.choices if choice.high is not None] == buttons


@pytest.mark.parametrize("template", list(tables().templates))
def test_every_reading_of_every_bike_leads_somewhere_from_its_verdict_on(template: str) -> None:
    """Each limit that is read on a bike, at its own verdict: work, a refusal or a word; work or a refusal where unsafe."""
    there = story.checked_in(template)
    build = build_of(Bike.objects.get(tag=there.tag))
    for part in build.parts:
        for one in limits_on(build, part):
            rows = proposals_for(build, part, one.row.id, one.row.at_limit.rank)
            assert rows, (part.words, one.row.id)
            if one.row.at_limit is Verdict.UNSAFE:
                assert any(row.operation or row.refusal for row in rows), (part.words, one.row.id)


def test_bare_pads_are_unsafe_to_ride_whatever_the_forecast_says() -> None:
    """Metal on the rotor: said first, before the forecast's words."""
    there = story.checked_in()
    pads = part_on(there, "pads", "front")
    read(there, pads, "disc-pad-lining-resin", value=0.0)
    found = pads.findings.get()
    assert found.verdict == Verdict.UNSAFE and "nobody rides it" in found.words
    assert "pads-disc" in asked(there)


def test_what_is_only_watched_is_told_as_that() -> None:
    """A chain half way to its limit asks for no line: it is said that it is read again."""
    there = story.checked_in("track")
    read(there, part_on(there, "chain"), "chain-slack", value=4.0)
    (found,) = [one for one in findings_of(there.record) if one.limit == "chain-slack"]
    assert found.verdict == Verdict.WATCH and asked(there) == []
    assert [one.why for one in advice(there.record)] == [READ_AGAIN]


def test_work_that_is_done_once_answers_every_finding_that_asks_for_it_there() -> None:
    """Two readings of one lever ask for one bleed, which is offered once: both are answered by it, the other end's is not."""
    there = story.checked_in("gravel-1x")
    front, rear = part_on(there, "brake", "front"), part_on(there, "brake", "rear")
    for brake in (front, rear):
        read(there, brake, "brake-lever-fails", word="yes")
    read(there, front, "lever-free-travel-disc", value=3.0)
    assert len(unsafe(there)) == 3
    first = next(one for one in suggestions(there.record) if one.finding == front.findings.first().pk)
    done(there, first.operation, first.finding)
    assert [words.split(":")[0] for words in unsafe(there)] == ["rear brake"]


def test_a_part_that_was_replaced_takes_all_its_findings_along() -> None:
    """A tyre that is cut and through its threads: the new tyre has neither."""
    there = story.checked_in("road-rim")
    tyre = part_on(there, "tyre", "rear")
    for limit in ("tyre-cut", "tyre-wear-mark"):
        read(there, tyre, limit, word="yes")
    found = next(one for one in suggestions(there.record) if one.operation == "tyre-tube")
    done(there, found.operation, found.finding)
    assert unsafe(there) == ()


def test_a_chain_that_is_watched_is_offered_only_if_its_limit_comes_before_the_next_visit() -> None:
    """At 0.45 of 0.5 % with 100 km a week it is due in weeks; on a bike that is hardly ridden it is no line today."""
    for km_a_week, offered in ((200.0, ["chain"]), (3.0, [])):
        there = story.checked_in("road-disc")
        Bike.objects.filter(tag=there.tag).update(km_a_week=km_a_week)
        chain = part_on(there, "chain")
        read(there, chain, "chain-elongation-12to13", value=0.44, distance_km=2400.0)
        assert chain.findings.get().verdict == Verdict.WATCH
        assert asked(there) == offered, km_a_week
