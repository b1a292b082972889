"""How things were bought, and claims, at their edges: nothing known, for life, a wrong tap, two at once, a shared tool."""

from datetime import date, timedelta

import pytest

from pinchbolt.errors import InputRefused, NotAllowed, NotFound, NotPossibleNow
from pinchbolt.records.models import (
    Claim,
    DoneValue,
    Event,
    Instrument,
    Part,
    Person,
    ProofPhoto,
    Tool,
    Warranty,
)
from pinchbolt.workshop.proof.claim_sheet import claim_sheet
from pinchbolt.workshop.proof.open_claim import (
    ClaimBackRequest,
    ClaimMoveRequest,
    ClaimRequest,
    ClaimView,
    claim_by_id,
    claims,
    move_claim,
    open_claim,
    photograph_claim,
    take_back_claim,
)
from pinchbolt.workshop.proof.print_claim import print_claim
from pinchbolt.workshop.proof.say_warranty import (
    NOT_KNOWN,
    WarrantyBackRequest,
    WarrantyRequest,
    WarrantyView,
    ending_soon,
    say_warranty,
    take_back_warranty,
    warranties,
    warranty_of,
)
from pinchbolt.workshop.proof.things import thing_of
from tests.story import NOW, PASSPHRASE, TODAY, Story
from tests.workshop.proof.test_markings_by_photo import shot


def stem(story: Story) -> Part:
    """The bike's stem."""
    return next(one.part for one in story.record.bike.fittings.all() if one.part.kind == "stem")


def said(story: Story, receipt: bytes | None = None, **told: object) -> WarrantyView:
    """So the stem was bought."""
    asked = WarrantyRequest("part", stem(story).pk, **told)  # type: ignore[arg-type]
    return say_warranty(asked, receipt, by=story.first, key=story.key(), now=NOW)


def opened(
    story: Story, kind: str = "part", number: int = 0, broke: str = "cracked at the clamp"
) -> ClaimView:
    """A claim about the stem, or about something else."""
    asked = ClaimRequest(kind, number or stem(story).pk, broke)
    return open_claim(asked, by=story.first, key=story.key(), now=NOW)


def moved(story: Story, claim: int, state: str, **told: object) -> ClaimView:
    """This became of it."""
    asked = ClaimMoveRequest(claim, state, **told)  # type: ignore[arg-type]
    return move_claim(asked, by=story.first, key=story.key(), now=NOW)


@pytest.mark.parametrize(
    ("told", "covered", "words"),
    [
        ({"bought": date(2025, 1, 31), "months": 24}, True, "covered until 31 Jan 2027"),
        ({"bought": date(2024, 11, 25), "months": 24}, True, "covered until 25 Nov 2026"),
        ({"bought": date(2024, 11, 24), "months": 24}, False, "was covered until 24 Nov 2026"),
        # The last of a month that is shorter.
        ({"bought": date(2026, 8, 31), "months": 6}, True, "covered until 28 Feb 2027"),
        ({"months": 24}, None, "24 months from a day that is not known"),
        ({"bought": date(2025, 1, 5)}, None, NOT_KNOWN),
        ({"seller": "Harrow Lane Cycles"}, None, "day of buying not known of Harrow Lane Cycles"),
        ({"for_life": True}, True, "day of buying not known, covered for life"),
    ],
)
def test_what_is_known_of_a_warranty_is_said_and_no_more(
    arrived: Story, told: dict[str, object], covered: bool | None, words: str
) -> None:
    """The last day counts; what nobody knows is "not known", never a guess."""
    seen = said(arrived, **told)
    assert seen.covered is covered and words in seen.words
    assert warranty_of(thing_of("part", stem(arrived).pk), TODAY) == seen


@pytest.mark.parametrize(
    "told",
    [
        {},
        {"months": 12, "for_life": True},
        {"months": 0},
        {"months": -3},
        {"months": 601},
        {"bought": TODAY + timedelta(days=1)},
        {"seller": "x" * 121},
    ],
)
def test_a_warranty_out_of_sense_is_refused_whole(arrived: Story, told: dict[str, object]) -> None:
    """With its sentence at the field; neither row nor photo is kept."""
    with pytest.raises(InputRefused) as refusal:
        said(arrived, None if not told else shot(200, 150), **told)
    assert refusal.value.errors and not Warranty.objects.exists() and not ProofPhoto.objects.exists()


