"""What leaving a part until the next visit is expected to cost more than changing it now."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from math import isfinite, log

import numpy as np

from pinchbolt.engines.wear._chain import PITCH_MM
from pinchbolt.engines.wear._guard import mixed
from pinchbolt.engines.wear._normal import HERMITE_W, HERMITE_X
from pinchbolt.engines.wear._scale import Array, OwnScale, own_scale, unevenness
from pinchbolt.engines.wear._wear_words import amount
from pinchbolt.engines.wear.wear_types import CostOfWaiting, Forecast
from pinchbolt.errors import InputRefused
from pinchbolt.values import Reason
from pinchbolt.values.about import about, unit_words
from pinchbolt.values.ahead import chance_words
from pinchbolt.values.money import guess_text, money_text
from pinchbolt.values.wording import worded

# Two trade facts, common practice, no source: a chain run to 1 % takes its cassette; four timely chains take one.
WORN_OUT = 1.0  # percent
TIMELY_CHAINS = 4
# What "timely" means is read in three ways; weights are an assumption.
TIMELY_AT, TIMELY_WEIGHT = np.array([0.5, 0.625, 0.75]), np.array([0.25, 0.5, 0.25])
PENNY = Decimal("0.01")
GONE = worded(
    "The cassette is probably gone with the chain: they are changed together, now or "
    "later, and waiting costs only what the rings lose. Watch for a chain that slips."
)


def damage_power(timely_at: float, worn_out: float = WORN_OUT, chains: int = TIMELY_CHAINS) -> float:
    """Return p of the damage law D(h) = (h / worn_out)^p, from the two trade facts. [-]

    chains x (timely_at / worn_out)^p = 1, so p = ln(chains) / ln(worn_out / timely_at).
    """
    return log(chains) / log(worn_out / timely_at)


def best_elongation(
    chain: float, cassette: float, power: float, worn_out: float = WORN_OUT, *, new: float = 0.0
) -> float:
    """Return the elongation at which changing costs least a km. [percent]

    Where the slope of `cost_a_km` is nought: cassette (p h^(p-1) (h - new) - h^p) = chain, h in shares of worn_out;
    with new = 0 that is h* = worn_out (chain / (cassette (p - 1)))^(1/p), from which Newton's steps start.
    """
    h, start = (chain / (cassette * (power - 1.0))) ** (1.0 / power) + new / worn_out, new / worn_out
    for _ in range(40):
        slope = power * h ** (power - 1) * (h - start) - h**power - chain / cassette
        h -= slope / (power * (power - 1) * h ** (power - 2) * (h - start))
    return float(worn_out * h)


def cost_a_km(
    chain: float,
    cassette: float,
    power: float,
    at: float,
    rate: float,
    worn_out: float = WORN_OUT,
    *,
    new: float = 0.0,
) -> float:
    """Return the cost per km of changing chains at elongation *at*. [money per km]

    (chain + cassette D(h)) r / (h - new): a chain comes with *new* and has the rest to wear.
    """
    return float((chain + cassette * (at / worn_out) ** power) * rate / (at - new))


def cost_of_waiting(
    forecast: Forecast,
    *,
    chain_price: Decimal,
    cassette_price: Decimal,
    until_next_km: float,
    currency: str = "",
) -> CostOfWaiting:
    """Return what running a chain on until the next visit is expected to cost more than changing it now.

    extra = cassette (D(h_then) - D(h_now)) - g x km, D(h) = (h / 1 %)^p but at most 1, g the cost per km of chains
    changed at the best moment: sprocket damage by changing later, less the chain life thrown away by changing now.

    Args:
        forecast: Forecast of the chain. [percent, or mm over 24 pitches]
        chain_price: Price of chain and its fitting. [money]
        cassette_price: Price of cassette and its fitting. [money]
        until_next_km: Use until the next visit. [km]
        currency: ISO 4217 code for the words; "" leaves figures bare. [-]

    Returns:
        Expected extra cost and its 80 % interval; below 0 = leaving it saves. [money]

    Raises:
        InputRefused: Prices not above 0, use below 0, or a forecast that is no chain's.

    Valid for: One chain on its cassette, chains of one kind. Rings are left out; past 1 % the cassette is taken as
        gone, so that nothing more can be lost: the words say so. A chain that is past 1 % by then does not last.

    Example:
        >>> best = best_elongation(45, 225, damage_power(0.625))
        >>> round(best, 2)
        0.46

    Source: Damage law from two trade facts, common practice, no source; renewal reward: docs/methods/wear.md.
    """
    refuse_prices(until_next_km, {"chain": chain_price, "cassette": cassette_price})
    scale, per_percent = own_scale(forecast.law), _percent_per_own(forecast)
    start = _new_percent(forecast)
    draws = _draws(forecast, scale, until_next_km)
    now = np.maximum(start + draws.now * per_percent, 0.0)
    then = np.maximum(start + draws.then * per_percent, now)
    rate = draws.rate * per_percent
    extra, weight = [], []
    for at, share in zip(TIMELY_AT, TIMELY_WEIGHT, strict=True):
        p = damage_power(float(at))
        best = best_elongation(float(chain_price), float(cassette_price), p, new=start)
        a_km = np.array(cost_a_km(float(chain_price), float(cassette_price), p, best, 1.0, new=start)) * rate
        damage = np.minimum(then / WORN_OUT, 1.0) ** p - np.minimum(now / WORN_OUT, 1.0) ** p
        extra.append(float(cassette_price) * damage - a_km * until_next_km)
        weight.append(share * draws.weight)
    result = summed(np.concatenate(extra), np.concatenate(weight))
    bests = [
        best_elongation(float(chain_price), float(cassette_price), damage_power(float(at)), new=start)
        for at in TIMELY_AT
    ]
    reasons = (
        Reason(
            worded(
                "Cassette {cassette}, chain {chain}: cheapest is to change between {low:.1f} and "
                "{high:.1f} %; this chain is at about {median:.2g} {unit}.",
                cassette=sum_of(cassette_price, currency),
                chain=sum_of(chain_price, currency),
                low=min(bests),
                high=max(bests),
                median=forecast.present.median,
                unit=unit_words(forecast.law.unit),
            ),
            source="computed",
        ),
        Reason(
            worded(
                "A worn chain wears the cassette: one chain used to 1 % ruins it, four changed in "
                "time wear out one."
            ),
            source=worded("common practice, no source"),
        ),
        Reason(
            worded(
                "Until the next visit: {amount}. Rings are not counted.", amount=amount(until_next_km, "km")
            )
        ),
    )
    gone = float((draws.weight * (now >= WORN_OUT)).sum()) >= 0.5
    words = GONE if gone else _said(result[0], "chain", currency)
    return CostOfWaiting(*result, words, reasons, gone or _lasts(draws.weight, then), gone)


def _lasts(weight: Array, then: Array) -> bool:
    """Whether a chain is likelier than not short of the 1 % at which it jumps."""
    return float((weight * (then >= WORN_OUT)).sum()) < 0.5


def cost_of_waiting_pads(
    forecast: Forecast,
    *,
    pad_price: Decimal,
    rotor_price: Decimal,
    until_next_km: float,
    ruined_at: float = 0.0,
    currency: str = "",
    ruins: str = "rotor",
) -> CostOfWaiting:
    """Return what running pads on until the next visit is expected to cost more than changing them now.

    extra = rotor x (P(plate meets rotor by then) - P(now)) - pads x share of lining used until then, up to its limit.

    Args:
        forecast: Forecast of the pads. [mm of lining, or of pad with plate]
        pad_price: Price of pads and their fitting. [money]
        rotor_price: Price of the rotor and its fitting. [money]
        until_next_km: Use until the next visit. [km]
        ruined_at: Reading at which the plate meets the rotor: 0 for lining, the plate's thickness for a whole pad. [mm]
        currency: ISO 4217 code for the words; "" leaves figures bare. [-]
        ruins: What the plate ruins, in words: rotor, or rim. [-]

    Returns:
        Expected extra cost and its 80 % interval; below 0 = leaving it saves. [money]

    Raises:
        InputRefused: Prices not above 0, or use below 0.

    Valid for: Money only. A pad at its limit is changed whatever it saves.

    Example:
        >>> from datetime import date
        >>> from pinchbolt.engines.wear import RateOfUse, WearLaw, judge
        >>> from pinchbolt.values import Verdict
        >>> law = WearLaw("p", "disc pad", "lining", "mm", 2.0, 0.4, 1.0, 0.5, "down", "km", 2500.0, 0.6,
        ...               Verdict.BEFORE_IT_LEAVES, True, "common practice, no source")
        >>> now = judge(law, [], RateOfUse(70.0, 0.5), date(2030, 5, 1), exposure_now=100.0)
        >>> cost_of_waiting_pads(now, pad_price=Decimal(25), rotor_price=Decimal(45), until_next_km=100).expected < 0
        True

    Source: Common practice, no source: a plate on the rotor ruins it.
    """
    refuse_prices(until_next_km, {"pads": pad_price, "rotor": rotor_price})
    scale = own_scale(forecast.law)
    draws = _draws(forecast, scale, until_next_km)
    ruin = scale.wear(ruined_at)
    saved = np.clip(draws.then, 0.0, 1.0) - np.clip(draws.now, 0.0, 1.0)
    harm = (draws.then >= ruin).astype(float) - (draws.now >= ruin)
    extra = float(rotor_price) * harm - float(pad_price) * np.maximum(saved, 0.0)
    expected, low, high = summed(extra, draws.weight)
    # The chance of ruin is asked of the closed mixture, not counted on the draws: it is a tail.
    chance = _chance_of_ruin(forecast, scale, ruin, until_next_km)
    expected = penny(float(rotor_price) * chance - float(pad_price) * float((draws.weight * saved).sum()))
    reasons = (
        Reason(
            worded(
                "The pads {reach} metal within about {until_next_km} km.",
                reach=_reach(chance),
                until_next_km=about(until_next_km),
            ),
            source="computed",
        ),
        Reason(
            worded("Metal on the {ruins} ruins it. What is left of the pads is counted in.", ruins=ruins),
            source=worded("common practice, no source"),
        ),
    )
    return CostOfWaiting(
        expected, min(low, expected), max(high, expected), _said(expected, "pads", currency), reasons
    )


def cost_of_waiting_plain(part: str) -> CostOfWaiting:
    """Return nothing to pay for waiting: the part costs the same later, as long as it has not failed.

    Args:
        part: What it is, in words. [-]

    Returns:
        Zero, and the sentence that says why. [money]

    Valid for: Parts whose wear spoils no other part before they fail.

    Source: common practice, no source.
    """
    zero = Decimal("0.00")
    words = worded("The {part} costs the same later, until it fails.", part=part)
    return CostOfWaiting(
        zero,
        zero,
        zero,
        words,
        (Reason(words, source=worded("common practice, no source")),),
        says_more=True,
    )


@dataclass(frozen=True, slots=True)
class _Draws:
    """Weighted points over rate, wear now and growth until then, on the own scale."""

    rate: Array
    now: Array
    then: Array
    weight: Array


def _draws(forecast: Forecast, scale: OwnScale, use: float) -> _Draws:
    """Spread the belief over Gauss-Hermite points of wear now and of the growth's unevenness."""
    belief = forecast.belief
    if belief is None:
        raise InputRefused(
            worded(
                "forecast of the {part} carries no belief: a fresh one is needed. Ask for the "
                "forecast again.",
                part=forecast.law.part,
            )
        )
    r, w = np.array(belief.rate)[:, None, None], np.array(belief.weight)[:, None, None]
    mean, sd = np.array(belief.wear)[:, None, None], np.array(belief.wear_sd)[:, None, None]
    q = float(unevenness(np.array(use), *scale.unevenness))
    now = mean + sd * HERMITE_X[None, :, None]
    growth = np.maximum(use + np.sqrt(q) * HERMITE_X[None, None, :], 0.0)
    weight = w * HERMITE_W[None, :, None] * HERMITE_W[None, None, :]
    then = now + r * growth
    return _Draws(
        np.broadcast_to(r, then.shape).ravel(),
        np.broadcast_to(now, then.shape).ravel(),
        then.ravel(),
        np.broadcast_to(weight, then.shape).ravel(),
    )


