"""What the owner is told: one sentence a finding, the cautious end of a safety part, no doubt left out."""

import re
from dataclasses import replace
from datetime import timedelta

import pytest

from pinchbolt.values import Interval, Verdict
from pinchbolt.workshop.stays.at_the_counter import at_the_counter, owner_sentence
from pinchbolt.workshop.stays.note_finding import FindingView, findings_of
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.what_next import day_words, what_next
from tests.story import NOW, TODAY, checked_in, priced, walked_round

pytestmark = pytest.mark.django_db


def seen_of(limit: str) -> FindingView:
    """A finding of the story's bike."""
    return next(one for one in findings_of(walked_round(checked_in()).record) if one.limit == limit)


def with_left(found: FindingView, low: float, high: float, **other: object) -> FindingView:
    """The same finding with other ends of what is left, and nothing past its limit."""
    assert found.forecast is not None
    later = TODAY + timedelta(days=40)
    left, days = found.forecast.to_limit, found.forecast.day_at_limit
    forecast = replace(
        found.forecast,
        chance_past_limit=0.1,
        to_limit=replace(left, wide=Interval(low, high)),
        day_at_limit=replace(days, wide=(later, later)),
        next_check_day=later,
        reading=None,
    )
    return replace(found, forecast=forecast, **other)


def test_the_worst_is_told_first_and_the_sound_ones_by_name() -> None:
    """Every finding that wants something is told once; what is sound is named without a figure."""
    job = walked_round(checked_in()).record
    seen = at_the_counter(job, NOW)
    ranks = [one.finding.rank for one in seen.told]
    assert ranks == sorted(ranks, reverse=True)
    assert {one.finding.id for one in seen.told} | {
        one.id for one in findings_of(job) if one.verdict == Verdict.SOUND
    } == {one.id for one in findings_of(job)}
    assert "headset" in seen.sound
    assert "Please do not ride it like this." in seen.told[0].sentence


def test_an_owner_hears_the_low_and_the_high_end_of_a_chain() -> None:
    """Two digits that count, one sentence, one day; nothing of percent or medians."""
    told = owner_sentence(with_left(seen_of("chain-elongation-12to13"), 412.0, 1822.0))
    assert told == (
        "Chain: should last 410 to 1,800 km more. Nothing to do today; let us look again by 4 January 2027."
    )


def test_of_a_safety_part_only_the_cautious_end_is_promised() -> None:
    """The high end never reaches the owner's ear."""
    rotor = with_left(seen_of("rotor-thickness-1.8"), 640.0, 9100.0, verdict=Verdict.WATCH.value)
    assert rotor.safety
    assert "Front rotor: we would not trust it for more than 640 km." in owner_sentence(rotor)
    assert "9,100" not in owner_sentence(rotor)


def test_a_part_that_may_be_past_already_is_not_called_good() -> None:
    """A range that begins at nothing says so."""
    told = owner_sentence(with_left(seen_of("chain-elongation-12to13"), -30.0, 1822.0))
    assert told.startswith("Chain: may be worn out already, or may last another 1,800 km.")
    assert "should last" not in told


def test_a_look_that_is_due_now_is_asked_for_before_the_bike_leaves() -> None:
    """A next look on the day of the reading is no appointment."""
    found = seen_of("chain-elongation-12to13")
    assert found.forecast is not None
    now = replace(found, verdict=Verdict.WATCH.value, forecast=replace(found.forecast, next_check_day=TODAY))
    assert "We are not sure yet: we will measure it again with another gauge" in owner_sentence(now)


def test_all_that_is_told_adds_up_to_the_estimate() -> None:
    """What stands on the estimate for a finding is said beside it, the rest by itself; together they are its total."""
    story = walked_round(checked_in())
    propose(ProposeRequest(story.job, "gears-adjust"), by=story.first, key=story.key(), now=NOW)
    seen = at_the_counter(priced(story).record, NOW)
    told = [one.price for one in seen.told if one.price is not None]
    assert told
    assert [one.words for one in seen.other_work]
    assert sum(told) + sum(one.price for one in seen.other_work) == seen.total


def test_work_of_a_next_visit_has_a_day_where_the_forecast_has_one() -> None:
    """Nobody is told 'until December' and 'at the next visit' in one breath."""
    found = with_left(seen_of("chain-elongation-12to13"), 110.0, 900.0, verdict=Verdict.NEXT_VISIT.value)
    assert (
        owner_sentence(found)
        == "Chain: should last 110 to 900 km more. Please have it done by 4 January 2027."
    )


def test_the_owner_hears_two_short_sentences_with_the_day_of_the_finding() -> None:
    """Whatever the verdict: what it is and what we want, one day at most, and it is the day that the finding shows."""
    for limit in ("chain-elongation-12to13", "rotor-thickness-1.8"):
        for verdict in Verdict:
            found = with_left(seen_of(limit), 412.0, 1822.0, verdict=verdict.value)
            told, wanted = owner_sentence(found), what_next(found)
            assert told.count(".") == 2
            assert wanted.words[1:] in told
            days = re.findall(r"\d+ [A-Z][a-z]+ \d{4}", told)
            assert days == ([day_words(wanted.day)] if wanted.day else [])


def test_a_day_that_has_passed_is_no_appointment() -> None:
    """Worn past the limit: nobody is told to have it done by a day of last month."""
    found = seen_of("chain-elongation-12to13")
    assert found.forecast is not None
    past = replace(
        found, verdict=Verdict.NEXT_VISIT.value, forecast=replace(found.forecast, chance_past_limit=0.97)
    )
    assert owner_sentence(past) == "Chain: worn out. Best done at your next visit."


@pytest.mark.parametrize(
    ("chance", "said"),
    [(0.51, "at its limit, or just past it"), (0.79, "at its limit, or just past it"), (0.8, "worn out")],
)
def test_worn_out_is_said_only_where_it_is_nearly_sure(chance: float, said: str) -> None:
    """At 60 % an owner is not told what is told at 100 %."""
    found = seen_of("chain-elongation-12to13")
    assert found.forecast is not None
    told = owner_sentence(replace(found, forecast=replace(found.forecast, chance_past_limit=chance)))
    assert told.startswith(f"Chain: {said}.")


def test_a_finding_in_doubt_is_not_told_as_sure() -> None:
    """Where the forecast carries a doubt the sentence is marked."""
    job = walked_round(checked_in()).record
    by_id = {one.id: one for one in findings_of(job)}
    for one in at_the_counter(job, NOW).told:
        assert one.sure == (not by_id[one.finding.id].doubts)


@pytest.mark.parametrize(
    ("quantity", "shown", "said"),
    [
        ("cut, bulge or threads", "yes", "we found one of these: cut, bulge or threads"),
        ("knock", "yes", "we found this: knock"),
        ("stops at the legal speed", "no", "it does not do this: stops at the legal speed"),
    ],
)
def test_what_was_seen_by_eye_is_said_as_what_it_is(quantity: str, shown: str, said: str) -> None:
    """A list is no single thing that was found, and where yes is the good answer no is told as what it means."""
    found = replace(seen_of("chain-elongation-12to13"), forecast=None, quantity=quantity, shown=shown)
    assert owner_sentence(found).startswith(f"Chain: {said}.")
