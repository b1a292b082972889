"""What leaving the cassette until the next visit is expected to cost more than changing it now."""

from decimal import Decimal

import numpy as np

from pinchbolt.engines.wear._money import (
    TIMELY_AT,
    TIMELY_WEIGHT,
    WORN_OUT,
    _draws,
    _new_percent,
    _percent_per_own,
    damage_power,
    refuse_prices,
    summed,
)
from pinchbolt.engines.wear._scale import own_scale
from pinchbolt.engines.wear._wear_words import amount
from pinchbolt.engines.wear.wear_types import CostOfWaiting, Forecast
from pinchbolt.errors import Unknown
from pinchbolt.values import Reason
from pinchbolt.values.ahead import chance_words
from pinchbolt.values.wording import worded


def cost_of_waiting_cassette(
    forecast: Forecast, *, cassette_price: Decimal, until_next_km: float
) -> CostOfWaiting:
    """Return what leaving the cassette on is expected to cost more than changing it now with the chain.

    extra = -cassette (D(h_then) - D(h_now)): the share of its life that it still gives until the next visit and that
    changing now throws away. A cassette that is gone has none left: waiting saves nothing, and it slips.

    Args:
        forecast: Forecast of the chain that runs on it. [percent, or mm over 24 pitches]
        cassette_price: Price of cassette and its fitting. [money]
        until_next_km: Use until the next visit. [km]

    Returns:
        Expected extra cost and its 80 % interval; below 0 = leaving it saves. [money]

    Raises:
        InputRefused: Price not above 0, use below 0, or a forecast that is no chain's.

    Valid for: A cassette that took the damage of this chain alone; earlier chains are not counted, so it may be nearer
        its end than said. The slip test under load decides.

    Source: Damage law from two trade facts, common practice, no source: docs/methods/wear.md.
    """
    refuse_prices(until_next_km, {"cassette": cassette_price})
    scale, per_percent, start = own_scale(forecast.law), _percent_per_own(forecast), _new_percent(forecast)
    draws = _draws(forecast, scale, until_next_km)
    now = np.clip((start + draws.now * per_percent) / WORN_OUT, 0.0, 1.0)
    then = np.clip((start + draws.then * per_percent) / WORN_OUT, now, 1.0)
    extra, weight = [], []
    for at, share in zip(TIMELY_AT, TIMELY_WEIGHT, strict=True):
        p = damage_power(float(at))
        extra.append(-float(cassette_price) * (then**p - now**p))
        weight.append(share * draws.weight)
    gone = float((draws.weight * (now >= 1.0)).sum())
    words = (
        worded(
            "The cassette {gone}: change it with the chain, or it slips on the new one.",
            gone=chance_words(gone, worded("is worn out")),
        )
        if gone >= 0.5
        else worded(
            "The cassette {gone}: leaving it saves money if the new chain does not slip.",
            gone=chance_words(1 - gone, worded("has life left")),
        )
    )
    reasons = (
        Reason(
            worded(
                "A worn chain wears the cassette: one chain used to 1 % ruins it, four changed in "
                "time wear out one."
            ),
            source=worded("common practice, no source"),
        ),
        Reason(
            worded(
                "Until the next visit: {amount}. Only this chain's damage is counted; try it under load.",
                amount=amount(until_next_km, "km"),
            )
        ),
    )
    return CostOfWaiting(
        *summed(np.concatenate(extra), np.concatenate(weight)), words, reasons, says_more=True
    )


def cost_of_waiting_both(
    forecast: Forecast,
    *,
    chain_price: Decimal,
    cassette_price: Decimal,
    until_next_km: float,
    rings_price: Decimal | None,
) -> CostOfWaiting:
    """Return what leaving a chain and its cassette, both to be changed, is expected to cost more than changing both now.

    extra = -cassette (D(h_then) - D(h_now)) - chain (h_then - h_now) / (1 % - h_new), h at most 1 %: the life that both
    still give until the next visit and that changing now throws away. So counted, the worse a chain is the more its waiting
    saves; that holds only while it takes next to nothing of the rings, before its warning.

    Args:
        forecast: Forecast of the chain. [percent, or mm over 24 pitches]
        chain_price: Price of chain and its fitting. [money]
        cassette_price: Price of cassette and its fitting. [money]
        until_next_km: Use until the next visit. [km]
        rings_price: Price of the rings that they run on; None = not known. [money]

    Returns:
        Expected extra cost and its 80 % interval; never above 0. [money]

    Raises:
        InputRefused: Prices not above 0, use below 0, or a forecast that is no chain's.
        Unknown: The chain is likelier than not past its warning, or the rings' price is not known: no saving is told.

    Valid for: Both are changed at the next visit, whatever they look like then; rings are not counted, and a cassette
        that slips under load does not wait.

    Source: Damage law from two trade facts, common practice, no source: docs/methods/wear.md.
    """
    refuse_prices(until_next_km, {"chain": chain_price, "cassette": cassette_price})
    if forecast.chance_past_warn >= 0.5:
        raise Unknown(
            worded(
                "Past its warning a chain wears the rings too, and no trade fact says how much: no "
                "saving by waiting is told."
            )
        )
    if not rings_price:
        raise Unknown(
            worded(
                "What waiting takes of the rings is not known without their price: no saving by "
                "waiting is told. Put it in."
            )
        )
    scale, per_percent, start = own_scale(forecast.law), _percent_per_own(forecast), _new_percent(forecast)
    draws = _draws(forecast, scale, until_next_km)
    now = np.clip((start + draws.now * per_percent) / WORN_OUT, 0.0, 1.0)
    then = np.clip((start + draws.then * per_percent) / WORN_OUT, now, 1.0)
    chain = float(chain_price) * (then - now) / (1.0 - start / WORN_OUT)
    extra, weight = [], []
    for at, share in zip(TIMELY_AT, TIMELY_WEIGHT, strict=True):
        p = damage_power(float(at))
        extra.append(-float(cassette_price) * (then**p - now**p) - chain)
        weight.append(share * draws.weight)
    reasons = (
        Reason(
            worded(
                "Chain and cassette are worn together: each km on them uses up both, and a new one "
                "beside an old one wears faster."
            ),
            source=worded("common practice, no source"),
        ),
        Reason(
            worded(
                "Until the next visit: {amount}. Rings are not counted; if it slips under load, it "
                "does not wait.",
                amount=amount(until_next_km, "km"),
            )
        ),
    )
    words = worded("Leaving both uses up what life is left in them.")
    return CostOfWaiting(*summed(np.concatenate(extra), np.concatenate(weight)), words, reasons)
