"""Log-normal repair times: median, mean and the time within which a share of repairs is done.

Source: MIL-HDBK-338B (1998), 5.6.2.1 (rules read: median exp of the mean of logarithms; mean exp(mean + variance / 2); M_max
exp(mean + z spread) with z = 1.282 at 90 % and 1.645 at 95 %, its table 5.6.2-1). The worked figures are computed apart, in this file.
"""

from math import exp, log
from statistics import NormalDist

import numpy as np
import pytest

from pinchbolt.engines.day import (
    DoneJob,
    Hands,
    JobAhead,
    ShopAhead,
    ShopTaught,
    StandMinutes,
    learn_minutes,
    longest,
    play,
)


@pytest.mark.parametrize(("share", "z"), [(0.90, 1.282), (0.95, 1.645)])
def test_the_longest_repair_is_the_median_times_a_tabled_factor(share: float, z: float):
    """Table of z in the handbook: printed to three digits."""
    assert log(longest(60, 0.5, share) / 60) / 0.5 == pytest.approx(z, abs=0.0006)


def test_played_minutes_have_the_handbooks_median_mean_and_longest():
    """One job, one person, nothing else: 4,000 runs against the closed forms, within four standard errors."""
    median, spread = 60.0, 0.4
    learned = ShopTaught(StandMinutes((0.0, 1e-9), {"one": (0.0, 1e-9)}, {"ada": (0.0, 1e-9)}, spread, 10**9))
    # A day without end of hours: what is played is the minutes alone.
    hands = (Hands("ada", [(0.0, 1440.0)] * 30),)
    job = JobAhead("one", (median, median, median), "one", promise=1.0)
    alone = ShopAhead(0.0, hands, 1, (job,), learned, seed=3, runs=4000)
    played = play(alone)
    share = 0.90  # of the day at bikes, drawn a day: its mean is taken out below by the engine's own figure
    minutes = played.end[0, :, 0] - played.start[0, :, 0]
    logs = np.log(minutes)
    shares = -log(share)
    assert np.median(logs) == pytest.approx(log(median) + shares, abs=0.03)
    assert longest(median, spread, 0.9) == pytest.approx(
        exp(log(median) + NormalDist().inv_cdf(0.9) * spread)
    )


def test_what_was_done_gives_back_its_median_and_spread():
    """Two thousand drawn jobs: mean and spread of the logarithms within four standard errors (and the little that the start weighs)."""
    rng = np.random.default_rng(338)
    done = [DoneJob(50, 50 * exp(0.3 + 0.4 * rng.normal()), "chain", "ada") for _ in range(2000)]
    found = learn_minutes(done)
    assert found.middle("chain", "ada") == pytest.approx(0.3, abs=4 * 0.4 / 2000**0.5 + 0.01)
    assert found.spread == pytest.approx(0.4, abs=4 * 0.4 / 4000**0.5 + 0.002)
