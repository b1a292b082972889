"""How often a page asks the records: a bound for every page, and no more for a bike with a long history or a full board."""

from contextlib import suppress
from datetime import timedelta

import pytest
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from pinchbolt.records.models import Event, Instrument, Job, Part, Tool
from pinchbolt.workshop.acts.one_look import kept_until_written, once_a_look, one_look
from pinchbolt.workshop.acts.state import jobs_here
from pinchbolt.workshop.stays.note_finding import FindingRequest, note_finding
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.tools.check_instrument import InstrumentCheckRequest, check_instrument
from tests.bench.conftest import Cast
from tests.bench.pages import MORE, PAGES, filled
from tests.story import NOW, Story, answered, checked_in, worked

MOST = 65
"""Questions a page. At a millisecond each, as a database in the next room has it, that is 65 ms."""


def asked(page: str, cast: Cast, tablet: Client) -> int:
    """How many questions a page asks, once everything that is read once a start was read."""
    address = filled(page, cast)
    tablet.get(address, follow=True)
    with CaptureQueriesContext(connection) as counted:
        tablet.get(address, follow=True)
    return len(counted)


@pytest.mark.django_db
@pytest.mark.parametrize("page", [*PAGES, *MORE])
def test_no_page_asks_the_records_without_end(on_the_sheet: Cast, tablet: Client, page: str) -> None:
    """The bike page asked 249 times, one question a part; a bound holds for every page that there is."""
    assert asked(page, on_the_sheet, tablet) <= MOST


@pytest.mark.django_db
def test_history_adds_no_question(on_the_sheet: Cast, tablet: Client) -> None:
    """Findings on every part, and every gauge checked a year long: the bike page and the tool board ask as often as before."""
    cast, story = on_the_sheet, on_the_sheet.story
    pages = ("bike/<str:tag>/", "tools/", "bike/<str:tag>/build/", "bike/<str:tag>/bolt-round/")
    first, *others = Part.objects.filter(fittings__bike__tag=cast.tag).distinct()

    def find(part: Part) -> None:
        found = FindingRequest(story.job, "creaks a little", "keep an eye on it", part=part.pk)
        note_finding(found, by=story.first, key=story.key(), now=NOW)

    # What was said of findings is asked for where there is one.
    find(first)
    before = {page: asked(page, cast, tablet) for page in pages}
    for part in others:
        find(part)
    for instrument in Instrument.objects.all():
        for month in range(3):
            day = NOW - timedelta(days=30 * (3 - month))
            told = InstrumentCheckRequest(instrument.pk, "a new one", 0.75, value=0.75, day=day.date())
            check_instrument(told, by=story.first, key=story.key(), now=NOW)
    after = {page: asked(page, cast, tablet) for page in pages}
    assert after == before


def to_be_worked() -> Story:
    """A bike for a safety check that its owner agreed."""
    story = checked_in()
    propose(ProposeRequest(story.job, "safety-check"), by=story.first, key=story.key(), now=NOW)
    ask_owner(PriceRequest(story.job), by=story.first, key=story.key(), now=NOW)
    return answered(story)


@pytest.mark.django_db
def test_a_fuller_shop_asks_no_more(on_the_sheet: Cast, tablet: Client) -> None:
    """The shop day asked three times more for each bike on which a line had been done: 127 times with fifty bikes."""
    worked(to_be_worked(), stand=1)
    before = asked("", on_the_sheet, tablet)
    for stand in (2, 3):
        worked(to_be_worked(), stand=stand)
    assert jobs_here().count() == 4
    assert asked("", on_the_sheet, tablet) == before <= 22


def counted(of: type[Tool] | None = None) -> "once_a_look[[str], int]":
    """A question that says how often it was asked before; about the tools, where it is said so."""
    count = iter(range(100))

    @once_a_look
    def question(word: str) -> int:
        if of is not None:
            of.objects.count()
        return next(count)

    return question


def test_what_is_looked_up_once_is_kept_for_one_look_alone() -> None:
    """Within a look the first answer stands; after it the question is asked again."""
    question = counted()
    assert (question("a"), question("a")) == (0, 1)
    with one_look():
        assert (question("a"), question("a"), question("b")) == (2, 2, 3)
        question.many({("c",): 77})
        assert question("c") == 77
    assert question("a") == 4


@pytest.mark.django_db
def test_an_act_reads_what_it_has_written() -> None:
    """Every way of writing lets go of what was looked up before: a new row, a change, many at once, what is taken off, a step back."""
    question = counted(Tool)

    def step_back() -> None:
        with suppress(ValueError), transaction.atomic():
            raise ValueError

    writes = (
        lambda: Tool.objects.create(table_id="hex", name="a key"),
        lambda: Tool.objects.update(name="another"),
        lambda: Tool.objects.bulk_create([Tool(table_id="hex", name="b")]),
        lambda: Tool.objects.all().delete(),
        step_back,
    )
    with kept_until_written():
        assert (question("a"), question("a")) == (0, 0)
        assert Tool.objects.count() == 0
        assert question("a") == 0
        for number, write in enumerate(writes, 1):
            write()
            assert (question("a"), question("a")) == (number, number)
    assert question("a") == len(writes) + 1


@pytest.mark.django_db
def test_a_look_inside_an_act_begins_anew_with_a_write_too() -> None:
    """A sheet that an act prints keeps nothing past a write either."""
    question = counted(Tool)
    with kept_until_written(), one_look():
        assert (question("a"), question("a")) == (0, 0)
        Tool.objects.create(table_id="hex", name="a key")
        assert question("a") == 1


@pytest.mark.django_db
def test_a_look_around_an_act_begins_anew_with_a_write_too() -> None:
    """An act asks for itself what was looked up before it; after a write of it, or of an act inside it, everybody asks again."""
    question = counted(Tool)
    with one_look():
        assert (question("a"), question("a")) == (0, 0)
        with kept_until_written():
            assert question("a") == 1
            with kept_until_written():
                assert question("a") == 1
                Tool.objects.create(table_id="hex", name="a key")
            assert question("a") == 2
        assert question("a") == 3


@once_a_look
def of_late(job: Job) -> bool:
    """Two questions about acts in one: of one kind at the stay, and of any kind at the bike."""
    of_bikes = Event.objects.filter(fingerprint="of late").values("bike")
    return Job.objects.filter(pk=job.pk, events__kind="checked in", bike__in=of_bikes).exists()


@pytest.mark.django_db
def test_an_answer_about_two_sorts_of_acts_goes_with_either() -> None:
    """The kind that a question names is that of one of them: an act of another kind may answer the other."""
    there = checked_in()
    with kept_until_written():
        assert not of_late(there.record)
        bike, key = there.record.bike, "a-mark-of-ours"
        Event.objects.create(
            at=NOW, by_id=there.first, kind="found", key=key, fingerprint="of late", bike=bike
        )
        assert of_late(there.record)
