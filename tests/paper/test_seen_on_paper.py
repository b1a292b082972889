"""What was seen on sheets that nobody had drawn: empty sums, headings over nothing, words cut in two, cautions torn between pages."""

import re
import subprocess
from collections.abc import Callable
from datetime import datetime
from io import BytesIO

import pytest
from pypdf import PdfReader

from pinchbolt.paper import render
from pinchbolt.paper.handover.handover_paper import handover_values
from pinchbolt.paper.hang_tag.hang_tag_paper import hang_tag_values
from pinchbolt.paper.job_card.job_card_paper import job_card_values
from pinchbolt.paper.paper_facts import wrapped
from pinchbolt.paper.press import pressed
from pinchbolt.paper.render import bolt_round_sheet
from pinchbolt.paper.workings.workings_paper import workings_values
from pinchbolt.records.models import Bike
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.wheels.print_wheel import print_wheel
from tests import story
from tests.paper.reading import words
from tests.story import NOW
from tests.workshop.build_story import bike, from_nothing, part_on

pytestmark = pytest.mark.django_db


def test_an_estimate_of_nothing_has_no_sums_and_nothing_to_sign() -> None:
    """A look that found nothing: "at most £0.00, if bolts are stuck" stood there, and a line for the owner's name."""
    there = story.checked_in()
    told = words(render("estimate", there.job, NOW))
    assert "Nothing that needs work." in told
    assert "bolts are stuck" not in told and "signature" not in told and "Prices" not in told


def test_workings_of_nothing_have_no_headings_over_nothing() -> None:
    """Nothing found, nothing priced, no joint opened."""
    there = story.checked_in()
    told = words(render("workings", there.job, NOW))
    assert "Nothing was found." in told
    assert not [head for head in ("What it costs", "the whole", "The order of the joints") if head in told]


def test_a_joint_that_is_closed_by_hand_has_no_heading_over_nothing() -> None:
    """A quick-release has no window and no setting: it stood alone under "why these settings"."""
    there = bike("road-rim")
    propose(ProposeRequest(there.job, "wheel-true", place="rear"), by=there.first, key=there.key(), now=NOW)
    story.answered(story.priced(there))
    joints = workings_values(there.job, NOW)["joints"]
    assert isinstance(joints, list) and all(joint["reasons"] for joint in joints)


def test_a_reason_is_said_once() -> None:
    """Two doubts about one tyre ended in the same sentence, twice below each other."""
    there = story.priced(story.walked_round(story.checked_in()))
    lines = workings_values(there.job, NOW)["lines"]
    assert isinstance(lines, list) and lines
    assert all(len(line["reasons"]) == len(set(line["reasons"])) for line in lines)


def test_a_hang_tag_ends_with_a_whole_word() -> None:
    """ "single ring, cab..." hung from the bar."""
    there = story.checked_in()
    Bike.objects.filter(tag=there.tag).update(
        words="steel gravel bike, hydraulic disc, single ring, cable 1x11"
    )
    told = hang_tag_values(there.tag, "http://bench.local/")["words"]
    assert told == "steel gravel bike, hydraulic disc, single ring…"


def test_a_count_stays_with_its_sign() -> None:
    """On a strip of 80 mm the 1 stood at the end of a line and its sign at the start of the next."""
    assert wrapped("new pads (1 × pads)") == "new pads (1\N{NO-BREAK SPACE}× pads)"


def test_a_round_without_joints_has_no_empty_table() -> None:
    """Nothing to hold, nothing to write a name under."""
    there = from_nothing("trike")
    told = words(bolt_round_sheet(there.tag, "", NOW))
    assert "No joint of this bike is in this round." in told
    assert "moved, N·m" not in told and "name and day" not in told


def test_a_wheel_that_nobody_read_has_no_empty_tables() -> None:
    """Its sheet had heads of columns over nothing, and a past without a word."""
    there = story.checked_in()
    told = words(print_wheel(there.job, part_on(there, "wheel", "rear").pk, NOW))
    assert "Not read yet." in told
    assert "Every spoke as last read" not in told and "Past of this wheel" not in told


@pytest.mark.parametrize(
    "lines",
    [("pads-disc",), ("pads-disc", "bleed"), ("pads-disc", "bleed", "wheel-true"), ("chain", "bleed")],
)
def test_no_caution_is_torn_between_two_pages(lines: tuple[str, ...]) -> None:
    """Half a caution at the foot of a page is not read on overleaf: each stands whole on one page, and the list with its heading."""
    there = story.checked_in("gravel-1x")
    for operation in lines:
        place = "" if operation == "chain" else "front"
        asked = ProposeRequest(there.job, operation, place=place)
        propose(asked, by=there.first, key=there.key(), now=NOW)
    story.answered(story.priced(there))
    pdf = render("job-card", there.job, NOW)
    pages = [words(pdf, number) for number in range(len(PdfReader(BytesIO(pdf)).pages))]
    told = job_card_values(there.job, NOW)
    cautions, items = told["cautions"], told["items"]
    assert isinstance(cautions, list) and isinstance(items, list) and cautions and items
    assert [one for one in cautions if not any(" ".join(one.split()) in page for page in pages)] == []
    (listed,) = (page for page in pages if "Before it leaves" in page)
    assert [one["words"] for one in items if " ".join(one["words"].split()) not in listed] == []


def on_paper(pdf: bytes) -> set[str]:
    """The numbered words that stand on a page, not below its foot."""
    told = subprocess.run(
        ["pdftotext", "-bbox", "-", "-"], input=pdf, check=True, capture_output=True
    ).stdout.decode()
    found = set()
    for page in told.split("<page ")[1:]:
        height = float(page.split('height="')[1].split('"')[0])
        seen = re.findall(r'yMax="([\d.]+)">number-(\d+)<', page)
        found |= {number for foot, number in seen if float(foot) < height}
    return found


@pytest.mark.parametrize(
    ("sheet", "values_of", "key"),
    [
        ("job_card", job_card_values, "items"),
        ("handover", handover_values, "left_unseen"),
        ("handover", handover_values, "unsafe"),
        ("workings", workings_values, "whole"),
    ],
)
def test_what_is_longer_than_a_page_goes_on_overleaf(
    sheet: str, values_of: Callable[[int, datetime], dict[str, object]], key: str
) -> None:
    """Kept in one piece it would run off the foot of the paper, and nobody would look at what stands there."""
    values = values_of(story.checked_in().job, NOW)
    words = [f"number-{number} of a list without end" for number in range(400)]
    items = values[key]
    assert isinstance(items, list)
    many = [{**items[0], "words": one} for one in words] if items and isinstance(items[0], dict) else words
    pdf = pressed(f"{sheet}/{sheet}.typ", {**values, key: many}, NOW)
    assert on_paper(pdf) == {str(number) for number in range(400)}