def _chance_of_ruin(forecast: Forecast, scale: OwnScale, mark: float, use: float) -> float:
    belief = forecast.belief
    assert belief is not None
    weight, rate, wear, root = map(np.array, (belief.weight, belief.rate, belief.wear, belief.wear_sd))
    uses = np.array([0.0, use])
    now, then = mixed(
        weight, rate, wear, root**2, np.full(2, mark), uses, unevenness(uses, *scale.unevenness)
    )
    return max(float(then - now), 0.0)


def summed(value: Array, weight: Array) -> tuple[Decimal, Decimal, Decimal]:
    """Mean and 80 % interval of weighted points."""
    order = np.argsort(value)
    value, weight = value[order], weight[order] / weight.sum()
    reached = np.cumsum(weight) - 0.5 * weight
    low, high = np.interp([0.1, 0.9], reached, value)
    return penny(float((value * weight).sum())), penny(float(low)), penny(float(high))


def penny(value: float) -> Decimal:
    return Decimal(repr(value)).quantize(PENNY, ROUND_HALF_UP) + Decimal("0.00")


def _said(expected: Decimal, part: str, currency: str) -> str:
    if expected <= 0:
        return worded("Waiting costs nothing yet: keep using the {part}.", part=part)
    more = guess_text(expected, currency) if currency else str(expected)
    if not more:
        return worded("Leaving the {part} until the next visit costs about the same.", part=part)
    return worded(
        "Leaving the {part} until the next visit will probably cost about {more} more.", part=part, more=more
    )


