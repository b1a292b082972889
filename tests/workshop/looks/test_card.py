"""One tap a card: what it writes, what it never overwrites, and how it is taken back."""

from datetime import timedelta

import pytest

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import Finding, LookAnswer, Reading
from pinchbolt.workshop.looks.answer_looks import (
    AnswerLooksRequest,
    LookedAt,
    LooksAnswered,
    TakeBackLooksRequest,
    answer_looks,
    take_back_looks,
)
from pinchbolt.workshop.looks.walk_list import WalkList, walk_list
from pinchbolt.workshop.stays.not_seen import not_seen_of
from pinchbolt.workshop.stays.note_finding import findings_of
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
from tests.every_row import every_row
from tests.story import NOW, Story

FLOOR = ("axle-closed:front", "brake-bite:front", "lever:front")


def tap(story: Story, *looks: LookedAt | str, by: int | None = None, minute: int = 0) -> LooksAnswered:
    """One tap on a card; a name alone is a sound look."""
    told = tuple(LookedAt(one) if isinstance(one, str) else one for one in looks)
    when = NOW + timedelta(minutes=minute)
    return answer_looks(AnswerLooksRequest(story.job, told), by=by or story.first, key=story.key(), now=when)


def seen(story: Story, minutes: float | None = 10) -> WalkList:
    """The walk-round as it is chosen now."""
    return walk_list(story.record, NOW, minutes)


def answers(story: Story) -> dict[str, str]:
    """The standing answer of each look."""
    return {one.look: one.answer for one in seen(story).taken}


@pytest.mark.django_db
def test_a_sound_card_writes_what_was_looked_at_and_by_whom(arrived: Story) -> None:
    """Each yes-or-no row becomes a reading with its good word; all in one act."""
    card = tap(arrived, *FLOOR)
    assert card.looks == FLOOR
    words = {row.limit: row.word for row in Reading.objects.filter(job=arrived.job)}
    assert words == {"axle-closed": "no", "brake-bite": "no", "brake-lever-fails": "no"}
    assert {(one.look, one.by, one.card) for one in seen(arrived).taken} == {
        (name, "Ines Holloway", card.card) for name in FLOOR
    }
    assert all(one.verdict == "sound" for one in findings_of(arrived.record))


@pytest.mark.django_db
def test_a_look_by_eye_is_never_a_figure(arrived: Story) -> None:
    """Pads that look thick write no lining; spokes that were squeezed write none broken."""
    tap(arrived, "pads-eye:rear", "spokes:rear", "pedals")
    assert {(row.limit, row.low) for row in Reading.objects.filter(job=arrived.job)} == {
        ("spoke-broken", 0.0)
    }


@pytest.mark.django_db
def test_a_find_by_eye_waits_for_its_measurement(arrived: Story) -> None:
    """It stands as a finding by eye, until the measured row of the same part settles it, whatever that says."""
    tap(arrived, LookedAt("pads-eye:rear", "found"))
    (found,) = findings_of(arrived.record)
    assert (found.words, found.limit, found.verdict) == ("rear pads thin", "", "keep an eye on it")
    pads = next(
        part for part, limit in _reads(arrived, "pads-out:rear") if limit.startswith("disc-pad-lining")
    )
    lining = next(
        limit for _, limit in _reads(arrived, "pads-out:rear") if limit.startswith("disc-pad-lining")
    )
    asked = ReadingRequest(arrived.job, pads, lining, value=1.6)
    take_reading(asked, by=arrived.first, key=arrived.key(), now=NOW)
    assert [one.limit for one in findings_of(arrived.record)] == [lining]


def _reads(story: Story, look: str) -> tuple[tuple[int, str], ...]:
    chosen = seen(story, None)
    return next(one.reads for card in chosen.cards for one in card.looks if one.look == look)


@pytest.mark.django_db
def test_a_find_among_several_rows_must_say_which(arrived: Story) -> None:
    """A blue rotor is no cracked one: the row is never guessed."""
    with pytest.raises(InputRefused, match="what was found is missing"):
        tap(arrived, LookedAt("rotor-nail:front", "found"))
    part = next(part for part, limit in _reads(arrived, "rotor-nail:front") if limit == "rotor-heat")
    tap(arrived, LookedAt("rotor-nail:front", "found", "rotor-heat", part))
    assert [(row.limit, row.word) for row in Reading.objects.filter(job=arrived.job)] == [
        ("rotor-heat", "yes")
    ]


@pytest.mark.django_db
def test_one_wrong_look_refuses_the_whole_card(arrived: Story) -> None:
    """Nothing of it is written."""
    before = every_row()
    with pytest.raises(InputRefused, match='"belt" is no look at this bike now'):
        tap(arrived, *FLOOR, "belt")
    with pytest.raises(InputRefused, match='The answer is "fine"'):
        tap(arrived, *FLOOR, LookedAt("pedals", "fine"))
    with pytest.raises(InputRefused, match="No look was named"):
        tap(arrived)
    with pytest.raises(InputRefused, match="The chance is 3"):
        tap(arrived, LookedAt("pedals", chance=3.0))
    assert every_row() == before


