"""The estimate on paper says what the screen says."""

from dataclasses import replace
from datetime import timedelta

import pytest

from pinchbolt.paper import render
from pinchbolt.values import Verdict
from pinchbolt.values.money import money_text
from pinchbolt.workshop.stays.at_the_counter import owner_sentence
from pinchbolt.workshop.stays.note_finding import findings_of
from pinchbolt.workshop.stays.price import estimate
from tests.paper.reading import words
from tests.story import NOW, TODAY, Story


def test_every_figure_of_the_estimate_is_on_paper(asked_for: Story) -> None:
    """Each line with labour, parts and total; the sums; tax; what leaving it would cost."""
    seen, paper = estimate(asked_for.record), words(render("estimate", asked_for.job, NOW))
    assert len(seen.lines) == 3
    for line in seen.lines:
        figures = f"{line.money.labour:.2f} £{line.money.parts_total:.2f} £{line.money.total:.2f}"
        assert figures in paper and line.words in paper
    for amount in (seen.priced.total, seen.priced.high_total, seen.priced.tax, seen.priced.total_if_left):
        assert money_text(amount, "GBP") in paper


def test_findings_have_the_words_verdicts_and_reasons_of_the_screen(asked_for: Story) -> None:
    """Sentence for sentence, with who read it."""
    paper = words(render("estimate", asked_for.job, NOW))
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
    monkeypatch.setattr("pinchbolt.paper.estimate.estimate_paper.findings_of", lambda _: (due,))
    assert "have it done by 4 January 2027" in owner_sentence(due)
    assert f"{chain.words} Have it done by 4 January 2027." in words(render("estimate", asked_for.job, NOW))


def test_what_was_not_read_is_said(asked_for: Story) -> None:
    """A part that nobody looked at is named, and one half read says how much of it was."""
    paper = words(render("estimate", asked_for.job, NOW))
    assert "Not read, or not wholly read, at this visit:" in paper
    assert "bottom bracket;" in paper and "readings taken)" in paper


def test_the_owners_words_stand_as_said_and_can_not_change_the_sheet(asked_for: Story) -> None:
    """What looks like a command of the typesetter prints as it was said."""
    job = asked_for.record
    job.owner_words = '#eval("1+1") *bold* $x$ \\ <tag> "quoted"'
    job.save(update_fields=["owner_words"])
    assert '#eval("1+1") *bold* $x$ \\ <tag> "quoted"' in words(render("estimate", asked_for.job, NOW))


def test_cautions_bite_by_what_is_on_the_bike(asked_for: Story) -> None:
    """Carbon and brakes on this bike, no battery; the marking wins on every page."""
    paper = words(render("estimate", asked_for.job, NOW))
    assert "Carbon: look, tap," in paper and "Brakes: no oil" in paper and "E-bike:" not in paper
    assert paper.count("The marking on a part and its maker's instructions win over every figure here.") >= 2
