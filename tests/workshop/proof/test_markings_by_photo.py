"""A marking with its photo: written by its own act, kept small and bare, taken back by one tap, gone with its owner."""

from io import BytesIO

import pytest
from PIL import Image

from pinchbolt.errors import InputRefused, NotAllowed, NotFound, NotPossibleNow
from pinchbolt.records.models import Event, Marking, PartDescription, Person, ProofPhoto
from pinchbolt.workshop.acts.kinds_of_act import Beside, in_words
from pinchbolt.workshop.proof.keep_photo import MOST, proof_bytes
from pinchbolt.workshop.proof.take_back_marking import MarkingBackRequest, take_back_marking
from pinchbolt.workshop.proof.take_marking import TakeMarkingRequest, take_marking
from pinchbolt.workshop.proof.what_is_marked import targets_of
from pinchbolt.workshop.torque.joint_windows import joint_window
from pinchbolt.workshop.torque.torque_sheet import AddJointRequest, add_joint, joint_view, torque_sheet
from tests.story import NOW, PASSPHRASE, STEM, TODAY, Story

PLACE, MAKER = 0x8825, 0x010F


def shot(wide: int = 1800, high: int = 1200) -> bytes:
    """A noisy photo with a place and a camera's maker in it."""
    picture = Image.effect_noise((wide, high), 90).convert("RGB")
    exif = Image.Exif()
    exif[MAKER] = "A camera"
    exif.get_ifd(PLACE)[1] = "N"
    into = BytesIO()
    picture.save(into, "JPEG", exif=exif, quality=95)
    return into.getvalue()


def on_the_sheet(story: Story) -> None:
    """The stem's joint is on the torque sheet."""
    add_joint(AddJointRequest(story.job, STEM), by=story.first, key=story.key(), now=NOW)


def taken(story: Story, greatest: float | None, photo: bytes | None = None, **told: object) -> None:
    """The stem is marked so, with this photo."""
    asked = TakeMarkingRequest(story.job, "torque", STEM, "stem", greatest, **told)  # type: ignore[arg-type]
    take_marking(asked, photo, by=story.first, key=story.key(), now=NOW)


def cap(story: Story) -> float:
    """What the stem's joint takes at most."""
    return joint_window(STEM, story.record.bike).cap


def test_a_marking_is_kept_with_its_photo_by_whom_and_when(arrived: Story) -> None:
    """The photo hangs on the act that wrote the value: small, upright, without place or camera; the sheet says so."""
    on_the_sheet(arrived)
    taken(arrived, 4.5, shot(), read='read "MAX 4.5 N·m", sure enough to offer')
    row = Marking.objects.get()
    proof = ProofPhoto.objects.get(pk=row.pk)
    assert (row.greatest, row.event.by_id, row.event.at) == (4.5, arrived.first, NOW)
    assert "MAX 4.5" in proof.words and len(proof_bytes(row.pk)) <= MOST
    with Image.open(BytesIO(proof_bytes(row.pk))) as seen:
        assert not dict(seen.getexif()) and b"A camera" not in proof_bytes(row.pk)
    here = joint_view(STEM, arrived.record.bike, arrived.record, TODAY)
    assert here.markings == ("stem marked 4.5 N·m max, photo",) and here.marked[0].has_photo
    assert here.window is not None and here.window.cap == 4.5


def test_without_a_photo_it_is_the_same_act(arrived: Story) -> None:
    """The keypad stays where no camera works; a range and a value to use go the same way."""
    on_the_sheet(arrived)
    taken(arrived, 5.0, least=4.0)
    assert not ProofPhoto.objects.exists()
    assert joint_view(STEM, arrived.record.bike, None, TODAY).markings == ("stem marked 4 to 5 N·m",)
    taken(arrived, None, target=4.5)
    assert cap(arrived) > 4.5 and Marking.objects.filter(event__corrected_by__isnull=True).get().target == 4.5


@pytest.mark.parametrize("photo", [b"%PDF-1.7 x", b"hello", shot()[:900]])
def test_of_a_photo_that_is_none_nothing_is_written(arrived: Story, photo: bytes) -> None:
    """Value and photo go together, or neither."""
    on_the_sheet(arrived)
    with pytest.raises(InputRefused):
        taken(arrived, 4.5, photo)
    assert not Marking.objects.exists() and not ProofPhoto.objects.exists()


def test_of_a_value_out_of_sense_nothing_is_written(arrived: Story) -> None:
    """No value, or one that no such joint bears: the photo alone proves nothing."""
    on_the_sheet(arrived)
    for greatest in (None, 500.0, 0.0, float("nan")):
        with pytest.raises(InputRefused):
            taken(arrived, greatest, shot(300, 200))
    assert not Event.objects.filter(kind="marking read").exists() and not ProofPhoto.objects.exists()


