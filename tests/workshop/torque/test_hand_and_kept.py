"""What takes no torque tool gets none; the setting stays with its done value; heads, threads and classes are read off the bolt."""

from datetime import timedelta

import pytest

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Tool, ToolCheck
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.tools.check_tool import HungRequest, Point, ToolCheckRequest, check_tool, hang_tool
from pinchbolt.workshop.tools.tool_board import torque_tool
from pinchbolt.workshop.torque.bolt_read import BoltRequest, read_bolt
from pinchbolt.workshop.torque.bolt_round import TickRequest, tick_joint
from pinchbolt.workshop.torque.read_marking import MarkingRequest, read_marking
from pinchbolt.workshop.torque.record_done import DoneByHandRequest, DoneRequest, record_done, tighten_by_hand
from pinchbolt.workshop.torque.torque_sheet import AddJointRequest, JointView, add_joint, torque_sheet
from tests import story
from tests.story import NOW, STEM, TODAY, Story

pytestmark = pytest.mark.django_db


def on_sheet(at: Story, joint: str) -> JointView:
    """The joint on the sheet, added where it is not."""
    if joint not in {one.joint for one in torque_sheet(job_by_id(at.job), TODAY)}:
        add_joint(AddJointRequest(at.job, joint), by=at.first, key=at.key(), now=NOW)
    return next(one for one in torque_sheet(job_by_id(at.job), TODAY) if one.joint == joint)


@pytest.fixture
def touring() -> Story:
    """A touring bike with quick-release wheels, on a stand."""
    return story.on_a_stand("tourer")


@pytest.mark.parametrize(
    "joint", ["quick-release:rear", "spoke-nipple:rear", "folding-hinge", "valve-nut:rear"]
)
def test_a_lever_a_hinge_a_nipple_and_a_valve_nut_get_no_torque_wrench(touring: Story, joint: str) -> None:
    """Nothing is set, nothing is refused; its line says how it is closed."""
    seen = on_sheet(touring, joint)
    assert seen.by_hand and seen.setting is None and seen.window is None and not seen.refused
    assert seen.pattern


def test_a_figure_for_a_quick_release_is_refused_and_the_hand_is_enough(touring: Story) -> None:
    """No tool shows it, so no tool can have shown it; the palm print is what is written down."""
    joint = "quick-release:rear"
    seen = on_sheet(touring, joint)
    tool = Tool.objects.get(table_id="tq-2-14")
    with pytest.raises(NotPossibleNow, match="takes no torque tool"):
        asked = DoneRequest(touring.job, joint, tool.pk, 7.0, sure=True)
        record_done(asked, by=touring.first, key=touring.key(), now=NOW)
    done = tighten_by_hand(
        DoneByHandRequest(touring.job, joint), by=touring.first, key=touring.key(), now=NOW
    )
    assert done.inside and done.done is None and seen.pattern in done.words
    with pytest.raises(NotPossibleNow, match="takes no torque tool"):
        moved = TickRequest(touring.tag, joint, False, tool.pk, 7.0, True)
        tick_joint(moved, by=touring.first, key=touring.key(), now=NOW)


def test_the_setting_stays_with_its_done_value_when_the_sheet_changes_its_mind(touring: Story) -> None:
    """Done at 5.0; then a marking of 5 is found on the bar and today's setting is lower: the old line keeps its own."""
    seen = on_sheet(touring, STEM)
    assert seen.setting is not None
    before = seen.setting.set
    asked = DoneRequest(touring.job, STEM, int(seen.setting.tool), before)
    record_done(asked, by=touring.first, key=touring.key(), now=NOW)
    marking = MarkingRequest(touring.tag, STEM, "handlebar", 5.0)
    after = read_marking(marking, by=touring.first, key=touring.key(), now=NOW)
    assert after.setting is not None and after.setting.set < before
    kept = on_sheet(touring, STEM)
    assert kept.done is not None and kept.done.set == before == kept.set_then


def test_a_tool_never_calibrated_sets_no_stem_unless_somebody_says_so_by_name(touring: Story) -> None:
    """Class A: refused once, then kept with the words and the name; a bottle cage is nobody's life."""
    hang_tool(HungRequest("tq-2-14", "new wrench"), by=touring.first, key=touring.key(), now=NOW)
    new = Tool.objects.get(name="new wrench")
    on_sheet(touring, STEM)
    with pytest.raises(
        InputRefused, match="never calibrated here: it sets no joint that can throw the rider"
    ):
        record_done(DoneRequest(touring.job, STEM, new.pk, 5.0), by=touring.first, key=touring.key(), now=NOW)
    sure = DoneRequest(touring.job, STEM, new.pk, 5.0, sure=True)
    assert "by name" in record_done(sure, by=touring.first, key=touring.key(), now=NOW).words
    on_sheet(touring, "carrier-bolt")
    plain = DoneRequest(touring.job, "gear-cable-pinch:rear", new.pk, 5.2)
    on_sheet(touring, "gear-cable-pinch:rear")
    assert "by name" not in record_done(plain, by=touring.first, key=touring.key(), now=NOW).words