def test_a_receipt_alone_is_worth_keeping(arrived: Story) -> None:
    """Nobody has read it yet: its photo is kept, and the day stays not known."""
    seen = said(arrived, shot(400, 300))
    assert seen.photo and seen.bought is None and NOT_KNOWN in seen.words


def test_the_newest_word_counts_and_is_taken_back_by_one_tap(arrived: Story) -> None:
    """What was said before counts again; its receipt goes with the wrong word; then nothing is left to take back."""
    said(arrived, bought=date(2025, 1, 5), months=24)
    said(arrived, shot(200, 150), bought=date(2020, 1, 5), months=24)
    assert len(warranties(TODAY)) == 1 and warranties(TODAY)[0].covered is False
    back = WarrantyBackRequest("part", stem(arrived).pk)
    take_back_warranty(back, by=arrived.second, key=arrived.key(), now=NOW)
    assert warranties(TODAY)[0].covered and not ProofPhoto.objects.exists()
    take_back_warranty(back, by=arrived.second, key=arrived.key(), now=NOW)
    assert warranties(TODAY) == ()
    with pytest.raises(NotPossibleNow):
        take_back_warranty(back, by=arrived.second, key=arrived.key(), now=NOW)


def test_what_ends_soon_is_on_the_list_of_what_is_due(arrived: Story) -> None:
    """Within thirty days; for life, not known and long gone are not."""
    tools = list(Tool.objects.order_by("pk")[:4])
    days = (date(2024, 12, 20), date(2024, 11, 24), date(2026, 11, 1), None)
    for tool, day in zip(tools, days, strict=True):
        asked = WarrantyRequest("tool", tool.pk, day, months=24, words="kept")
        say_warranty(asked, by=arrived.first, key=arrived.key(), now=NOW)
    assert [one.id for one in ending_soon(TODAY)] == [tools[0].pk]
    assert warranties(TODAY)[-1].id == tools[3].pk


def test_a_claim_goes_its_way_and_each_word_is_kept(arrived: Story) -> None:
    """Open and due at once; sent: asked again in two weeks, then due; granted: over."""
    one = opened(arrived)
    assert (one.state, one.is_due) == ("open", True)
    one = moved(arrived, one.id, "sent", words="by post")
    assert (one.state, one.is_due, one.due) == ("sent", False, TODAY + timedelta(days=14))
    assert claims(TODAY + timedelta(days=14))[0].is_due
    one = moved(arrived, one.id, "granted", words="a new one comes")
    assert one.is_over and [word.state for word in one.words] == ["sent", "granted"]
    with pytest.raises(NotPossibleNow, match="granted already"):
        moved(arrived, one.id, "refused")


def test_a_wrong_word_is_taken_back_and_in_the_end_the_claim_itself(arrived: Story) -> None:
    """Word by word; with the claim go its photos. Once more: there is no such claim."""
    one = opened(arrived)
    photograph_claim(one.id, "the crack", shot(300, 200), by=arrived.first, key=arrived.key(), now=NOW)
    moved(arrived, one.id, "refused")
    for state in ("open", ""):
        take_back_claim(ClaimBackRequest(one.id), by=arrived.second, key=arrived.key(), now=NOW)
        if state:
            assert claim_by_id(one.id, TODAY).state == state and ProofPhoto.objects.count() == 1
    assert claims(TODAY) == () and not ProofPhoto.objects.exists() and Claim.objects.exists()
    with pytest.raises(NotFound):
        take_back_claim(ClaimBackRequest(one.id), by=arrived.second, key=arrived.key(), now=NOW)


def test_two_at_once_open_one_claim(arrived: Story) -> None:
    """The second is led to the first; once that is over, a new one may be opened."""
    one = opened(arrived)
    with pytest.raises(NotPossibleNow, match=f"Claim {one.id}"):
        opened(arrived, broke="the same crack")
    moved(arrived, one.id, "dropped")
    assert opened(arrived).id != one.id


def test_a_double_tap_is_one_claim(arrived: Story) -> None:
    """The same request mark answers as it did."""
    asked = ClaimRequest("part", stem(arrived).pk, "cracked")
    seen = {open_claim(asked, by=arrived.first, key="claim-once", now=NOW).id for _ in range(2)}
    assert len(seen) == Claim.objects.count() == 1


