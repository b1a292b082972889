"""A worse last reading never tells a better story, whatever the row and what came before: 200 histories of every row."""

import numpy as np
import pytest

from tests.engines.wear.rows import law
from tests.fuzz.wear_orders import SWEEP, faults, figures, history, measured, told_faults

HISTORIES, TOLD = 200, 15  # a row; `make fuzz-wear` runs 20,000
FEWER = SWEEP[::6]


@pytest.mark.parametrize("row", [of.id for of in measured()])
def test_a_worse_last_reading_never_tells_a_better_story(row):
    """Random histories with slips, unknown distances and other starts: chances to 1e-9 at every distance, swept once."""
    assert faults(law(row), HISTORIES, 7) == []


@pytest.mark.parametrize("row", [of.id for of in measured()])
def test_what_is_told_is_in_the_same_order(row):
    """Of fifteen histories as they are told: chance to 1e-9, road to 1e-6 of a life; the sweep says the same to 1e-4."""
    assert told_faults(law(row), TOLD, 8, FEWER) == []


def test_without_the_guard_it_would(monkeypatch):
    """The same sweep with only the node at the reading itself: chances fall and roads grow, so the sweep can see it."""
    from pinchbolt.engines.wear import _batch, _guard
    from tests.fuzz import wear_orders

    alone = lambda part, anchor, z: (np.array([z]), np.array([-np.inf]), 1.0)  # noqa: E731
    monkeypatch.setattr(_guard, "value_nodes", alone)
    monkeypatch.setattr(wear_orders, "compiled", lambda: (_batch.foretell, None))
    g = np.random.default_rng(3)
    falls = []
    for _ in range(6):
        varied, looks, start = history(law("chain-elongation-9to10"), g)
        falls.append((-np.diff(figures(varied, looks, start, SWEEP[::6]), axis=0)).max())
    assert max(falls) > 0.01
