"""What is read off a photo changes nothing by itself: only a tap does, and the torque's cap is then what the tap said."""

import json
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some

from pinchbolt.engines.markings import (
    MarkingCandidate,
    MarkingFigure,
    MarkingKind,
    MarkingRead,
    Sureness,
)
from pinchbolt.errors import InputRefused, NoSafeAnswer, NotAllowed
from pinchbolt.records.models import Event, Marking, Person, ProofPhoto
from pinchbolt.workshop.bikes.change_build import DescribeRequest, describe
from pinchbolt.workshop.proof import offer_marking as port
from pinchbolt.workshop.proof.facts_by_photo import facts_by_photo
from pinchbolt.workshop.proof.offer_marking import MarkingOffer, MarkingOffers, offer_marking
from pinchbolt.workshop.proof.take_marking import TakeMarkingRequest, take_marking
from pinchbolt.workshop.proof.what_is_marked import MarkTarget, targets_of
from tests.story import NOW, PASSPHRASE, STEM, Story
from tests.workshop.proof.test_markings_by_photo import cap, on_the_sheet, shot

PHOTO = shot(320, 240)
BOX = (0.2, 0.4, 0.8, 0.6)
# Inch-pounds in a newton metre: NIST SP 811 (2008), appendix B.8, pound-force inch to newton metre 1.129 848 E-01.
N_M_PER_LBF_IN = 0.1129848


def candidate(words: str, *figures: tuple[str, float, str]) -> MarkingCandidate:
    """One way to read it."""
    made = tuple(MarkingFigure(name, value, unit, words) for name, value, unit in figures)
    return MarkingCandidate(words, made, words, ("as it is", "turned 7°"), BOX, ("two copies agree",), ())


def sees(monkeypatch: pytest.MonkeyPatch, read: MarkingRead) -> None:
    """The reader, faked at its port, says this of every photo."""
    monkeypatch.setattr(port, "read_photo", lambda *photo: read)


def read_as(sureness: Sureness, *candidates: MarkingCandidate) -> MarkingRead:
    """An answer of the reader."""
    return MarkingRead(MarkingKind.TORQUE, sureness, candidates, "Hold each beside the part.")


def offered(story: Story) -> MarkingOffers:
    """What is offered for the stem."""
    return offer_marking(story.job, "torque", STEM, "stem", PHOTO, story.first)


def tapped(story: Story, offer: MarkingOffer) -> None:
    """It is taken."""
    told = json.loads(offer.take)
    asked = TakeMarkingRequest(story.job, "torque", STEM, "stem", **told)
    take_marking(asked, PHOTO, by=story.first, key=story.key(), now=NOW)


def most(story: Story) -> float:
    """What the joint takes at most; 0 where what is marked suits no torque at all, which the sheet says."""
    try:
        return cap(story)
    except NoSafeAnswer:
        return 0.0


@settings(
    max_examples=25, deadline=None, derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)  # fmt: skip
@given(
    torques=some.lists(some.floats(0.2, 119.0), min_size=1, max_size=3),
    sureness=some.sampled_from([Sureness.SURE, Sureness.ONE_OF]),
    tap=some.booleans(),
)
def test_the_cap_never_rises_by_a_reading_that_nobody_confirmed(
    arrived: Story, monkeypatch: pytest.MonkeyPatch, torques: list[float], sureness: Sureness, tap: bool
) -> None:
    """However sure the reader is and whatever it reads: until a tap the joint takes what it took, after it what was tapped."""
    if not Event.objects.filter(kind="joint added").exists():
        on_the_sheet(arrived)
    before, acts = most(arrived), Event.objects.count()
    read = read_as(sureness, *(candidate(f"{one:g} N·m", ("torque", one, "N·m")) for one in torques))
    sees(monkeypatch, read)
    seen = offered(arrived)
    assert most(arrived) == before and Event.objects.count() == acts
    if tap:
        tapped(arrived, seen.offers[0])
        marked = Marking.objects.order_by("-pk")[0].greatest
        assert marked is not None and torques[0] - 0.011 <= marked <= torques[0] + 1e-9
        # The handlebar, which nobody has marked, still has the table's word: the cap is the lower of the two.
        assert most(arrived) <= marked


def test_a_limit_in_another_unit_is_never_rounded_up(arrived: Story, monkeypatch: pytest.MonkeyPatch) -> None:
    """44 in·lb are 4.9713 N·m: 4.97 is taken, not 5."""
    on_the_sheet(arrived)
    sees(monkeypatch, read_as(Sureness.SURE, candidate("44 in·lb", ("greatest", 44 * N_M_PER_LBF_IN, "N·m"))))
    offer = offered(arrived).offers[0]
    assert json.loads(offer.take)["greatest"] == 4.97
    tapped(arrived, offer)
    assert cap(arrived) == 4.97 and "44 in·lb" in ProofPhoto.objects.get().words