@pytest.mark.django_db
def test_a_tap_sent_twice_is_one(arrived: Story) -> None:
    """Signal lost, sent again with the same mark: the same answer, nothing more."""
    asked = AnswerLooksRequest(arrived.job, tuple(LookedAt(name) for name in FLOOR))
    first = answer_looks(asked, by=arrived.first, key="same-mark-1", now=NOW)
    before = every_row()
    assert answer_looks(asked, by=arrived.first, key="same-mark-1", now=NOW + timedelta(minutes=5)) == first
    assert every_row() == before


@pytest.mark.django_db
def test_what_could_not_be_seen_is_never_sound(arrived: Story) -> None:
    """It writes no reading, counts as no look, and stands on the list before the bike leaves."""
    tap(arrived, LookedAt("frame-crack", "could not see"), LookedAt("pedals", "not looked at"))
    assert not Reading.objects.filter(job=arrived.job).exists()
    assert [(one.limit, one.why) for one in not_seen_of(arrived.record)] == [
        ("frame-crack", "could not see"), ("pedal-play", "not looked at"),
    ]  # fmt: skip
    count = seen(arrived).count
    assert (count.looked, count.not_seen) == (0, 1)
    assert {"pedals rocked and spun"} <= set(count.left)
    tap(arrived, "frame-crack", minute=3)
    assert [one.limit for one in not_seen_of(arrived.record)] == ["pedal-play"]
    assert answers(arrived)["frame-crack"] == "sound"


@pytest.mark.django_db
def test_two_people_at_one_bike_see_each_others_ticks(arrived: Story) -> None:
    """What one has answered is not up for the other; a sound tap that comes late changes nothing, a find is always written."""
    tap(arrived, LookedAt("headset-play", "found"), "bar-slip")
    up = {one.look for card in seen(arrived).cards for one in card.looks}
    assert not up & {"headset-play", "bar-slip"}
    late = tap(arrived, "headset-play", "bar-slip", "saddle-loose", by=arrived.second, minute=1)
    assert (late.looks, late.answered_before) == (("saddle-loose",), ("headset-play", "bar-slip"))
    assert answers(arrived)["headset-play"] == "found"
    tap(arrived, LookedAt("bar-slip", "found"), by=arrived.second, minute=2)
    told = {one.look: (one.answer, one.by) for one in seen(arrived).taken}
    assert told["bar-slip"] == ("found", "Tobias Quill")
    assert [one.verdict for one in findings_of(arrived.record) if one.limit == "bar-slip"] == [
        "unsafe to ride"
    ]


@pytest.mark.django_db
def test_a_wrong_tap_is_taken_back_whole(arrived: Story) -> None:
    """Answers, readings, findings and what could not be seen: none counts any more, all stays in the history."""
    card = tap(
        arrived,
        *FLOOR,
        LookedAt("bar-slip", "found"),
        LookedAt("frame-crack", "could not see"),
        LookedAt("spin:rear", "found"),
    )
    many = LookAnswer.objects.count()
    take_back_looks(
        TakeBackLooksRequest(arrived.job, card.card), by=arrived.first, key=arrived.key(), now=NOW
    )
    assert (answers(arrived), findings_of(arrived.record), not_seen_of(arrived.record)) == ({}, (), ())
    assert LookAnswer.objects.count() == many
    with pytest.raises(NotPossibleNow, match="taken back already"):
        take_back_looks(
            TakeBackLooksRequest(arrived.job, card.card), by=arrived.first, key=arrived.key(), now=NOW
        )
    tap(arrived, *FLOOR, minute=1)
    assert set(answers(arrived)) == set(FLOOR)


@pytest.mark.django_db
def test_taking_back_a_measurement_lets_the_eye_stand_again(arrived: Story) -> None:
    """The slip test had settled the hooked sprockets; taken back, they are as they were seen."""
    tap(arrived, LookedAt("cassette-eye", "found"))
    card = tap(arrived, "slip-test", minute=1)
    assert [one.limit for one in findings_of(arrived.record)] == ["cassette-slip"]
    take_back_looks(
        TakeBackLooksRequest(arrived.job, card.card), by=arrived.first, key=arrived.key(), now=NOW
    )
    assert [one.words for one in findings_of(arrived.record)] == ["teeth hooked"]


@pytest.mark.django_db
def test_a_tap_of_another_stay_is_not_taken_back(arrived: Story) -> None:
    """Nor one that never was."""
    with pytest.raises(NotFound, match="no such tap"):
        take_back_looks(TakeBackLooksRequest(arrived.job, 999), by=arrived.first, key=arrived.key(), now=NOW)


@pytest.mark.django_db
def test_a_reading_taken_elsewhere_counts_as_its_look(arrived: Story) -> None:
    """The walk-round by places, the command line: a look is a look."""
    part, limit = _reads(arrived, "chain-gauge")[0]
    asked = ReadingRequest(arrived.job, part, limit, low=0.75)
    take_reading(asked, by=arrived.second, key=arrived.key(), now=NOW)
    told = {one.look: (one.answer, one.by, one.card) for one in seen(arrived).taken}
    assert told == {"chain-gauge": ("found", "Tobias Quill", None)}
    assert Finding.objects.filter(job=arrived.job).count() == 1
