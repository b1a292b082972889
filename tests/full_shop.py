"""A shop that is full, as the engine answers: no day at the shop's odds, and one in two weeks if nothing else is promised sooner."""

from dataclasses import replace

import pytest

from pinchbolt.engines.day import DAY, Odds, PromiseOdds, promise_odds
from pinchbolt.workshop.day import days_told

WORDS = (
    "Up to Fri 8 Jan no day reaches 8 in 10. Take no more in, or offer Thu 10 Dec 17:00: 9 in 10. "
    "That holds if nothing else is promised sooner."
)


def fill(monkeypatch: pytest.MonkeyPatch) -> None:
    """From now on the engine finds it so."""

    def full(*asked: object) -> PromiseOdds:
        later = Odds(15 * DAY + 1020.0, 0.91)
        return replace(promise_odds(*asked), best=None, is_full=True, if_none_sooner=later)  # type: ignore[arg-type]

    monkeypatch.setattr(days_told, "promise_odds", full)
