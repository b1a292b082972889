"""What earlier parts of the same bike say of the next one."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np

from pinchbolt.engines.wear._filter import prior_of_rates
from pinchbolt.engines.wear._judge import NODES, JudgedPart, sift
from pinchbolt.engines.wear._refuse_readings import refuse_bad_input
from pinchbolt.engines.wear._scale import OwnScale, body_share, own_scale
from pinchbolt.engines.wear._wear_words import amount
from pinchbolt.engines.wear.wear_types import GaugeReading, RateOfUse, WearLaw
from pinchbolt.values.wording import worded

BIKE_NODES = 41
LEAST_BLUR = 0.6  # of the step between rates there


def law_on_this_bike(
    law: WearLaw,
    earlier: Sequence[Sequence[GaugeReading]],
    use: RateOfUse,
    *,
    fitted_on: Sequence[date | None] = (),
) -> WearLaw:
    """Return the law of the next part on a bike, after the readings of earlier parts of this kind on it.

    The bike's log rate b ~ N(-log median life, life_log_sd^2 - part_log_sd^2); an earlier part has N(b, part_log_sd^2).
    The likelihood of its readings over the rate, blurred by part_log_sd, weighs b.

    Args:
        law: The law of such parts in general. [its own unit]
        earlier: The readings of each earlier part, one sequence a part. [law's unit]
        use: Use a week, where a distance is missing. [driver's unit a week]
        fitted_on: Day of fitting of each earlier part, where known. [-]

    Returns:
        The law with this bike's median life and spread; the same law where nothing was read. [its own unit]

    Raises:
        InputRefused: As `judge`.

    Valid for: The same rider and use. A bike that changed hands starts anew.

    Example:
        >>> from pinchbolt.engines.wear import GaugeError
        >>> from pinchbolt.values import Interval, Verdict
        >>> law = WearLaw("c", "chain", "elongation", "percent", 0.02, 0.04, 0.5, 0.75, "up", "km", 3000.0, 0.46,
        ...               Verdict.NEXT_VISIT, False, "common practice, no source", noise=120, slow_use=500)
        >>> done = GaugeReading(date(2030, 1, 1), Interval(0.75, 0.75), "steel rule", GaugeError(0, 0.02, 0.08),
        ...                     2000.0, 0.02)
        >>> law_on_this_bike(law, [[done]], RateOfUse(70.0, 0.5)).median_life < 2500
        True

    Source: docs/methods/wear.md. The split of the spread is an assumption until it is learned.
    """
    scale = own_scale(law)
    seen = []
    starts = tuple(fitted_on) + (None,) * len(earlier)
    for readings, start in zip(earlier, starts, strict=False):
        if not readings or law.clock:
            continue
        ordered = sorted(readings, key=lambda r: r.day)
        refuse_bad_input(law, ordered, use, ordered[-1].day, None)
        last = ordered[-1]
        seen.append(sift(law, ordered, use, last.day, last.exposure, "told", start))
    if not seen:
        return law
    mean, sd = _rate_of_next(seen, scale)
    life = float(np.exp(-mean))
    count = worded(
        "{seen} earlier {called}{s} of this bike",
        seen=len(seen),
        called=law.called,
        s="s" if len(seen) > 1 else "",
    )
    return replace(
        law,
        median_life=life,
        life_log_sd=sd / body_share(law.tail, law.tail_factor),
        part_log_sd=scale.part_sigma,
        noise=scale.noise,
        slow_use=scale.slow_use,
        prior_source=worded(
            "{count}: {amount} instead of {law_amount}; {prior_source}",
            count=count,
            amount=amount(life, law.driver),
            law_amount=amount(law.median_life, law.driver),
            prior_source=law.prior_source,
        ),
    )


def _rate_of_next(seen: Sequence[JudgedPart], scale: OwnScale) -> tuple[float, float]:
    """Mean and sd of the log rate of the next part of the bike.

    The bike's log rate b ~ N(mu, sigma^2 - part_sigma^2); each earlier part weighs it by the likelihood of its readings
    (what it left of belief at a rate, over what was believed before), blurred from part to bike by part_sigma.
    """
    bike_sd = float(np.sqrt(max(scale.sigma**2 - scale.part_sigma**2, 1e-12)))
    z = np.linspace(-4.0, 4.0, BIKE_NODES)
    bike = scale.mu + bike_sd * z
    log_weight = -0.5 * z**2
    for one in seen:
        nodes, prior = prior_of_rates(one.part, NODES)
        left = np.array([one.cloud.weight[np.abs(one.cloud.z - node) < 1e-9].sum() for node in nodes])
        # A blur much narrower than the step of the grid would fall between its nodes.
        step = np.gradient(nodes)
        blur = np.maximum(scale.part_sigma, LEAST_BLUR * scale.sigma * step)
        near = step / blur * np.exp(-0.5 * ((scale.mu + scale.sigma * nodes - bike[:, None]) / blur) ** 2)
        log_weight += np.log(np.maximum(near @ (left / prior), 1e-300))
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    mean = float(weight @ bike)
    return mean, float(np.sqrt(weight @ (bike - mean) ** 2 + scale.part_sigma**2))
