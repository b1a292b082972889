"""The handover sheet."""

import pytest

from pinchbolt.paper import render
from pinchbolt.paper.handover.handover_paper import handover_values
from pinchbolt.values.money import money_text
from pinchbolt.workshop.leaving.handover_sheet import handover_sheet
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.note_finding import findings_of
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.what_next import what_next
from tests import story as stories
from tests.paper.reading import words
from tests.story import NOW, Story
from tests.workshop.build_story import part_on, read


def test_the_front_says_what_was_done_by_whom_and_when_and_what_it_cost(gone: Story) -> None:
    """Work, money, torque, sign-off and call-back from the use case."""
    seen, paper = handover_sheet(gone.record, NOW), words(render("handover", gone.job, NOW), 0)
    assert seen.work and seen.signed is not None and seen.left is not None and seen.next_due is not None
    for done in seen.work:
        assert f"{done.words} {done.by}, Wed 25 Nov 2026, 10:00" in paper
    for line in seen.priced.to_pay.lines:
        assert money_text(line.price, "GBP") in paper
    assert (
        f"to pay, as agreed and done £{seen.priced.to_pay.tax:.2f} tax included £{seen.priced.to_pay.total:.2f}"
        in paper
    )
    assert "Bill 2026-0001." in paper
    assert "signed off Tobias Quill, Wed 25 Nov 2026, 10:00" in paper
    assert f"back by {seen.next_due.day:%a} {seen.next_due.day.day} {seen.next_due.day:%b %Y}" in paper
    assert " ".join(seen.next_due.reason.split()) in paper


def test_a_declined_safety_line_is_a_plain_warning_with_a_place_to_sign(gone: Story) -> None:
    """On the front, with what was found and what it would have cost."""
    paper = words(render("handover", gone.job, NOW), 0)
    declined = handover_sheet(gone.record, NOW).declined[0]
    assert "Declined by you, and it matters for safety" in paper
    assert (
        f"new disc pads, one brake, rear, £{declined.money.price:.2f} (by phone, Wed 25 Nov 2026, 10:00)"
        in paper
    )
    assert "name, signature and day" in paper


def test_what_to_check_at_home_stands_on_the_back(gone: Story) -> None:
    """Every line of the home check that this bike has a use for, with what to do if it fails."""
    back = words(render("handover", gone.job, NOW), 1)
    checks = handover_sheet(gone.record, NOW).home_checks
    owner_does = ["Brakes", "Wheels", "Air", "Front end", "Tyres and wheels", "Disc pads", "Chain", "Frame"]
    assert [check.words.split(":")[0] for check in checks] == owner_does
    for check in checks:
        assert " ".join(check.words.split()) in back
    assert "do not ride" in back


def test_before_the_sign_off_the_sheet_says_that_it_is_no_handover(asked_for: Story) -> None:
    """A cut tyre is open: the sheet warns, whatever stage the job is in."""
    paper = words(render("handover", asked_for.job, NOW), 0)
    assert "Not safe to ride Do not ride this bike until this is mended. Carry it or push it" in paper
    assert "signed off" not in paper.split("What was done")[0]


def test_the_not_safe_sheet_says_why(left_unsafe: Story) -> None:
    """And what the owner declined."""
    paper = words(render("not-safe", left_unsafe.job, NOW))
    assert paper.startswith(f"Not safe to ride carry it or push it {left_unsafe.tag}")
    assert (
        "rear tyre: tyre, cut through the casing" in paper
        and "new tyre or tube, one wheel, rear (by phone)" in paper
    )


@pytest.mark.django_db
def test_what_was_left_for_later_has_the_day_on_which_it_is_wanted() -> None:
    """A chain that is declined: by when, beside its price."""
    at = stories.checked_in()
    chain = part_on(at, "chain")
    read(at, chain, "chain-elongation-12to13", value=0.44, distance_km=2400.0)
    found = chain.findings.get().pk
    asked = ProposeRequest(at.job, "chain", found)
    line = propose(asked, by=at.first, key=at.key(), now=NOW).line
    ask_owner(PriceRequest(at.job), by=at.first, key=at.key(), now=NOW)
    answer(AnswerRequest(at.job, {line: False}), by=at.first, key=at.key(), now=NOW)
    wanted = what_next(findings_of(at.record)[0])
    assert wanted.day is not None
    (left,) = handover_values(at.job, NOW)["declined"]  # type: ignore[misc]
    assert left == f"new chain, £58.50: {wanted.words}"