@pytest.mark.parametrize(
    ("told", "error"),
    [
        ({"broke": " "}, InputRefused),
        ({"broke": "x" * 401}, InputRefused),
        ({"kind": "bike"}, InputRefused),
        ({"number": 99999}, NotFound),
        ({"kind": "instrument", "number": 99999}, NotFound),
    ],
)
def test_a_claim_out_of_sense_is_refused(
    arrived: Story, told: dict[str, object], error: type[Exception]
) -> None:
    """In a sentence; nothing is written."""
    with pytest.raises(error):
        opened(arrived, **told)  # type: ignore[arg-type]
    assert not Claim.objects.exists()


def test_a_word_that_is_none_or_a_day_behind_is_refused(arrived: Story) -> None:
    """Asked again yesterday, or in ten years: no."""
    one = opened(arrived)
    for state, day in (
        ("lost", None),
        ("sent", TODAY - timedelta(days=1)),
        ("sent", TODAY + timedelta(days=4000)),
    ):
        with pytest.raises(InputRefused):
            moved(arrived, one.id, state, answer_by=day)
    assert claim_by_id(one.id, TODAY).state == "open"


def test_the_counter_says_how_a_thing_was_bought_and_opens_no_claim(arrived: Story) -> None:
    """A receipt is handed over the counter; what broke is a mechanic's to say."""
    juno = Person.objects.make("juno", "Juno Marl", "counter", PASSPHRASE).pk
    say_warranty(WarrantyRequest("part", stem(arrived).pk, months=24), by=juno, key=arrived.key(), now=NOW)
    with pytest.raises(NotAllowed):
        open_claim(ClaimRequest("part", stem(arrived).pk, "cracked"), by=juno, key=arrived.key(), now=NOW)
    one = opened(arrived)
    with pytest.raises(NotAllowed):
        take_back_claim(ClaimBackRequest(one.id), by=juno, key=arrived.key(), now=NOW)


@pytest.mark.parametrize("kind", ["tool", "instrument"])
def test_what_broke_goes_off_the_board_and_hangs_again_after_a_wrong_tap(arrived: Story, kind: str) -> None:
    """One that was off already stays off when the claim is taken back."""
    model = Tool if kind == "tool" else Instrument
    row = model._default_manager.order_by("pk")[0]
    for was_up in (True, False):
        model._default_manager.filter(pk=row.pk).update(in_use=was_up)
        one = opened(arrived, kind, row.pk, "the ratchet slips")
        assert not model._default_manager.get(pk=row.pk).in_use
        take_back_claim(ClaimBackRequest(one.id), by=arrived.first, key=arrived.key(), now=NOW)
        assert model._default_manager.get(pk=row.pk).in_use is was_up


def test_a_tool_shared_by_many_jobs_names_no_bike_of_others(on_the_stand: Story) -> None:
    """How many bolts of how many stays, and its checks: whose bikes they were is nobody's affair."""
    story = on_the_stand
    tool = DoneValue.objects.exclude(tool=None).first()
    assert tool is not None and tool.tool is not None
    one = opened(story, "tool", tool.tool.pk, "the ratchet slips")
    sheet = claim_sheet(one.id, NOW)
    done = DoneValue.objects.filter(tool=tool.tool, event__corrected_by__isnull=True).count()
    assert sheet.distance == f"{done} bolts on record, of 1 stays" and sheet.checks and sheet.torques == ()
    assert story.tag not in str(sheet) and print_claim(one.id, NOW).startswith(b"%PDF")


def test_the_sheet_has_all_that_speaks_for_a_part(on_the_stand: Story) -> None:
    """Readings with their gauge, torques with tool and its check, the build sheet, and what is lacking in words."""
    story = on_the_stand
    fittings = story.record.bike.fittings.order_by("pk")
    chain = next(one.part for one in fittings if one.part.kind == "chain")
    sheet = claim_sheet(opened(story, "part", chain.pk, "broke at a pin").id, NOW)
    assert sheet.readings and any("checked" in one or "by eye" in one for one in sheet.readings)
    assert "km" in sheet.distance and sheet.build and sheet.bike_words
    assert any("receipt" in one for one in sheet.lacking) and any(
        "what broke" in one for one in sheet.lacking
    )
    tight = claim_sheet(opened(story).id, NOW)
    assert tight.torques and "checked" in tight.torques[0] and tight.markings


def test_a_claim_of_a_part_that_is_on_no_bike_any_more_is_one_all_the_same(arrived: Story) -> None:
    """It came off because it broke: the bike that it was on last is named."""
    part = stem(arrived)
    part.fittings.update(end=TODAY)
    one = opened(arrived)
    assert one.tag == arrived.tag and claim_sheet(one.id, NOW).bike_words
    assert Event.objects.get(pk=one.id).bike == arrived.record.bike