def _reach(chance: float) -> str:
    """What pads do with metal, at a chance."""
    if chance < 0.5:
        return worded("may reach") if chance >= 0.05 else worded("will hardly reach")
    return worded("will {chance}", chance=chance_words(chance, "reach"))


def sum_of(amount_of_money: Decimal, currency: str) -> str:
    """Return a sum as it is printed in its currency; without one, the bare figure."""
    return money_text(amount_of_money, currency) if currency else str(amount_of_money)


def _percent_per_own(forecast: Forecast) -> float:
    """Percent of elongation in one unit of the own scale."""
    law = forecast.law
    span = abs(law.limit - law.new)
    if law.part == "chain" and law.unit == "percent":
        return span
    if law.part == "chain" and law.unit == "mm":
        return span / (24 * PITCH_MM) * 100
    raise InputRefused(
        worded(
            "forecast is of a {part} in {unit}: the sprocket damage of a chain needs percent, or "
            "mm over 24 pitches. Use the cost of waiting of that part.",
            part=law.part,
            unit=law.unit,
        )
    )


def _new_percent(forecast: Forecast) -> float:
    law = forecast.law
    return law.new if law.unit == "percent" else (law.new / (24 * PITCH_MM) - 1) * 100


def refuse_prices(use: float, prices: dict[str, Decimal]) -> None:
    for name, price in prices.items():
        if not price.is_finite() or price <= 0:
            raise InputRefused(
                worded(
                    "price of the {name} is {price}: it must be above 0. Put the price in.",
                    name=name,
                    price=price,
                )
            )
    if not (isfinite(use) and use >= 0):
        raise InputRefused(
            worded(
                "use until the next visit is {use:g} km: it must be 0 or more. Use the usual stretch.",
                use=use,
            )
        )
