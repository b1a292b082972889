"""What a torque question must not pass over: two parts that disagree, two markings, a share typed for percent, units as written."""

import json

import pytest

from tests.cli.conftest import Run
from tests.story import Story


def test_a_floor_over_the_cap_is_a_conflict_of_two_parts_and_answered_with_no(run: Run) -> None:
    """A stem that asks for 6 at least on a bar that bears 5: both are named, nothing is swapped, the answer is no."""
    ran = run(
        "torque", "set", "--floor", "6", "--cap", "5", "--tool", "2", "14", "--deviation", "6", "--json"
    )
    told = json.loads(ran.out)
    assert ran.code == 3
    assert told["settable"] is False
    assert "at least 6 N·m" in told["because"] and "at most 5 N·m" in told["because"]
    assert "swap" not in told["because"].lower()
    assert set(told["errors"]) == {"floor", "cap"}


def test_the_conflict_is_said_in_the_unit_that_was_asked_in(run: Run) -> None:
    """50 lbf·in at least and 40 at most."""
    ran = run(
        "torque", "set", "--floor", "50", "--cap", "40", "--tool", "10", "100", "--deviation", "6", "--unit", "in-lb"
    )  # fmt: skip
    assert ran.code == 3 and "at least 50 lbf·in" in ran.err and "at most 40 lbf·in" in ran.err


@pytest.mark.parametrize("order", [("5", "6"), ("6", "5")])
def test_of_two_markings_of_one_part_the_smaller_counts_and_both_are_said(
    arrived: Story, run: Run, order: tuple[str, str]
) -> None:
    """Whichever is typed first."""
    words = [word for value in order for word in ("--marking", f"stem={value}")]
    told = run("torque", "joint", "stem-face-4", *words, "--json").json
    assert told["window"]["cap"] == 5.0
    assert any(
        "markings of 5 and 6 N·m: the smallest counts" in words for words in told["window"]["warnings"]
    )
    marked = [reason["words"] for reason in told["window"]["reasons"]]
    assert any("marked 5 N·m" in words for words in marked) and any(
        "marked 6 N·m" in words for words in marked
    )


@pytest.mark.parametrize("typed", ["0.06", "0.04", "0.15"])
def test_a_share_typed_for_a_percentage_is_asked_about(run: Run, typed: str) -> None:
    """0.06 means 6 % to whoever types it: no workshop tool is 0.06 % out."""
    ran = run("torque", "set", "--floor", "4", "--cap", "5", "--tool", "2", "14", "--deviation", typed)
    assert ran.code == 2 and "Write 6 for a tool that is 6 % out" in ran.err


@pytest.mark.parametrize("unit", ["in-lb", "inlb", "in.lb", "lbf-in", "lbf·in", "in lbf", "IN-LBS"])
def test_inch_pounds_are_known_however_the_wrench_writes_them(run: Run, unit: str) -> None:
    """All the same scale; 44 lbf·in lies in 40 to 48 at 6 % (42.4 to 45.12)."""
    told = run(
        "torque", "set", "--floor", "40", "--cap", "48", "--tool", "10", "100", "--step", "1", "--deviation", "6",
        "--unit", unit, "--json",
    ).json  # fmt: skip
    assert told["on_scale"] == {"unit": "lbf·in", "lowest": 43.0, "highest": 45.0, "set": 44.0}


@pytest.mark.parametrize("unit", ["ft-lb", "ftlb", "lbf-ft"])
def test_foot_pounds_are_known_however_the_wrench_writes_them(run: Run, unit: str) -> None:
    """25 to 35 lbf·ft at 4 %: 26 to 33.6."""
    told = run(
        "torque", "set", "--floor", "25", "--cap", "35", "--tool", "10", "80", "--step", "1", "--deviation", "4",
        "--unit", unit, "--json",
    ).json  # fmt: skip
    assert (told["on_scale"]["lowest"], told["on_scale"]["highest"]) == (26.0, 33.0)


@pytest.mark.parametrize("tool", [("--tool", "10", "120"), ("--preset", "45")])
def test_kilogram_centimetres_need_no_step(run: Run, tool: tuple[str, ...]) -> None:
    """40 to 50 kgf·cm at 6 %: 42.4 to 47."""
    told = run(
        "torque", "set", "--floor", "40", "--cap", "50", *tool, "--deviation", "6", "--unit", "kgf-cm", "--json"
    ).json  # fmt: skip
    assert told["on_scale"]["set"] == 45.0


def test_a_mark_exactly_at_a_fifth_is_not_lost_to_binary_dust(run: Run) -> None:
    """A wrench to 50 lbf·ft is good from 10: 8 x 1.02 = 8.16 to 10.31 x 0.98 = 10.1 leaves the mark at 10."""
    told = run(
        "torque", "set", "--floor", "8", "--cap", "10.31", "--tool", "5", "50", "--deviation", "2", "--step", "0.5",
        "--unit", "lbf-ft", "--adapter", "37.5", "--arm", "330", "--angle", "90", "--json",
    ).json  # fmt: skip
    assert told["on_scale"]["set"] == 10.0


def test_a_mark_exactly_at_the_limit_is_safe_on_every_scale(run: Run) -> None:
    """50 lbf·in at 6 % is 47 at most, and a preset of 47 is exactly that."""
    told = run(
        "torque", "set", "--floor", "40", "--cap", "50", "--preset", "47", "--deviation", "6", "--unit", "in-lb", "--json"
    ).json  # fmt: skip
    assert told["on_scale"]["set"] == 47.0


def test_one_value_through_an_adapter_is_refused_in_words_of_the_question(run: Run) -> None:
    """9 and nothing else, by an adapter at 45 degrees: no tool can, and no table is blamed."""
    ran = run(
        "torque", "set", "--floor", "9", "--cap", "9", "--tool", "10", "60", "--deviation", "6", "--adapter", "60",
        "--arm", "250", "--angle", "45", "--json",
    )  # fmt: skip
    assert ran.code == 3
    told = json.loads(ran.out)
    assert told["settable"] is False and "row" not in told["because"]


def test_a_range_beside_preset_values_is_said_to_be_passed_over(run: Run) -> None:
    """A preset tool has its own values and no others."""
    told = run(
        "torque", "set", "--floor", "4", "--cap", "6", "--tool", "2", "14", "--preset", "5", "--deviation", "6", "--json"
    ).json  # fmt: skip
    assert any("has its own values" in words for words in told["warnings"])


def test_an_angle_out_of_sense_is_refused(run: Run) -> None:
    """1e308 degrees is a slip of the keys."""
    ran = run(
        "torque", "set", "--floor", "4", "--cap", "6", "--tool", "2", "14", "--deviation", "6", "--adapter", "20",
        "--arm", "200", "--angle", "1e308",
    )  # fmt: skip
    assert ran.code == 2 and "-360 to 360" in ran.err