def test_a_tool_past_its_date_sets_no_stem_either(touring: Story) -> None:
    """The day after its date."""
    tool = Tool.objects.get(table_id="tq-2-14")
    last = ToolCheck.objects.filter(tool=tool).latest("pk")
    on_sheet(touring, STEM)
    late = NOW + timedelta(days=(last.due - NOW.date()).days + 1)  # type: ignore[operator]
    with pytest.raises(InputRefused, match="was due for calibration"):
        record_done(
            DoneRequest(touring.job, STEM, tool.pk, 5.0), by=touring.first, key=touring.key(), now=late
        )


def test_the_head_is_read_with_one_tap_and_goes_with_its_part(touring: Story) -> None:
    """Every usual head until somebody looks; then the one that is there."""
    assert (
        on_sheet(touring, STEM).drive == ("hex-4", "tx-25", "hex-5") and not on_sheet(touring, STEM).head_read
    )
    read_bolt(BoltRequest(touring.tag, STEM, drive="tx-25"), by=touring.first, key=touring.key(), now=NOW)
    seen = on_sheet(touring, STEM)
    assert seen.drive == ("tx-25",) and seen.head_read
    read_bolt(BoltRequest(touring.tag, STEM, "8.8"), by=touring.first, key=touring.key(), now=NOW)
    assert on_sheet(touring, STEM).drive == ("tx-25",), "what was read before stays"
    with pytest.raises(InputRefused, match="What turns it"):
        read_bolt(BoltRequest(touring.tag, STEM, drive="spoon"), by=touring.first, key=touring.key(), now=NOW)


def test_a_measured_thread_frees_the_higher_figure(touring: Story) -> None:
    """A carrier's bolt is taken for an M5 until somebody measures an M6."""
    before = on_sheet(touring, "carrier-bolt")
    assert before.window is not None and before.window.cap == 7.0
    assert any("the thread of the bolt" in words for words in before.asks)
    asked = BoltRequest(touring.tag, "carrier-bolt", thread="M6x1.0")
    read_bolt(asked, by=touring.first, key=touring.key(), now=NOW)
    after = on_sheet(touring, "carrier-bolt")
    assert (
        after.window is not None and (after.window.floor, after.window.cap) == (8.0, 10.0) and not after.asks
    )


def test_a_bolt_weaker_than_the_figures_take_for_granted_is_said(touring: Story) -> None:
    """30 to 45 N·m on an M8 crank bolt take class 10.9; an 8.8 is changed, not tightened to that."""
    assert "take a bolt of class 10.9 for granted" in " ".join(
        on_sheet(touring, "crank-taper-bolt").bolt.words
    )  # type: ignore[union-attr]
    asked = BoltRequest(touring.tag, "crank-taper-bolt", "8.8")
    read_bolt(asked, by=touring.first, key=touring.key(), now=NOW)
    bolt = on_sheet(touring, "crank-taper-bolt").bolt
    assert bolt is not None and any("do not tighten it to this torque" in words for words in bolt.warnings)
    assert any("may be used again up to" in words for words in bolt.words)


def test_a_key_that_is_the_weak_part_is_named(touring: Story) -> None:
    """2.5 mm: 0.7 of 3.8 N·m proof (ISO 2936; the share from memory) is 2.66: less than a pad pin's neighbours, a jockey bolt gets."""
    read_bolt(
        BoltRequest(touring.tag, "jockey-bolt", drive="hex-2.5"), by=touring.first, key=touring.key(), now=NOW
    )
    seen = on_sheet(touring, "jockey-bolt")
    assert seen.setting is not None
    weak = [words for words in seen.warnings if "2.5 mm hex key is the weak part" in words]
    assert bool(weak) is (seen.setting.applies.high > 2.66)
    assert not any("weak part" in words for words in on_sheet(touring, STEM).warnings)


def test_what_holds_the_other_side_is_named(touring: Story) -> None:
    """A chainring's bolt turns with its nut unless the nut is held."""
    assert on_sheet(touring, "chainring-bolt-steel").counter == ("driver-slot",)


def test_a_crow_foot_in_line_takes_less_and_square_the_same() -> None:
    """Lever arithmetic: 5.5 N·m by 25 mm in line on 250 mm is 5.0; square it stays. Not measured: said how."""
    at = story.checked_in("road-disc")
    seen = on_sheet(at, "hose-nut:rear")
    assert seen.setting is not None
    assert any("Use it square, or measure the wrench" in words for words in seen.warnings)
    hang_tool(HungRequest("crowfoot-8", "crow-foot", arm_mm=25.0), by=at.first, key=at.key(), now=NOW)
    Tool.objects.filter(pk=int(seen.setting.tool)).update(arm_mm=250.0)
    words = [one for one in on_sheet(at, "hose-nut:rear").warnings if "crowfoot-8 square" in one]
    assert words == [
        "With a crowfoot-8 square to the handle the setting stays 5.5 N·m; in line (25 mm on 250 mm) set 5 N·m."
    ]


def test_a_certificate_says_from_where_a_tool_is_vouched_for() -> None:
    """By its points, where it has them (ISO 6789-1:2017, 5.1.3); else from a fifth."""
    at = story.checked_in("road-disc")
    tool = Tool.objects.get(table_id="tq-2-14")
    points = (Point(2.0, 2.02), Point(8.0, 7.95), Point(14.0, 13.9))
    check_tool(ToolCheckRequest(tool.pk, points=points), by=at.first, key=at.key(), now=NOW)
    spec = torque_tool(tool)
    assert spec is not None and spec.tested_from == 2.0