def test_a_double_tap_is_one_act_with_one_photo(arrived: Story) -> None:
    """The same mark again changes nothing; two people with marks of their own: the newest counts, the older stays on record."""
    on_the_sheet(arrived)
    asked = TakeMarkingRequest(arrived.job, "torque", STEM, "stem", 4.5)
    for _ in range(2):
        take_marking(asked, shot(300, 200), by=arrived.first, key="marking-once", now=NOW)
    assert (Marking.objects.count(), ProofPhoto.objects.count()) == (1, 1)
    other = TakeMarkingRequest(arrived.job, "torque", STEM, "stem", 4.0)
    take_marking(other, None, by=arrived.second, key=arrived.key(), now=NOW)
    assert cap(arrived) == 4.0 and Marking.objects.count() == 2 and ProofPhoto.objects.count() == 1
    assert joint_view(STEM, arrived.record.bike, None, TODAY).markings == ("stem marked 4 N·m max",)


def test_a_wrong_tap_is_taken_back_and_what_stood_before_governs(arrived: Story) -> None:
    """The older marking counts again, the wrong one's photo is gone; once more is refused."""
    on_the_sheet(arrived)
    before = cap(arrived)
    taken(arrived, 4.5, shot(300, 200))
    taken(arrived, 9.5, shot(300, 200))
    wrong = Marking.objects.order_by("-pk").first()
    assert wrong is not None
    back = MarkingBackRequest(arrived.job, wrong.pk)
    take_back_marking(back, by=arrived.second, key=arrived.key(), now=NOW)
    assert cap(arrived) == 4.5 and ProofPhoto.objects.count() == 1
    with pytest.raises(NotPossibleNow):
        take_back_marking(back, by=arrived.second, key=arrived.key(), now=NOW)
    first = Marking.objects.order_by("pk").first()
    assert first is not None
    take_back_marking(MarkingBackRequest(arrived.job, first.pk), by=arrived.first, key=arrived.key(), now=NOW)
    assert cap(arrived) == before and not ProofPhoto.objects.exists()
    told = [in_words(one, Beside({}, {})) for one in Event.objects.filter(kind="undone")]
    assert told == ["taken back: the marking on the stem"] * 2


def test_a_marking_by_which_a_joint_was_done_is_not_taken_back(on_the_stand: Story) -> None:
    """The bolt stands at a torque that it asked for: it is read anew, and the joint tightened again."""
    story = on_the_stand
    joint = next(one for one in torque_sheet(story.record, TODAY) if one.done is not None and one.marked)
    back = MarkingBackRequest(story.job, joint.marked[0].event)
    with pytest.raises(NotPossibleNow, match="tightened by this marking"):
        take_back_marking(back, by=story.first, key=story.key(), now=NOW)
    assert joint_view(joint.joint, story.record.bike, None, TODAY).markings == joint.markings


def test_the_counter_writes_no_marking_and_takes_none_back(arrived: Story) -> None:
    """Readings and markings are a mechanic's."""
    on_the_sheet(arrived)
    juno = Person.objects.make("juno", "Juno Marl", "counter", PASSPHRASE).pk
    with pytest.raises(NotAllowed):
        take_marking(
            TakeMarkingRequest(arrived.job, "torque", STEM, "stem", 4.5),
            None, by=juno, key=arrived.key(), now=NOW,
        )  # fmt: skip
    taken(arrived, 4.5)
    with pytest.raises(NotAllowed):
        take_back_marking(
            MarkingBackRequest(arrived.job, Marking.objects.get().pk), by=juno, key=arrived.key(), now=NOW
        )
    assert cap(arrived) == 4.5


def test_every_thing_that_may_be_marked_can_be_taken_by_photo(arrived: Story) -> None:
    """Torque, limits, sizes and pressures, classes: each is written by the act that is its own, with its photo."""
    on_the_sheet(arrived)
    seen = dict(targets_of(arrived.record))
    assert len(seen) == 4
    values = {"limit": 1.55, "size": 31.8}
    for found in seen.values():
        for target in found:
            told = {"text": target.picks[0]} if target.picks else {}
            if not target.picks:
                low = target.usual[0] if target.usual else values["size"]
                told = {"text": "40-622"} if target.is_text else {"greatest": max(low, 1.55)}
            asked = TakeMarkingRequest(arrived.job, target.what, target.of, target.name, **told)  # type: ignore[arg-type]
            try:
                take_marking(asked, shot(200, 150), by=arrived.first, key=arrived.key(), now=NOW)
            except InputRefused as refusal:
                # What this bike's own part can't be marked with is said in a sentence at the field.
                assert refusal.errors, target
    kinds = set(ProofPhoto.objects.values_list("event__kind", flat=True))
    assert kinds == {"marking read", "limit marked", "part described", "bolt read"}
    assert PartDescription.objects.filter(event__proof__isnull=False).exists()


def test_what_is_not_at_the_bike_is_said(arrived: Story) -> None:
    """A part that came off meanwhile, a joint in no table, a word from anywhere."""
    for what, of, name in (
        ("torque", STEM, "saddle"),
        ("limit", "9999", "rotor-thickness-1.8"),
        ("?", "", ""),
    ):
        with pytest.raises(NotFound):
            take_marking(
                TakeMarkingRequest(arrived.job, what, of, name, 5.0),
                None, by=arrived.first, key=arrived.key(), now=NOW,
            )  # fmt: skip
