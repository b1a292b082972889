"""Every limit of the tables, at every verdict that it can give: to work, to a refusal shown in its place, or to words."""

from dataclasses import replace

import pytest

from pinchbolt.engines.wear import judge_plain
from pinchbolt.reference import tables
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.values import Interval, Verdict

LIMITS = tables().limits


def answers(row: LimitRow) -> list[str | float]:
    """Readings over all that a row can show: both words of a flag, or figures from new to far past the third figure."""
    if row.direction == "flag":
        return ["yes", "no"]
    figures = (
        "new",
        "warn",
        "limit",
        "danger",
        "warn_low",
        "warn_high",
        "limit_low",
        "limit_high",
        "danger_low",
        "danger_high",
    )
    marks = [float(one) for name in figures if isinstance(one := getattr(row, name), int | float)]
    low, high = min(marks), max(marks)
    reach = max(high - low, abs(high), 1.0)
    steps = [low - reach + (3 * reach) * n / 400 for n in range(401)]
    return sorted({*marks, *steps})


def verdicts(row: LimitRow) -> set[Verdict]:
    """The verdicts that a row can give, asked of the engine and not of the row."""
    given = set()
    for one in answers(row):
        shown = one if isinstance(one, str) else Interval(one, one)
        given.add(judge_plain(row, shown)[0])
    return given


@pytest.mark.parametrize("limit", LIMITS)
def test_none_leads_nowhere(limit: str) -> None:
    """From its own verdict on a row of the proposals speaks; what is unsafe has work or a refusal."""
    row = LIMITS[limit]
    given = verdicts(row)
    assert len(given) >= 2, "a row that can give one verdict alone is none"
    for verdict in given:
        rows = [
            one
            for one in tables().proposals.values()
            if limit in one.limits and one.past is None and verdict.rank >= Verdict(one.from_verdict).rank
        ]
        if verdict.rank >= row.at_limit.rank and verdict is not Verdict.SOUND:
            assert rows, verdict
        if verdict is Verdict.UNSAFE:
            assert any(one.operation or one.refusal for one in rows), verdict
        for one in rows:
            assert one.operation in tables().operations or one.refusal in tables().refusals or one.words


def test_a_row_with_a_third_figure_reaches_it() -> None:
    """The readings above go far enough: every row that can be unsafe is found unsafe."""
    for row in LIMITS.values():
        third = (row.danger, row.danger_low, row.danger_high) != (None,) * 3
        if third or row.at_limit is Verdict.UNSAFE:
            assert Verdict.UNSAFE in verdicts(row), row.id


def test_a_limit_that_nobody_thought_of_would_fail() -> None:
    """The proof of the proof: a row under another name has no proposals."""
    row = replace(LIMITS["axle-closed"], id="axle-never-heard-of")
    assert not [one for one in tables().proposals.values() if row.id in one.limits]
