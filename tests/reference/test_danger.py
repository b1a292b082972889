"""The third figure: where a part that is past its limit can no longer be ridden; what each reading must say, written down first."""

from pathlib import Path

import pytest

from pinchbolt.engines.wear import danger_of, judge_plain
from pinchbolt.errors import InputRefused
from pinchbolt.reference import Tables, load
from pinchbolt.values import Interval, Verdict

UNSAFE, LEAVES, NEXT, SOUND = Verdict.UNSAFE, Verdict.BEFORE_IT_LEAVES, Verdict.NEXT_VISIT, Verdict.SOUND

# What a good mechanic says of one reading (common practice, no source).
SAID = [
    ("lever-free-travel-disc", 30.0, SOUND),
    ("lever-free-travel-disc", 12.0, LEAVES),
    ("lever-free-travel-disc", 3.0, UNSAFE),
    ("cable-brake-lever-gap", 12.0, LEAVES),
    ("cable-brake-lever-gap", 2.0, UNSAFE),
    ("spoke-broken", 1.0, LEAVES),
    ("spoke-broken", 3.0, UNSAFE),
    ("hub-end-float", 1.5, LEAVES),
    ("hub-end-float", 4.0, UNSAFE),
    ("battery-rattle", 3.0, LEAVES),
    ("battery-rattle", 12.0, UNSAFE),
    ("chain-slack", 10.0, SOUND),
    ("chain-slack", 0.0, LEAVES),
    ("chain-slack", 25.0, LEAVES),
    ("chain-slack", 40.0, UNSAFE),
    ("runout-lateral-rim-brake", 1.1, Verdict.WATCH),
    ("runout-lateral-rim-brake", 2.5, NEXT),
]


@pytest.mark.parametrize(("limit", "shown", "verdict"), SAID)
def test_a_reading_says_what_a_good_mechanic_would(
    trade: Tables, limit: str, shown: float, verdict: Verdict
) -> None:
    """Past the limit by a little and past it by much are two things."""
    assert judge_plain(trade.limits[limit], Interval(shown, shown))[0] is verdict


@pytest.mark.parametrize("limit", ["disc-pad-lining-resin", "disc-pad-lining-sintered"])
def test_a_bare_pad_is_unsafe_and_a_thin_one_is_not(trade: Tables, limit: str) -> None:
    """Metal on the rotor at 0.0 mm; 0.4 mm is past its limit and stops the bike."""
    row = trade.limits[limit]
    bare = danger_of(row, Interval(0.0, 0.0))
    assert (
        bare is not None
        and "from 0.2 mm on nobody rides it" in bare.words
        and bare.source == row.danger_source
    )
    assert danger_of(row, Interval(0.4, 0.4)) is None


def test_a_marking_moves_the_third_figure_with_the_limit(trade: Tables) -> None:
    """A rotor marked 1.6 mm least is unsafe 0.2 mm under that, as one of 1.5 is at 1.3."""
    row = trade.limits["rotor-thickness-1.8"]
    assert danger_of(row, Interval(1.35, 1.35)) is None
    assert danger_of(row, Interval(1.35, 1.35), 1.6) is not None


def test_an_interval_is_unsafe_only_where_it_is_likelier_than_not(trade: Tables) -> None:
    """A gauge that says "under 10" has not said 3."""
    row = trade.limits["cable-brake-lever-gap"]
    assert danger_of(row, Interval(3.0, 10.0)) is None
    assert danger_of(row, Interval(1.0, 6.0)) is not None


def test_every_third_figure_says_how_it_is_known_and_lies_past_its_limit(trade: Tables) -> None:
    """The loader refuses others; this counts that some are there."""
    rows = [row for row in trade.limits.values() if row.danger_source]
    assert len(rows) >= 10
    for row in rows:
        figures = (row.danger, row.danger_low, row.danger_high)
        assert any(one is not None for one in figures) and row.at_limit is not UNSAFE, row.id


@pytest.mark.parametrize(
    ("lines", "wrong"),
    [
        ('danger = 0.6\ndanger_source = "ours"', "not under danger, which is 2.8 mm"),
        ("danger = 0.1", 'field "danger_source" is empty'),
        ('danger_high = 3\ndanger_source = "ours"', 'field "danger_high" is given'),
        ('danger_source = "ours"', 'field "danger_source" is given'),
    ],
    ids=["short of the limit", "no source", "of a band", "no figure"],
)
def test_a_third_figure_that_cannot_be_is_refused(tmp_path: Path, lines: str, wrong: str) -> None:
    """In the workshop's own table as in ours: disc-pad-total has limit 2.5 and no third figure."""
    text = f'[[limit]]\nid = "disc-pad-total"\n{lines}\n'.replace("0.6", "2.8")
    (tmp_path / "limits.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputRefused) as refused:
        load(tmp_path)
    assert wrong in refused.value.sentence or any(wrong in one for one in refused.value.errors.values())
