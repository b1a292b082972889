"""Two bikes of one owner in one asking: one question, one paper, one limit; each line is answered by itself, each bike leaves by itself."""

from decimal import Decimal
from html import unescape

import pytest
from django.test import Client

from pinchbolt.paper.render import render
from pinchbolt.records.models import Event, Job
from pinchbolt.values.money import money_text
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.price import estimate
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.say_limit import limit_of
from pinchbolt.workshop.stays.together import together_with
from tests.bench.conftest import Cast
from tests.bench.job_screens.conftest import key
from tests.bench.job_screens.test_came_up import go, history, page, refused
from tests.paper.reading import words
from tests.story import NOW, Story


@pytest.fixture
def other(cast: Cast) -> Story:
    """A gravel bike of the same owner, checked in besides; a chain on the one, a safety check on the other."""
    on = cast.story
    asked = CheckInRequest(owner_of=on.tag, template="gravel-1x", bike_words="winter bike")
    made = check_in(asked, by=on.first, key=on.key(), now=NOW)
    propose(ProposeRequest(on.job, "chain"), by=on.first, key=on.key(), now=NOW)
    propose(ProposeRequest(made.job, "safety-check"), by=on.first, key=on.key(), now=NOW)
    return Story(made.job, made.tag, on.first, on.second, marks=100)


def said(tablet: Client, on: Story, how: str) -> str:
    """The owner agrees to every line of a bike; the page that follows."""
    lines = {f"answer-{line.id}": "agreed" for line in estimate(on.record).lines}
    sent = {"key": key(), "how": how, **lines}
    return unescape(tablet.post(f"/job/{on.job}/estimate/answers/", sent, follow=True).content.decode())


def test_two_bikes_are_asked_about_in_one_asking(cast: Cast, tablet: Client, other: Story) -> None:
    """A limit that either bike alone keeps and both together break: the page says ask, and no answer goes round it.

    By hand: most of both = most of the one + most of the other; the limit lies one pound above the first.
    """
    on = cast.story
    assert f"ask together with {other.tag}" in page(tablet, on, "estimate")
    mine, theirs = (estimate(one.record).priced for one in (on, other))
    limit = mine.high_total + 1
    assert theirs.high_total > 1
    go(tablet, on, "ask-together", limit=f"{limit:.2f}")
    for one in (on, other):
        seen = estimate(Job.objects.get(pk=one.job))
        assert len(seen.askings) == 1 and limit_of(one.record) == limit and seen.over_limit
        assert any(
            text.startswith(f"asked together: {on.tag} and {other.tag}, £{limit:,.2f} for all")
            for text in history(one)
        )
    shown = page(tablet, on, "estimate")
    assert f">{other.tag}</a>" in shown and "Over the" in shown
    # One paper: both heads, each with its lines, a sum each, and one of both.
    whole = money_text(mine.total + theirs.total, "GBP", "")
    for one in (on, other):
        sheet = words(render("estimate", one.job, NOW))
        assert on.tag in sheet and other.tag in sheet and "all bikes together" in sheet and whole in sheet
        for line in (*estimate(on.record).lines, *estimate(other.record).lines):
            assert line.words in sheet
    # Within the limit goes as far as it goes: the first bike yes, then the second not.
    assert "1 agreed" in said(tablet, on, "within the limit agreed")
    no = said(tablet, other, "within the limit agreed")
    assert f"at most with {on.tag}, and the limit is" in no and "ask the owner" in no
    # The owner names another sum on the phone, at either bike: it is the limit of both.
    more = {"key": key(), "limit": f"{mine.high_total + theirs.high_total:.2f}"}
    tablet.post(f"/job/{other.job}/estimate/limit/", more)
    assert limit_of(Job.objects.get(pk=on.job)) == Decimal(more["limit"])
    assert "1 agreed" in said(tablet, other, "within the limit agreed")


def test_asked_apart_again_each_has_its_own_limit(cast: Cast, tablet: Client, other: Story) -> None:
    """One tap, on either bike; what was asked stays asked."""
    on = cast.story
    before = (limit_of(on.record), limit_of(other.record))
    go(tablet, on, "ask-together", limit="1")
    event = Event.objects.get(job=on.job, kind="asked together")
    tablet.post(f"/job/{on.job}/came-up/undo/", {"key": key(), "event": event.pk})
    for one, limit in zip((on, other), before, strict=True):
        job = Job.objects.get(pk=one.job)
        assert together_with(job) == () and limit_of(job) == limit and len(estimate(job).askings) == 1


def test_the_one_that_left_counts_no_longer_and_nobody_else_is_asked_about(
    cast: Cast, tablet: Client, other: Story
) -> None:
    """Called off, the other stands by itself. Where no second bike waits, the line says so."""
    on = cast.story
    go(tablet, on, "ask-together")
    assert any("we ask first" in one for one in history(on))
    assert limit_of(on.record) is None
    go(tablet, other, "call-off", reason="owner took it back at once")
    assert together_with(Job.objects.get(pk=on.job)) == ()
    assert "no other bike of theirs waits to be asked" in page(tablet, on, "came-up")
    assert "ask about" in refused(tablet, on, "ask-together", limit="10")
    assert "Fill in" not in refused(tablet, on, "ask-together", limit="-1")
