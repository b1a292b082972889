"""The estimate on paper says what the screen says."""

import re
from dataclasses import replace
from datetime import timedelta
from io import BytesIO

import pytest
from pypdf import PdfReader

from pinchbolt.paper import render
from pinchbolt.values import Verdict
from pinchbolt.values.money import money_text
from pinchbolt.workshop.stays.at_the_counter import owner_sentence
from pinchbolt.workshop.stays.note_finding import findings_of
from pinchbolt.workshop.stays.price import estimate
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.suggest import suggestions
from tests import story as stories
from tests.paper.reading import words
from tests.story import NOW, TODAY, Story


def test_every_figure_of_the_estimate_is_on_paper(asked_for: Story) -> None:
    """The sums first; each line with its price; shared work taken off; tax; the number of the asking and until when it holds."""
    seen, paper = estimate(asked_for.record), words(render("estimate", asked_for.job, NOW))
    assert len(seen.lines) == 3
    for line in seen.lines:
        assert money_text(line.money.price, "GBP") in paper and line.words in paper
    sums = (seen.before_it_leaves.total, seen.can_wait.total, seen.priced.total, seen.priced.high_total)
    for amount in (*sums, -seen.priced.saved, seen.priced.tax):
        assert money_text(amount, "GBP") in paper
    assert paper.index("before it leaves") < paper.index("can be done now") < paper.index("all of it")
    assert f"number {asked_for.job}-1, asked Wed 25 Nov 2026, 10:00 by Ines Holloway" in paper
    assert "Prices hold until Wed 9 Dec 2026" in paper


def test_findings_have_the_words_verdicts_and_reasons_of_the_screen(asked_for: Story) -> None:
    """Sentence for sentence, with who read it: on the workings, which are printed on request."""
    paper = words(render("workings", asked_for.job, NOW))
    worse = [seen for seen in findings_of(asked_for.record) if seen.rank > 0]
    assert len(worse) == 4
    for seen in worse:
        assert " ".join(seen.words.split()) in paper
        assert seen.verdict in paper
        for reason in seen.reasons:
            assert " ".join(reason.words.split()) in paper
        for doubt in seen.doubts:
            assert " ".join(doubt.split()) in paper
    assert "Read by Ines Holloway, Wed 25 Nov 2026." in paper


def test_the_day_by_which_it_is_wanted_is_the_one_that_the_owner_hears(
    asked_for: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A chain for the next visit: 'have it done by', with the day of the screen and the counter."""
    rows = findings_of(asked_for.record)
    chain = next(one for one in rows if one.forecast is not None and one.limit.startswith("chain"))
    assert chain.forecast is not None
    first = TODAY + timedelta(days=40)
    days = replace(chain.forecast.day_at_limit, wide=(first, None))
    due = replace(
        chain,
        verdict=Verdict.NEXT_VISIT.value,
        rank=Verdict.NEXT_VISIT.rank,
        forecast=replace(chain.forecast, day_at_limit=days, chance_past_limit=0.1),
    )
    monkeypatch.setattr("pinchbolt.paper.workings.workings_paper.findings_of", lambda _: (due,))
    assert "Please have it done by 4 January 2027" in owner_sentence(due)
    assert f"{chain.words} Please have it done by 4 January 2027." in words(
        render("workings", asked_for.job, NOW)
    )


def test_what_was_not_read_is_said(asked_for: Story) -> None:
    """Parts that nobody looked at are named, the first of them, and the rest counted."""
    paper = words(render("estimate", asked_for.job, NOW))
    assert "Not checked, or only in part:" in paper
    assert re.search(r"; and \d+ more\.", paper)


def test_the_owners_words_stand_as_said_and_can_not_change_the_sheet(asked_for: Story) -> None:
    """What looks like a command of the typesetter prints as it was said."""
    job = asked_for.record
    job.owner_words = '#eval("1+1") *bold* $x$ \\ <tag> "quoted"'
    job.save(update_fields=["owner_words"])
    assert '#eval("1+1") *bold* $x$ \\ <tag> "quoted"' in words(render("estimate", asked_for.job, NOW))


def test_cautions_bite_by_what_is_on_the_bike(asked_for: Story) -> None:
    """Carbon and brakes on this bike, no battery; a sheet of money says nothing of torque."""
    paper = words(render("estimate", asked_for.job, NOW))
    assert "Carbon: look, tap," in paper and "Brakes: no oil" in paper and "E-bike:" not in paper
    assert "N·m" not in paper and "The marking on a part" not in paper


@pytest.mark.django_db
def test_a_long_estimate_says_why_the_bike_may_not_leave() -> None:
    """What can wait stands in one row where lines are many; what was found unsafe is told all the same, on two pages."""
    at = stories.walked_round(stories.checked_in())
    for one in suggestions(at.record):
        asked = ProposeRequest(at.job, one.operation, one.finding)
        propose(asked, by=at.first, key=at.key(), now=NOW)
    for name in (
        "headset-adjust",
        "gears-adjust",
        "crank-bolts",
        "bar-tape-bars",
        "small-service",
        "cassette-tighten",
    ):
        propose(ProposeRequest(at.job, name), by=at.first, key=at.key(), now=NOW)
    seen, pdf = estimate(at.record), render("estimate", at.job, NOW)
    must = [line for line in seen.lines if line.rank >= 3 and line.finding_words]
    text = "".join(words(pdf).split()).replace(chr(0x200B), "")
    assert len(seen.lines) > 8 and must
    assert all("".join(line.finding_words.split()) in text for line in must)
    assert len(PdfReader(BytesIO(pdf)).pages) <= 2
