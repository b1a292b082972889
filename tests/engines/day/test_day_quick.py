"""The compiled days are the engine's: the same person, stand and minute, to the last digit."""

import numpy as np
import pytest

from pinchbolt.engines.day import _day_loops, _runs
from pinchbolt.engines.day._ahead import ShopAhead
from pinchbolt.engines.day.day_types import DAY, Hands, JobAhead, Wait

FIELDS = ("person", "stand", "start", "end", "ready", "came")


def shop(seed: int) -> tuple[ShopAhead, JobAhead, list[float | None]]:
    """A drawn shop: people with days off and work that they do not do, jobs begun, waiting, cured over night."""
    rng = np.random.default_rng([seed, 21])
    people = []
    for n in range(int(rng.integers(1, 4))):
        week = [
            None if day % 7 == 6 or rng.uniform() < 0.1 else (540.0, float(rng.choice([780, 1050])))
            for day in range(20)
        ]
        people.append(Hands(f"p{n}", week, frozenset({"wheel"} if rng.uniform() < 0.4 and n else ())))
    jobs = []
    for n in range(int(rng.integers(1, 14))):
        usual = float(rng.uniform(15, 300))
        waits = (Wait("part", "north", 1),) if rng.uniform() < 0.3 else ()
        jobs.append(
            JobAhead(
                f"j{n}", (0.7 * usual, usual, 1.6 * usual), "wheel", None if rng.uniform() < 0.2 else float(rng.uniform(1, 9)) * DAY,
                20.0 if rng.uniform() < 0.2 else None, "p0", waits, int(rng.integers(0, 2)),
                needs=frozenset({"wheel"} if rng.uniform() < 0.3 else ()),
            )
        )  # fmt: skip
    new = jobs.pop()
    return ShopAhead(float(rng.uniform(540, 1040)), tuple(people), int(rng.integers(1, 4)), tuple(jobs), seed=seed, runs=16), new, [
        2.5 * DAY, 5.5 * DAY, None,
    ]  # fmt: skip


@pytest.mark.parametrize("until", [15.0 * DAY, np.inf])
@pytest.mark.parametrize("seed", range(12))
def test_the_compiled_days_are_the_engines_own(
    seed: int, until: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three days for the new job, and the days without it; to the end of the hours laid out, when asked so."""
    ahead, new, promises = shop(seed)
    monkeypatch.setattr(_day_loops, "LOADED", loaded := [])
    monkeypatch.setattr(_runs, "LOADED", loaded)
    plain = _runs.play(ahead, new, promises, until)
    _day_loops.make_quick()
    assert loaded, "numba is not here"
    quick = _runs.play(ahead, new, promises, until)
    for name in FIELDS:
        assert np.array_equal(getattr(plain, name), getattr(quick, name)), name
    assert (plain.person >= 0).any()
