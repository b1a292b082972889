"""Joints of which nobody knows whether they are there: asked above the sheet, answered by one tap, and on paper."""

import pytest
from django.test import Client
from django.utils import timezone

from pinchbolt.paper import bolt_round_sheet, render
from pinchbolt.records.models import PartDescription
from pinchbolt.workshop.bikes.change_build import DescribeRequest, describe
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import StandRequest, start_work
from tests.bench.job_screens.acts import stem_of
from tests.bench.job_screens.conftest import at_work
from tests.paper.reading import words
from tests.story import Story

QUESTION = "Not known: how many bolts hold the bar (stem)."


@pytest.fixture
def unknown(arrived: Story) -> Story:
    """A new bar is agreed and begun on a bike whose stem nobody has counted the bolts of."""
    now = timezone.now()
    told = DescribeRequest(stem_of(arrived), {"face_bolts": None})
    describe(told, by=arrived.first, key=arrived.key(), now=now)
    propose(ProposeRequest(arrived.job, "bars-stem"), by=arrived.first, key=arrived.key(), now=now)
    ask_owner(PriceRequest(arrived.job), by=arrived.first, key=arrived.key(), now=now)
    said = {line.pk: True for line in arrived.record.lines.all()}
    answer(AnswerRequest(arrived.job, said, "by phone"), by=arrived.first, key=arrived.key(), now=now)
    start_work(StandRequest(arrived.job, 1), by=arrived.first, key=arrived.key(), now=now)
    return arrived


def sheet(on: Story, tablet: Client) -> str:
    """The torque sheet, where it leads."""
    return tablet.get(at_work(on.job, "torque/"), follow=True).content.decode()


def test_the_question_stands_above_the_joints_once_with_its_answers(unknown: Story, ines: Client) -> None:
    """One line with a button for each count; the work's own page says that something is to be found out."""
    page = sheet(unknown, ines)
    assert page.count(QUESTION) == 1
    assert page.index(QUESTION) < page.index("joints in working order")
    assert all(f'name="answer" value="{count}"' in page for count in (0, 1, 2, 4))
    assert "Can throw the rider" in page
    work = ines.get(f"/job/{unknown.job}/work/").content.decode()
    assert '<span class="figure">1</span> to find out' in work


def test_one_tap_puts_the_joint_on_the_sheet(unknown: Story, ines: Client) -> None:
    """Two bolts: read off the part, the question gone, the joint there; a double tap writes once."""
    data = {"part": stem_of(unknown), "fact": "face_bolts", "answer": "2", "key": unknown.key()}
    before = PartDescription.objects.count()
    for _ in range(2):
        assert ines.post(at_work(unknown.job, "torque/told/"), data).status_code == 303
    assert PartDescription.objects.count() == before + 1
    assert PartDescription.objects.latest("pk").source == "read off the part"
    page = sheet(unknown, ines)
    assert QUESTION not in page and "stem face plate, two bolts" in page


@pytest.mark.parametrize(
    ("answer_told", "said"),
    [
        ("", "Nothing was answered"),
        ("7", "how many bolts hold the bar is"),
        ("two", "how many bolts hold the bar is"),
    ],
)
def test_an_answer_that_cannot_be_is_refused(
    unknown: Story, ines: Client, answer_told: str, said: str
) -> None:
    """The sentence says what is allowed, and nothing is written."""
    before = PartDescription.objects.count()
    data = {"part": stem_of(unknown), "fact": "face_bolts", "answer": answer_told, "key": unknown.key()}
    answered = ines.post(at_work(unknown.job, "torque/told/"), data)
    page = answered.content.decode()
    assert answered.status_code == 422 and said in page and QUESTION in page
    assert PartDescription.objects.count() == before


def test_the_round_asks_and_is_answered_too(unknown: Story, ines: Client) -> None:
    """Back in the same round, with the joint in it."""
    address = f"/bike/{unknown.tag}/bolt-round/"
    assert ines.get(f"{address}?which=whole").content.decode().count(QUESTION) == 1
    data = {
        "part": stem_of(unknown),
        "fact": "face_bolts",
        "answer": "2",
        "which": "whole",
        "key": unknown.key(),
    }
    answered = ines.post(f"{address}told/", data)
    assert answered.status_code == 303 and answered["Location"].endswith("?which=whole")
    page = ines.get(answered["Location"]).content.decode()
    assert QUESTION not in page and 'id="stem-face-2"' in page


def test_paper_says_it_too(unknown: Story) -> None:
    """Torque sheet, job card and bolt round: what is not known is printed, not left out."""
    now = timezone.now()
    papers = (
        render("torque-sheet", unknown.job, now),
        render("job-card", unknown.job, now),
        bolt_round_sheet(unknown.tag, "whole", now),
    )
    assert [QUESTION in words(paper) for paper in papers] == [True, True, True]
