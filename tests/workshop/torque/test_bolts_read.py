"""What a torque buys in a bolt, asked by itself; and what a bolt that was read may say."""

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Bolt
from pinchbolt.workshop.torque.bolt_read import (
    BoltRequest,
    PreloadRequest,
    head_read,
    heads,
    preload,
    preparations,
    property_classes,
    read_bolt,
    thread_read,
    threads,
)
from tests.story import NOW, STEM, Story
from tests.workshop.build_story import part_on, replace

LONG = {"yield_stress": 640.0, "friction": 0.12, "face_mm": 8.5, "hole_mm": 5.5}


def refused(**asked: object) -> dict[str, str]:
    """The sentences by field with which a question is refused."""
    with pytest.raises(InputRefused) as fault:
        preload(PreloadRequest(**{"thread": "M5x0.8", "torque": 5.0, **asked}))  # type: ignore[arg-type]
    return fault.value.errors


def test_a_torque_on_a_greased_m5_by_the_short_form() -> None:
    """F = T / (K d) = 5 / (0.15 x 0.005) = 6,667 N, two spreads of 12 % either way; As 14.18 mm2 (ISO 898-1); no class, no share."""
    seen = preload(PreloadRequest("M5x0.8", 5.0))
    low, high = seen.bolt.preload.low, seen.bolt.preload.high
    assert low == pytest.approx(5 / (0.15 * 0.005) * 0.76) and high == pytest.approx(
        5 / (0.15 * 0.005) * 1.24
    )
    assert seen.stress_area == pytest.approx(14.18, abs=0.005)
    assert (seen.bolt.thread, seen.bolt.property_class, seen.bolt.meant, seen.bolt.found) == (
        "M5x0.8",
        "",
        "grease",
        "grease",
    )
    assert seen.bolt.share is None and seen.bolt.preload_as_found is None
    assert seen.long_form_preload is None and seen.long_form_torque is None


def test_a_class_gives_a_share_of_proof_and_how_often_it_may_be_used_again() -> None:
    """580 MPa x 14.18 mm2 = 8.2 kN proof for 8.8 (ISO 898-1)."""
    seen = preload(PreloadRequest("M5x0.8", 5.0, "8.8"))
    assert seen.bolt.share is not None
    assert seen.bolt.share.high == pytest.approx(seen.bolt.preload.high / (580 * seen.stress_area), rel=1e-6)
    assert any("may be used again up to" in words for words in seen.bolt.words)
    assert not any(
        "may be used again" in words for words in preload(PreloadRequest("M5x0.8", 5.0)).bolt.words
    )


def test_a_thread_found_dry_is_told_besides() -> None:
    """More friction, less preload: K 0.2 where 0.15 was meant."""
    seen = preload(PreloadRequest("M5x0.8", 5.0, "8.8", "grease", "dry"))
    assert seen.bolt.found == "dry" and seen.bolt.preload_as_found is not None
    assert seen.bolt.preload_as_found.high < seen.bolt.preload.high
    same = preload(PreloadRequest("M5x0.8", 5.0, "8.8", "grease", "grease"))
    assert same.bolt.preload_as_found is None


def test_the_long_form_is_worked_with_all_four_or_not_at_all() -> None:
    """At 90 % of yield (VDI 2230): both figures; with three of the four it is said what is missing."""
    seen = preload(PreloadRequest("M5x0.8", 5.0, **LONG))
    assert seen.long_form_preload is not None and seen.long_form_torque is not None
    # Table values of VDI 2230 for M5, 8.8 at 0.12 are about 7.0 kN and 5.9 N·m (from memory): the same region.
    assert 6000 < seen.long_form_preload < 8000 and 5.0 < seen.long_form_torque < 7.0
    for left_out in LONG:
        half = {name: value for name, value in LONG.items() if name != left_out}
        assert "Give all four, or none" in refused(**half)["friction"]


@pytest.mark.parametrize(("torque", "good"), [(0.1, True), (400.0, True), (0.09, False), (400.1, False)])
def test_a_torque_out_of_sense_is_refused(torque: float, good: bool) -> None:
    """A tenth to four hundred."""
    if good:
        assert preload(PreloadRequest("M5x0.8", torque)).bolt.preload.high > 0
    else:
        assert "0.1 to 400" in refused(torque=torque)["torque"]


