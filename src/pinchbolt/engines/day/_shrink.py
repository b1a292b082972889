"""Many means drawn towards one: each by how little is known of it (parametric empirical Bayes)."""

from dataclasses import dataclass

import numpy as np

from pinchbolt.engines.day.day_types import Floats
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

_ROUNDS, _CLOSE, _FEW = 200, 1e-12, 4


@dataclass(frozen=True, slots=True)
class Shrunk:
    """Means drawn to `centre`: `values` with `sd`; `kept` is the share of its own departure that each keeps. [-]"""

    centre: float
    between: float
    kept: Floats
    values: Floats
    sd: Floats


def shrink(
    means: Floats, variances: Floats, centre: float | None = None, prior: tuple[float, float] = (0.0, 0.0)
) -> Shrunk:
    """Return means drawn to their centre, each the more the less is known of it.

    ``w_i = 1 / (v_i + A)``, A such that ``sum w_i (k/(k-1) (x_i - c)^2 - v_i - A) = 0``; kept ``1 - (k-3)/(k-1) v_i / (v_i + A)``.

    Args:
        means: One mean each. [-]
        variances: How uncertain each is, squared. [-]
        centre: What they are drawn to; None: their own weighted mean. [-]
        prior: How far such means lie apart (sd) and for how many of them that counts. [-]

    Returns:
        What each is taken to be, with its sd. [-]

    Raises:
        InputRefused: No mean, or a variance that is not above 0.

    Valid for: Means that are near normal. With fewer than four and no prior nothing is drawn: too few to say how far they lie apart.

    Example:
        >>> found = shrink(np.array([0.0, 1.0, 2.0, 3.0, 4.0]), np.ones(5))
        >>> [round(float(one), 2) for one in found.values], round(float(found.kept[0]), 2)
        ([0.4, 1.2, 2.0, 2.8, 3.6], 0.8)

    Source: Morris, Parametric empirical Bayes inference, JASA 78 (1983); with equal variances and the own mean it is the
        James-Stein estimate with k - 3 of Efron and Morris (1975).
    """
    if not means.size or not (np.isfinite(means).all() and (variances > 0).all()):
        raise InputRefused(
            worded("Means to be drawn together: one at least, each with a variance above 0. Check them.")
        )
    count, (sd, worth) = means.size, prior
    own_centre = centre is None
    few = count < _FEW if own_centre else count < _FEW - 1
    if few and not worth:
        return Shrunk(float(centre or means.mean()), np.inf, np.ones(count), means, np.sqrt(variances))
    between, at = sd**2, float(means.mean() if centre is None else centre)
    # One mean is spent on the centre where it is their own.
    spare = count / (count - 1) if own_centre and count > 1 else 1.0
    for _ in range(_ROUNDS):
        weights = 1 / (variances + between)
        at = float((weights * means).sum() / weights.sum()) if centre is None else centre
        shown = weights @ (spare * (means - at) ** 2 - variances) + worth * weights.mean() * sd**2
        found = max(0.0, float(shown / (weights.sum() + worth * weights.mean())))
        if abs(found - between) < _CLOSE:
            break
        between = found
    less = 1.0 if worth else (count - 3) / (count - 1) if own_centre else (count - 2) / count
    kept = 1 - less * variances / (variances + between)
    values = at + kept * (means - at)
    return Shrunk(at, float(np.sqrt(between)), kept, values, np.sqrt(variances * np.maximum(kept, 0.0)))
