"""Years for the replay of the bins that nobody wrote and nobody looked at: drawn by a seed.

Bikes come by a rate of their own; what wears on them has a hidden life; at each visit it is read and its days ahead are told as a
lognormal that is right on average; read past its limit it is changed. Others walk in and ask, each part at a rate that nobody knows.
Every number here is an assumption.
"""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from scipy.special import ndtr, ndtri

from pinchbolt.values import DaySpread

FIRST = date(2027, 1, 11)
DAYS, BIKES = 300, 30
# What one reading leaves open of a life's logarithm, and how lives differ.
TOLD_SD, LIVES_APART = 0.25, 0.46
# Name, price, life in days of those that wear, walk-ins a year.
PARTS = (
    ("chain, 12 speeds", 31.0, 240.0, 9.0), ("chain, 11 speeds", 24.0, 260.0, 6.0), ("pads, resin", 11.0, 200.0, 10.0),
    ("pads, sintered", 14.0, 230.0, 5.0), ("tyre 28-622", 27.0, 330.0, 5.0), ("cassette, 12 speeds", 62.0, 700.0, 1.5),
    ("tube 622", 4.5, 0.0, 22.0), ("gear cable", 3.0, 0.0, 9.0), ("bar tape", 13.0, 0.0, 4.0), ("bottom bracket", 29.0, 0.0, 2.0),
    ("rotor 160", 24.0, 0.0, 2.0),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Told:
    """What the bins ask of a forecast: its day, the chance of being past now, and the days of five levels."""

    day: date
    chance_past_limit: float
    day_at_limit: DaySpread


Year = tuple[
    list[tuple[date, str, int, int | None]],
    list[date],
    dict[str, float],
    dict[str, list[tuple[date, date, object, int, int]]],
    dict[int, list[date]],
]


def year(seed: int) -> Year:
    """What was asked for (day, name, count, part of a known bike or None), days, prices, forecasts and visits of one year."""
    rng = np.random.default_rng([seed, 4000])
    days = [FIRST + timedelta(days=n) for n in range(DAYS)]
    asked: list[tuple[date, str, int, int | None]] = []
    ahead: dict[str, list[tuple[date, date, object, int, int]]] = {}
    came: dict[int, list[date]] = {}
    wearing = [at for at, one in enumerate(PARTS) if one[2]]
    for bike in range(BIKES):
        gaps = np.cumsum(rng.exponential(365 / rng.gamma(2.0, 1.5), 40))
        visits = [int(at) for at in gaps if at < DAYS]
        came[bike] = [days[at] for at in visits]
        for kind in rng.choice(wearing, 2, replace=False):
            _of_a_part(rng, bike, bike * 10 + int(kind), int(kind), visits, days, asked, ahead)
    for name, _, _, walk_ins in PARTS:
        rate = walk_ins * rng.gamma(4.0, 0.25) / 365
        for at in range(DAYS):
            count = int(rng.poisson(rate))
            if count:
                asked.append((days[at], name, count, None))
    return asked, days, {name: price * 0.6 for name, price, _, _ in PARTS}, ahead, came


def _of_a_part(
    rng: np.random.Generator, bike: int, part: int, kind: int, visits: list[int], days: list[date],
    asked: list[tuple[date, str, int, int | None]], ahead: dict[str, list[tuple[date, date, object, int, int]]],
) -> None:  # fmt: skip
    """One part through its bike's visits."""
    name, _, usual, _ = PARTS[kind]
    ends = float(usual * np.exp(LIVES_APART * rng.normal()) * (1 - rng.uniform()))
    said: list[tuple[int, Told]] = []
    for at in visits:
        if at >= ends:
            asked.append((days[at], name, 1, part))
            ends = at + float(usual * np.exp(LIVES_APART * rng.normal()))
        # What is told of the days that are left is out by as much as it says.
        middle = float(np.log(max(ends - at, 1.0)) + TOLD_SD * rng.normal())
        said.append((at, _told(days[at], middle)))
    # Each is said until the next one.
    ends_at = [*(days[at] for at, _ in said), date.max][1:]
    for (at, told), until in zip(said, ends_at, strict=True):
        ahead.setdefault(name, []).append((days[at], until, told, bike, part))


def _told(day: date, middle: float) -> Told:
    low, early, half, late, high = (
        day + timedelta(days=int(np.ceil(np.exp(middle + TOLD_SD * float(ndtri(p)))))) for p in (0.1, 0.25, 0.5, 0.75, 0.9)
    )  # fmt: skip
    past = float(ndtr((0.0 - middle) / TOLD_SD))
    return Told(day, past, DaySpread(half, (early, late), (low, high)))