def test_a_range_brings_both_its_ends(arrived: Story, monkeypatch: pytest.MonkeyPatch) -> None:
    """Least and greatest as they are printed."""
    on_the_sheet(arrived)
    both = candidate("4 to 5 N·m", ("least", 4.0, "N·m"), ("greatest", 5.0, "N·m"))
    sees(monkeypatch, read_as(Sureness.SURE, both))
    tapped(arrived, offered(arrived).offers[0])
    row = Marking.objects.get()
    assert (row.least, row.greatest) == (4.0, 5.0)


def test_each_offer_has_its_crop_and_says_how_it_was_read(
    arrived: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The crop stands beside each; what can't be taken here is shown with why, and has nothing to tap."""
    on_the_sheet(arrived)
    other = candidate("40-622", ("width", 0.04, "m"))
    sees(monkeypatch, read_as(Sureness.ONE_OF, candidate("5 N·m", ("torque", 5.0, "N·m")), other))
    first, second = offered(arrived).offers
    assert first.crop.startswith("data:image/jpeg;base64,") and first.take and not first.why_not
    assert not second.take and "type what counts" in second.why_not


@pytest.mark.parametrize(
    "sentence",
    [
        "The text reader is not installed here. Type it: the keypad is always there.",
        "The text reader took too long. Type it: the keypad is always there.",
        "The text reader broke off. Type it: the keypad is always there.",
    ],
)
def test_where_no_reader_answers_that_is_said_and_nothing_offered(
    arrived: Story, monkeypatch: pytest.MonkeyPatch, sentence: str
) -> None:
    """Not installed, hanging or crashed: one sentence, and the keypad writes as before."""
    on_the_sheet(arrived)
    sees(monkeypatch, replace(read_as(Sureness.CANNOT), words=sentence))
    seen = offered(arrived)
    assert seen.offers == () and seen.words == sentence
    take_marking(
        TakeMarkingRequest(arrived.job, "torque", STEM, "stem", 4.5), PHOTO,
        by=arrived.first, key=arrived.key(), now=NOW,
    )  # fmt: skip
    assert cap(arrived) == 4.5


def test_every_sort_of_marking_is_offered_in_its_own_unit(
    arrived: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    """SI comes from the reader; millimetres, bar, km/h and words go to the form."""
    on_the_sheet(arrived)
    figures = (("thickness", 0.0015, "m"), ("greatest", 6e5, "Pa"), ("speed", 25 / 3.6, "m/s"))
    wanted = {"mm": 1.5, "bar": 6.0, "km/h": 25.0}
    for _, found in targets_of(arrived.record):
        for target in found:
            words = target.picks[0] if target.picks else "40-622"
            sees(monkeypatch, read_as(Sureness.SURE, candidate(words, *figures)))
            offer = _offer_of(arrived, target)
            if target.is_text:
                assert json.loads(offer.take)["text"] == words, target
            elif target.unit in wanted:
                assert json.loads(offer.take)["greatest"] == wanted[target.unit], target
            else:
                assert not offer.take and offer.why_not, target


def _offer_of(story: Story, target: MarkTarget) -> MarkingOffer:
    asked = target.asked
    return offer_marking(story.job, asked["what"], asked["of"], asked["name"], PHOTO, story.first).offers[0]


def test_reading_is_a_mechanics_and_wants_a_photo(arrived: Story) -> None:
    """The counter is told whose it is; what is no photo says so."""
    on_the_sheet(arrived)
    juno = Person.objects.make("juno", "Juno Marl", "counter", PASSPHRASE).pk
    with pytest.raises(NotAllowed):
        offer_marking(arrived.job, "torque", STEM, "stem", PHOTO, juno)
    with pytest.raises(InputRefused):
        offer_marking(arrived.job, "torque", STEM, "stem", b"%PDF-1.7", arrived.first)


def test_what_a_fit_answer_rests_on_can_be_looked_at_again(arrived: Story) -> None:
    """A size that was taken with its photo is named with it, until somebody says otherwise."""
    target = next(
        one for _, found in targets_of(arrived.record) for one in found if one.reads_as == "tyre-size"
    )
    asked = TakeMarkingRequest(arrived.job, target.what, target.of, target.name, text="40-622")
    take_marking(asked, PHOTO, by=arrived.first, key=arrived.key(), now=NOW)
    seen = facts_by_photo(arrived.tag)
    assert len(seen) == 1 and "40-622, marked, photo" in seen[0].words
    anew = DescribeRequest(int(target.of), {target.name: "38-622"}, "measured")
    describe(anew, by=arrived.first, key=arrived.key(), now=NOW)
    assert facts_by_photo(arrived.tag) == () and facts_by_photo("PB-999") == ()