def test_a_word_that_is_not_in_the_table_is_refused_and_cut() -> None:
    """Each names its own field, says what may stand there, and repeats no page of text."""
    assert refused(thread="M5" * 20)["thread"].startswith(f'thread is "{"M5" * 10}": ')
    assert refused(property_class="8" * 50)["property_class"].startswith(f'property_class is "{"8" * 30}": ')
    assert f'"{"x" * 30}": dry' in refused(meant="x" * 50)["meant"]
    assert "Choose the one that was found" in refused(found="soap")["preparation"]


@pytest.mark.django_db
def test_the_newest_reading_of_a_bolt_counts_and_what_was_not_read_stays(arrived: Story) -> None:
    """One row stands; the class of the first look, the head of the second."""
    assert (head_read(arrived.record.bike, STEM), thread_read(arrived.record.bike, STEM)) == ("", "")
    for read in (
        {"property_class": "12.9", "preparation": "dry"},
        {"drive": "hex-4"},
        {"thread": "M5x0.8"},
    ):
        read_bolt(BoltRequest(arrived.tag, STEM, **read), by=arrived.first, key=arrived.key(), now=NOW)
    (row,) = Bolt.objects.filter(event__corrected_by__isnull=True)
    assert (row.property_class, row.preparation, row.drive, row.thread) == ("12.9", "dry", "hex-4", "M5x0.8")
    bike = arrived.record.bike
    assert (head_read(bike, STEM), thread_read(bike, STEM)) == ("hex-4", "M5x0.8")
    assert Bolt.objects.count() == 3


@pytest.mark.django_db
def test_the_same_tap_twice_is_one_reading(arrived: Story) -> None:
    """By its mark."""
    for _ in range(2):
        asked = BoltRequest(arrived.tag, STEM, drive="hex-4")
        read_bolt(asked, by=arrived.first, key="bolt-read-one", now=NOW)
    assert Bolt.objects.count() == 1


@pytest.mark.django_db
def test_what_was_read_goes_with_the_part_that_brought_the_joint(arrived: Story) -> None:
    """Another stem has bolts that nobody has looked at."""
    read_bolt(BoltRequest(arrived.tag, STEM, drive="tx-25"), by=arrived.first, key=arrived.key(), now=NOW)
    assert Bolt.objects.get().on_part_id == part_on(arrived, "stem").pk
    replace(arrived, part_on(arrived, "stem"), facts={"stem_kind": "two bolts", "face_bolts": 4})
    assert head_read(arrived.record.bike, STEM) == ""


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("read", "field", "said"),
    [
        ({}, "preparation", "Nothing was read on the bolt"),
        ({"drive": "d" * 40}, "drive", f'"{"d" * 30}": '),
        ({"thread": "t" * 30}, "thread", f'thread is "{"t" * 20}": '),
        ({"preparation": "soap"}, "preparation", "Choose the one that was found"),
        ({"property_class": "9.9"}, "property_class", "Read the head again"),
    ],
)
def test_what_no_bolt_says_is_refused(arrived: Story, read: dict[str, str], field: str, said: str) -> None:
    """Nothing at all, or a word of no table."""
    with pytest.raises(InputRefused) as fault:
        read_bolt(BoltRequest(arrived.tag, STEM, **read), by=arrived.first, key=arrived.key(), now=NOW)
    assert said in fault.value.errors[field] and not Bolt.objects.exists()


@pytest.mark.django_db
def test_a_joint_of_no_table_has_no_bolt_to_read(arrived: Story) -> None:
    """Named as it was sent, and cut."""
    with pytest.raises(InputRefused) as fault:
        asked = BoltRequest(arrived.tag, "j" * 60, drive="hex-4")
        read_bolt(asked, by=arrived.first, key=arrived.key(), now=NOW)
    assert f'"{"j" * 40}" is not in the table' in fault.value.errors["joint"]


def test_what_may_be_chosen_is_what_the_tables_have() -> None:
    """Each once, in the table's order."""
    assert "dry" in preparations() and "M5x0.8" in threads() and property_classes()[:2] == ("4.6", "8.8")
    assert {"hex-4", "tx-25"} <= set(heads()) and len(heads()) == len(set(heads()))
