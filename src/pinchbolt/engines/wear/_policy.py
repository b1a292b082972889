"""When chains are best changed: cost per 1,000 km of each way of doing it, by renewal and reward."""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import exp, isfinite

import numpy as np

from pinchbolt.engines.wear._changing import Looks, looked_at
from pinchbolt.engines.wear._money import (
    TIMELY_AT,
    TIMELY_WEIGHT,
    WORN_OUT,
    damage_power,
    penny,
    refuse_prices,
    summed,
)
from pinchbolt.engines.wear._scale import Array, own_scale
from pinchbolt.engines.wear._wear_words import amount
from pinchbolt.engines.wear.wear_types import WearLaw
from pinchbolt.errors import InputRefused
from pinchbolt.values import Interval, Reason
from pinchbolt.values.wording import worded

RUN_OUT_AT, RUN_OUT_SPREAD = 2.0, 0.25  # percent at which chain and cassette slip, log spread. From memory.
RATES = 11  # points over the rates of wear of the bikes
NEAR_BEST = 1.05  # a way within five percent of the best is as good


@dataclass(frozen=True, slots=True)
class PolicyCost:
    """A way of changing chains: expected cost per 1,000 km and its 80 % interval. Money to the penny.

    `at_least`: a price is missing, so that the true cost is more and the way is not ranked.
    """

    id: str
    words: str
    a_thousand: Decimal
    low: Decimal
    high: Decimal
    as_good_as_best: bool
    at_least: bool


@dataclass(frozen=True, slots=True)
class PolicyTable:
    """All ways compared, the range of elongation at which changing is near the best, and why."""

    ways: tuple[PolicyCost, ...]
    best_at_percent: Interval
    reasons: tuple[Reason, ...]


def compare_policies(
    law: WearLaw,
    *,
    chain_price: Decimal,
    cassette_price: Decimal,
    rings_price: Decimal | None = None,
    seen_every_km: float = 300.0,
    change_at: Sequence[float] = (0.5, 0.75),
    rotate: Sequence[int] = (2, 3),
) -> PolicyTable:
    """Return what each way of changing chains costs per 1,000 km, and at what elongation changing pays best.

    cost rate = cost of a cycle / length of a cycle (renewal reward): a chain is changed at the first look that finds h
    or more, growth comes with jumps (`looked_at`), so (chain + cassette E[D at that look]) / E[km at that look].
    Rotating n chains spreads one overshoot over n. Run out: chain, cassette and rings together when they slip; without
    the price of the rings that is a least cost, shown and not ranked.

    Args:
        law: The chain's law: rate of wear and its spread. [percent]
        chain_price: Price of chain and its fitting. [money]
        cassette_price: Price of cassette and its fitting. [money]
        rings_price: Price of the rings that go with a cassette run out; None = not known. [money]
        seen_every_km: Use between looks at the chain. [km]
        change_at: Elongations to compare. [percent]
        rotate: Numbers of chains in rotation to compare, at the last of *change_at*. [-]

    Returns:
        The ways with their cost, the best range, reasons. [money per 1,000 km, percent]

    Raises:
        InputRefused: Prices not above 0, looks not above 0, or a law that is no chain's in percent.

    Valid for: Many cycles. A benefit of rotation other than less overshoot is not claimed. What timely changed chains
        take of the rings is not counted: no trade fact says how much.

    Example:
        >>> from pinchbolt.values import Verdict
        >>> law = WearLaw("c", "chain", "elongation", "percent", 0.0, 0.0, 0.5, 0.75, "up", "km", 3000.0, 0.46,
        ...               Verdict.NEXT_VISIT, False, "common practice, no source")
        >>> table = compare_policies(law, chain_price=Decimal(45), cassette_price=Decimal(225))
        >>> table.best_at_percent.low < 0.5 < table.best_at_percent.high
        True

    Source: Renewal reward, standard result; damage law from two trade facts, common practice, no source.
    """
    prices = {"chain": chain_price, "cassette": cassette_price} | (
        {"rings": rings_price} if rings_price else {}
    )
    refuse_prices(seen_every_km, prices)
    if law.part != "chain" or law.unit != "percent" or not (isfinite(seen_every_km) and seen_every_km > 0):
        raise InputRefused(
            worded(
                "law is of a {part} in {unit}, seen every {seen_every_km:g} km: a chain in percent "
                "and a stretch above 0 are needed. Use the chain's row in percent.",
                part=law.part,
                unit=law.unit,
                seen_every_km=seen_every_km,
            )
        )
    scale = own_scale(law)
    x, w = np.polynomial.hermite_e.hermegauss(RATES)
    bikes = _Bikes(
        float(chain_price), float(cassette_price), law.new,
        np.exp(scale.mu + law.life_log_sd * x) * abs(law.limit - law.new), w / w.sum(),
    )  # fmt: skip
    looks = looked_at(seen_every_km, scale.unevenness)
    # Marks end where the cassette is gone: beyond, chain and cassette are run out, which is a way of its own.
    marks = np.exp(np.linspace(np.log(max(0.1, 1.5 * law.new)), np.log(WORN_OUT), 120))
    cost, weight = bikes.cost(looks, np.concatenate([change_at, marks]))
    ways = [
        (f"change-at-{at:g}", worded("change each chain at {at:g} %", at=at), cost[:, i], weight)
        for i, at in enumerate(change_at)
    ]
    for n in rotate:
        # Rotated, n chains share one overshoot: as if each were looked at n times as often.
        shared, _ = bikes.cost(looked_at(seen_every_km / n, scale.unevenness), np.array([change_at[-1]]))
        ways.append(
            (
                f"rotate-{n}",
                worded("rotate {n} chains, change all at {change_at:g} %", n=n, change_at=change_at[-1]),
                shared[:, 0],
                weight,
            )
        )
    ways.append(_run_out(bikes, float(rings_price or 0), bool(rings_price)))
    table = _ranked(ways, unpriced=frozenset() if rings_price else frozenset({"run-out"}))
    best, by_reading = _near_best(marks, cost[:, len(change_at) :], weight)
    first = _prices_said(law, chain_price, cassette_price, seen_every_km)
    reasons = (
        first,
        *_read_off(best, by_reading, seen_every_km),
        Reason(_run_out_words(table), source="computed"),
    )
    return PolicyTable(table, best, reasons)


