"""The questions that a mechanic asks of a part in his hand, against answers that were written down before."""

import tomllib
from datetime import date
from pathlib import Path

import pytest

from pinchbolt.values import Verdict
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.questions.part_by_hand import PartByHandRequest, part_by_hand

QUESTIONS = tomllib.loads(Path(__file__).with_name("mechanics-questions.toml").read_text("utf-8"))["question"]
TODAY = date(2030, 5, 1)
# Half a unit in the last digit that the bench shows, so that a range that ends at a limit holds the limit itself.
ROUNDED = 0.005


def asked(question):
    """The question as the command line puts it."""
    return PartByHandRequest(
        limit=question["row"],
        speeds=question.get("speeds"),
        km=question.get("km"),
        value=question.get("value"),
        low=question.get("low"),
        high=question.get("high"),
        instrument=question.get("instrument", ""),
        marked_limit=question.get("marked"),
    )


def outside(question):
    """What of the answer lies outside of what a good mechanic would say; empty where nothing does."""
    found = part_by_hand(asked(question), TODAY).forecast
    wear, road = found.present.median, max(found.to_limit.median, 0.0)
    faults = []
    if found.verdict.value not in question["verdicts"]:
        faults.append(f"verdict {found.verdict.value}, not {' or '.join(question['verdicts'])}")
    for name, value, (low, high) in (("wear", wear, question["wear"]), ("road", road, question["road"])):
        if not low - ROUNDED <= value <= high + ROUNDED:
            faults.append(f"{name} {value:.4g}, not {low:g} to {high:g}")
    return faults


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda one: one["id"])
def test_the_answer_is_one_that_a_good_mechanic_would_give(question):
    """Verdict, wear and road lie in the ranges that were written down before; the reason stands beside each."""
    assert outside(question) == [], question["why"]


def test_every_part_is_asked_at_every_stage_and_distance():
    """Sixty questions and more: each kind of part far below, at or warned, and past; few, usual, many km and none."""
    assert len(QUESTIONS) >= 60
    assert len({one["id"] for one in QUESTIONS}) == len(QUESTIONS)
    parts = {one["part"] for one in QUESTIONS}
    assert parts == {
        "chain", "cassette", "chainring", "rotor", "disc pad", "rim", "tyre", "brake fluid", "suspension fork",
    }  # fmt: skip
    for part in parts:
        mine = [one for one in QUESTIONS if one["part"] == part]
        stands, far = {one["stands"] for one in mine}, {one["distance"] for one in mine}
        assert "far below" in stands, part
        assert stands & {"at", "warned"}, part
        assert stands & {"past", "far past"}, part
        # Fluid and fork are their own clock: how far somebody rode is not asked.
        assert far >= ({"few", "usual", "many"} if part in ("brake fluid", "suspension fork") else
                       {"few", "usual", "many", "none"}), part  # fmt: skip


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda one: one["id"])
def test_what_is_expected_can_be_true(question):
    """The written answers contradict neither the row nor one another: past its limit is nothing left, ends are in order."""
    row = tables().limits[question["row"]]
    assert set(question["verdicts"]) <= {verdict.value for verdict in Verdict}
    assert all(low <= high for low, high in (question["wear"], question["road"]))
    if question["stands"] in ("past", "far past"):
        assert question["road"] == [0, 0]
        # Past its third figure a part is no longer ridden, whatever the row says of its limit.
        assert {row.at_limit.value, Verdict.UNSAFE.value} & set(question["verdicts"])
        assert Verdict.SOUND.value not in question["verdicts"]
    if question["stands"] == "warned" and row.safety:
        assert Verdict.SOUND.value not in question["verdicts"]
    assert len(question["why"]) > 8
