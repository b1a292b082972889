"""What the torque sheet says at a joint: who governs, what the bolt gets, targets, and what is in doubt."""

from datetime import timedelta

from django.test import Client
from django.utils import timezone

from pinchbolt.records.models import DoneValue, Tool
from pinchbolt.workshop.tools.check_tool import ToolCheckRequest, check_tool
from pinchbolt.workshop.torque.torque_sheet import AddJointRequest, add_joint
from tests import story
from tests.bench.job_screens.conftest import at_work, started
from tests.story import STEM, Story


def page_of(on: Story, tablet: Client, joint: str = STEM) -> str:
    """The joint on the screen."""
    return tablet.get(at_work(on.job, f"torque/{joint}/")).content.decode()


def post(on: Story, tablet: Client, act: str, joint: str = STEM, **data: str) -> int:
    """Send what a form of the page sends."""
    address = at_work(on.job, f"torque/{joint}/{act}/")
    return tablet.post(address, {"key": on.key(), **data}).status_code


def test_where_the_table_governs_the_marking_is_said_to_win(arrived: Story, ines: Client) -> None:
    """On a joint without markings, and not where a marking is the cap."""
    started(arrived)
    add_joint(
        AddJointRequest(arrived.job, "seat-collar"), by=arrived.first, key=arrived.key(), now=timezone.now()
    )
    assert "by-table" in page_of(arrived, ines, "seat-collar")
    assert "by-table" not in page_of(arrived, ines)


def test_a_bolt_found_dry_is_said_with_both_preloads_and_the_setting_stays(
    arrived: Story, ines: Client
) -> None:
    """Grease is meant; the class read off the head gives the share of proof."""
    started(arrived)
    before = page_of(arrived, ines)
    assert "The bolt: M5x0.8" in before and "cannot be read off the head" in before
    assert post(arrived, ines, "bolt", property_class="8.8", preparation="dry") == 303
    after = page_of(arrived, ines)
    assert "was meant grease and is dry" in after and "of proof in class 8.8" in after
    figure = '<span class="set-figure">'
    assert before.split(figure)[1][:4] == after.split(figure)[1][:4]


def test_a_bolt_of_which_nothing_was_read_is_refused_and_kept_open(arrived: Story, ines: Client) -> None:
    """A sentence at the form, nothing written."""
    started(arrived)
    address = at_work(arrived.job, f"torque/{STEM}/bolt/")
    answer = ines.post(address, {"key": arrived.key(), "property_class": "", "preparation": ""})
    assert answer.status_code == 422 and "Nothing was read on the bolt" in answer.content.decode()


def test_a_target_moves_the_setting_and_limits_nothing(arrived: Story, ines: Client) -> None:
    """4.4 named by the stem's maker: the joint still accepts 4 to 5, by the bar's marking and the table."""
    started(arrived)
    assert post(arrived, ines, "marking", part="stem", means="target", greatest_n_m="4.4") == 303
    page = page_of(arrived, ines)
    assert "4.4 N·m is the value to use" in page
    assert "Safe range 4 to 5 N·m" in page


def test_a_target_outside_the_window_is_a_conflict_with_both_named(arrived: Story, ines: Client) -> None:
    """No setting is shown."""
    started(arrived)
    post(arrived, ines, "marking", part="stem", means="target", greatest_n_m="5.6")
    page = page_of(arrived, ines)
    assert "No safe setting" in page and "the stem names 5.6 N·m" in page.replace("&#x27;", "'")


def test_a_done_value_is_in_doubt_once_its_tool_failed(arrived: Story, ines: Client) -> None:
    """On the strip and at the joint; the joint is open again."""
    started(arrived)
    tool = Tool.objects.get(name__startswith="small click wrench")
    assert post(arrived, ines, "done", tool=str(tool.pk), done_n_m="4.5") == 303
    assert DoneValue.objects.get().inside
    later = timezone.now() + timedelta(hours=2)
    check_tool(ToolCheckRequest(tool.pk, 0.2), by=arrived.second, key=arrived.key(), now=later)
    page = page_of(arrived, ines)
    assert "In doubt: small click wrench" in page and "in doubt</span>" in page
    assert "in doubt" in ines.get(at_work(arrived.job)).content.decode()


def test_the_cautions_of_a_joint_stand_beside_it(arrived: Story, ines: Client) -> None:
    """Bars at the stem, brakes at the caliper; never folded away."""
    started(arrived)
    now = timezone.now()
    caliper = next(name for name in story.joints_on(arrived.tag) if name.startswith("caliper-"))
    add_joint(AddJointRequest(arrived.job, caliper), by=arrived.first, key=arrived.key(), now=now)
    assert "Bar, stem, steerer and post hold the rider" in page_of(arrived, ines)
    brakes = page_of(arrived, ines, caliper)
    assert "Brakes: no oil, grease or bare fingers" in brakes and "Bar, stem, steerer" not in brakes


def test_the_torque_sheet_prints_by_itself(arrived: Story, ines: Client) -> None:
    """One address, a PDF."""
    started(arrived)
    answer = ines.get(f"/paper/job/{arrived.job}/torque-sheet.pdf")
    assert answer["Content-Type"] == "application/pdf" and answer.content.startswith(b"%PDF-")