def _prices_said(law: WearLaw, chain_price: Decimal, cassette_price: Decimal, seen_every_km: float) -> Reason:
    return Reason(
        worded(
            "Chain {chain_price}, cassette {cassette_price}; a chain lasts about {life} to "
            "{limit}; seen every {seen}.",
            chain_price=chain_price,
            cassette_price=cassette_price,
            life=amount(law.median_life, "km"),
            limit=amount(law.limit, law.unit),
            seen=amount(seen_every_km, "km"),
        ),
        law.prior_row,
        law.prior_source,
    )


def _read_off(best: Interval, by_reading: Collection[float], seen_every_km: float) -> tuple[Reason, ...]:
    """How sure the best mark is, and what a chain that is run out takes."""
    return (
        Reason(
            worded(
                "A chain run to 1 % takes its cassette, four timely chains take one; what timely "
                "means is read as 0.5, 0.625 and 0.75 %."
            ),
            source=worded("common practice, no source"),
        ),
        Reason(
            worded(
                "Changing between {low:.2f} and {high:.2f} % costs within 5 % of the best: a range, "
                "not a point. That is for a bike seen every {seen}. By one reading of these facts "
                "alone the best lies between {least:.2f} and {most:.2f} %.",
                low=best.low,
                high=best.high,
                seen=amount(seen_every_km, "km"),
                least=min(by_reading),
                most=max(by_reading),
            ),
            source="computed",
        ),
        Reason(
            worded("Running out means slipping at about {run_out_at:g} %.", run_out_at=RUN_OUT_AT),
            source=worded("from memory"),
        ),
    )


def _run_out_words(table: Sequence[PolicyCost]) -> str:
    """What the comparison says of running everything out."""
    out = next(way for way in table if way.id == "run-out")
    if out.at_least:
        return worded(
            "Running chain and cassette out wears the rings too: without their price it cannot "
            "be told whether that pays. Put it in."
        )
    if out.as_good_as_best:
        return worded(
            "At these prices using chain, cassette and rings until they slip is about the cheapest."
        )
    return worded(
        "At these prices using chain, cassette and rings until they slip costs more than the best way."
    )


@dataclass(frozen=True, slots=True)
class _Bikes:
    """Prices, elongation of a new chain, and rates of wear with their weights. [money, percent, percent a km]"""

    chain: float
    cassette: float
    new: float
    rate: Array
    rate_weight: Array

    def cost(self, looks: Looks, at: Array) -> tuple[Array, Array]:
        """Cost per 1,000 km of changing at the first look that finds *at* or more; the weights of the rows.

        A row for each rate and reading of the trade facts, readings outermost; a column for each of *at*.
        """
        cost, weight = [], []
        lengths = [looks.length_km((at - self.new) / rate) for rate in self.rate]
        for timely, share in zip(TIMELY_AT, TIMELY_WEIGHT, strict=True):
            p = damage_power(float(timely))
            for rate, length in zip(self.rate, lengths, strict=True):
                harm = looks.damage(self._harm(p, rate), (at - self.new) / rate)
                cost.append(1000 * (self.chain + self.cassette * harm) / length)
            weight.append(share * self.rate_weight)
        return np.array(cost), np.concatenate(weight)

    def _harm(self, power: float, rate: float) -> Callable[[Array], Array]:
        """What a chain has taken of a cassette after growing by some km. Past 1 % the law goes on: the rings pay then."""
        return lambda km: ((self.new + rate * km) / WORN_OUT) ** power


