"""The socket in a screw's head is measured at the joint: a rounded one is said beside the setting until the screw is another."""

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Bolt
from pinchbolt.workshop.torque import bolt_read
from pinchbolt.workshop.torque.bolt_read import BoltRequest, head_read, read_bolt
from pinchbolt.workshop.torque.torque_sheet import joint_view, sheet_of
from tests.story import NOW, STEM, TODAY, Story

pytestmark = pytest.mark.django_db


def read(at: Story, **told: object) -> None:
    """What was read on the stem's bolts."""
    asked = BoltRequest(at.tag, STEM, **told)  # type: ignore[arg-type]
    read_bolt(asked, by=at.first, key=at.key(), now=NOW)


def said(at: Story) -> list[str]:
    """What the sheet says of the socket, alone and beside its neighbours."""
    alone = joint_view(STEM, at.record.bike, None, TODAY)
    (on_sheet,) = sheet_of(at.record.bike, [STEM], {}, TODAY).joints
    assert alone.socket == on_sheet.socket
    assert set(alone.socket) <= set(alone.warnings) and set(on_sheet.socket) <= set(on_sheet.warnings)
    return list(alone.socket)


@pytest.mark.parametrize(
    ("measured", "words"),
    [(4.05, ""), (4.20, "rounded. Change the screw"), (4.11, "cannot tell"), (4.06, "")],
)
def test_a_socket_is_judged_by_its_standard_with_the_doubt_of_a_caliper(
    arrived: Story, measured: float, words: str
) -> None:
    """ISO 4762, hex 4: 4.02 to 4.095 mm; a caliper may be some hundredths out."""
    read(arrived, drive="hex-4", socket_mm=measured)
    told = said(arrived)
    assert bool(told) is bool(words) and all(words in one for one in told)


def test_it_is_said_until_the_screw_is_another(arrived: Story) -> None:
    """What is read besides leaves it; a new screw takes along all that was read on the old one."""
    read(arrived, drive="hex-4")
    read(arrived, socket_mm=4.2)
    read(arrived, property_class="8.8")
    assert "rounded" in said(arrived)[0]
    read(arrived, new_screw=True)
    assert said(arrived) == [] and head_read(arrived.record.bike, STEM) == ""
    (stands,) = Bolt.objects.filter(event__corrected_by__isnull=True)
    assert (stands.property_class, stands.drive, stands.socket_mm) == ("", None, None)
    read(arrived, drive="tx-25", new_screw=True)
    assert head_read(arrived.record.bike, STEM) == "tx-25"


def test_another_drive_takes_the_measured_socket_along(arrived: Story) -> None:
    """5.1 mm was read of a hex 5; what turns it was a hex 4 after all: nobody has measured that one, and the sheet stands."""
    read(arrived, drive="hex-5", socket_mm=5.1)
    read(arrived, drive="hex-4")
    assert said(arrived) == [] and head_read(arrived.record.bike, STEM) == "hex-4"
    (stands,) = Bolt.objects.filter(event__corrected_by__isnull=True)
    assert stands.socket_mm is None
    read(arrived, socket_mm=4.2)
    read(arrived, drive="hex-4")
    assert "rounded" in said(arrived)[0]


def test_a_size_that_its_drive_cannot_have_is_a_warning_of_the_sheet(
    arrived: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As older records hold it, which kept the size of the drive before: it is said at the joint, and the sheet stands."""
    monkeypatch.setattr(bolt_read, "_socket_kept", lambda old, _: old.socket_mm if old else None)
    read(arrived, drive="hex-5", socket_mm=5.1)
    read(arrived, drive="hex-4")
    (words,) = said(arrived)
    assert "Is this another size" in words


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"socket_mm": 4.2}, "nobody has read what turns it"),
        ({"socket_mm": 4.2, "drive": "tx-25"}, "tx-25 has no size in the table"),
        ({"socket_mm": 5.1, "drive": "hex-4"}, "Is this another size"),
        ({"socket_mm": 0.9, "drive": "hex-4"}, "1 to 20 mm"),
        ({"socket_mm": 20.1, "drive": "hex-4"}, "1 to 20 mm"),
    ],
)
def test_what_is_no_size_of_such_a_socket_is_refused(
    arrived: Story, told: dict[str, object], words: str
) -> None:
    """By its own field, and nothing is written."""
    with pytest.raises(InputRefused) as fault:
        read(arrived, **told)
    assert words in fault.value.errors["socket_mm"] and not Bolt.objects.exists()
