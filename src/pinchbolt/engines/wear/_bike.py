"""What earlier parts of the same bike say of the next one."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np

from pinchbolt.engines.wear._judge import run_filter
from pinchbolt.engines.wear._next_part import rate_after
from pinchbolt.engines.wear._refuse import refuse_bad_input
from pinchbolt.engines.wear._scale import own_scale
from pinchbolt.engines.wear._words import amount
from pinchbolt.engines.wear.types import GaugeReading, RateOfUse, WearLaw


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
        >>> law_on_this_bike(law, [[done]], RateOfUse(70.0, 0.5)).median_life < 2400
        True

    Source: docs/methods/wear.md. The split of the spread is an assumption until it is learned.
    """
    scale = own_scale(law)
    clouds = []
    starts = tuple(fitted_on) + (None,) * len(earlier)
    for readings, start in zip(earlier, starts, strict=False):
        if not readings or law.clock:
            continue
        ordered = sorted(readings, key=lambda r: r.day)
        refuse_bad_input(law, ordered, use, ordered[-1].day, None)
        last = ordered[-1]
        clouds.append(run_filter(law, ordered, use, last.day, last.exposure, True, start).cloud)
    if not clouds:
        return law
    one = (np.array([v]) for v in (scale.mu, scale.sigma, scale.part_sigma))
    mean, sd = rate_after(clouds, *one)
    life = float(np.exp(-mean[0]))
    count = f"{len(clouds)} earlier {law.part}{'s' if len(clouds) > 1 else ''} of this bike"
    return replace(
        law,
        median_life=life,
        life_log_sd=float(sd[0]),
        part_log_sd=scale.part_sigma,
        noise=scale.noise,
        slow_use=scale.slow_use,
        prior_source=f"{count}: {amount(life, law.driver)} instead of {amount(law.median_life, law.driver)}; "
        f"{law.prior_source}",
    )