def _run_out(bikes: _Bikes, rings: float, priced: bool) -> tuple[str, str, Array, Array]:
    x, w = np.polynomial.hermite_e.hermegauss(7)
    km = (RUN_OUT_AT * np.exp(RUN_OUT_SPREAD * x)[None, :] - bikes.new) / bikes.rate[:, None]
    cost = 1000 * (bikes.chain + bikes.cassette + rings) / km
    weight = bikes.rate_weight[:, None] * (w / w.sum())[None, :]
    words = worded("use chain, cassette and rings until they slip, then change all")
    if not priced:
        words = worded("run chain and cassette out together, at least: the rings come on top")
    return "run-out", words, cost.ravel(), weight.ravel()


def _ranked(
    ways: Sequence[tuple[str, str, Array, Array]], *, unpriced: frozenset[str]
) -> tuple[PolicyCost, ...]:
    means = [float((cost * weight).sum() / weight.sum()) for _, _, cost, weight in ways]
    least = min(mean for (name, *_), mean in zip(ways, means, strict=True) if name not in unpriced)
    table = []
    for (name, words, cost, weight), mean in zip(ways, means, strict=True):
        _, low, high = summed(cost, weight)
        open_end = name in unpriced
        good = mean <= NEAR_BEST * least and not open_end
        table.append(PolicyCost(name, words, penny(mean), low, high, good, open_end))
    return tuple(table)


def _near_best(marks: Array, cost: Array, weight: Array) -> tuple[Interval, tuple[float, ...]]:
    """Marks whose cost is within five percent of the best, and the best mark by each reading of the trade facts alone."""
    of_all = (cost * weight[:, None]).sum(0)
    near = marks[of_all <= NEAR_BEST * of_all.min()]
    rows = (cost * weight[:, None]).reshape(len(TIMELY_AT), -1, len(marks)).sum(1)
    return Interval(float(near[0]), float(near[-1])), tuple(float(marks[row.argmin()]) for row in rows)


def age_replacement_cost(shape: float, scale: float, planned: float, failed: float, age: float) -> float:
    """Return the cost per unit of use of replacing at *age*, or at failure if that comes first, for a Weibull life.

    C(T) = (planned R(T) + failed F(T)) / integral of R from 0 to T; the integral by the incomplete gamma function.

    Args:
        shape: Weibull shape. [-]
        scale: Weibull scale. [driver's unit]
        planned: Cost of a planned replacement. [money]
        failed: Cost of a failure. [money]
        age: Age of planned replacement; infinite = never. [driver's unit]

    Returns:
        Cost per unit of use. [money]

    Raises:
        InputRefused: A value not above 0.

    Valid for: Lives that are independent and alike.

    Example:
        >>> round(age_replacement_cost(2.5, 1000, 1, 5, 493.04696), 7)
        0.003462

    Source: Age replacement, renewal reward: standard result (Barlow and Proschan 1965, from memory).
    """
    from scipy.special import gamma, gammainc  # noqa: PLC0415

    if not all(v > 0 for v in (shape, scale, planned, failed, age)):
        raise InputRefused(
            worded(
                "age replacement with shape {shape:g}, scale {scale:g}, costs {planned:g} and "
                "{failed:g}, age {age:g}: all must be above 0. Correct the value.",
                shape=shape,
                scale=scale,
                planned=planned,
                failed=failed,
                age=age,
            )
        )
    reach = (age / scale) ** shape if isfinite(age) else float("inf")
    survive = exp(-reach)
    mean_use = scale * gamma(1 + 1 / shape) * gammainc(1 / shape, reach)
    return float((planned * survive + failed * (1 - survive)) / mean_use)


def best_age(shape: float, scale: float, planned: float, failed: float) -> float:
    """Return the age at which replacing costs least; infinite where replacing early never pays.

    The cost of `age_replacement_cost` has one valley for a shape above 1: found by golden section.

    Args:
        shape: Weibull shape. [-]
        scale: Weibull scale. [driver's unit]
        planned: Cost of a planned replacement. [money]
        failed: Cost of a failure. [money]

    Returns:
        The best age; infinite for a shape at or below 1, or a failure that costs no more. [driver's unit]

    Raises:
        InputRefused: A value not above 0.

    Valid for: Lives that are independent and alike.

    Example:
        >>> round(best_age(2.5, 1000, 1, 5))
        493

    Source: Age replacement, renewal reward: standard result (Barlow and Proschan 1965, from memory).
    """
    if shape <= 1 or failed <= planned:
        return float("inf")
    low, high = 1e-6 * scale, 5.0 * scale
    ratio = (5**0.5 - 1) / 2
    a, b = high - ratio * (high - low), low + ratio * (high - low)
    fa, fb = (age_replacement_cost(shape, scale, planned, failed, v) for v in (a, b))
    while high - low > 1e-9 * scale:
        if fa < fb:
            high, b, fb = b, a, fa
            a = high - ratio * (high - low)
            fa = age_replacement_cost(shape, scale, planned, failed, a)
        else:
            low, a, fa = a, b, fb
            b = low + ratio * (high - low)
            fb = age_replacement_cost(shape, scale, planned, failed, b)
    return 0.5 * (low + high)
