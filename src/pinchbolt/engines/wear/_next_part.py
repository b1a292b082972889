"""The next part on the same bike: what one part's life says of the other's rate. Arrays of parts."""

import numpy as np

from pinchbolt.engines.wear._fleet_filter import Cloud, grow, rate_grid, read, start
from pinchbolt.engines.wear._scale import Array

NODES = 24
BIKE_NODES = 41
LEAST_BLUR = 0.6  # of the step between rates
# Fitting points of a new part between two readings: even over the stretch.
_GAUSS_X, _GAUSS_W = np.polynomial.legendre.leggauss(7)
FITTED_AT = 0.5 * (_GAUSS_X + 1.0)
FITTED_W = 0.5 * _GAUSS_W


def rate_of_next(cloud: Cloud, mu: Array, sigma: Array, part_sigma: Array) -> tuple[Array, Array]:
    """Return mean and sd of the log rate of the next part on the bike of each part.

    Two parts on one bike share its rate: correlation c = 1 - part_sigma^2 / sigma^2. Given log rate l of the one, the
    other is N(mu + c (l - mu), sigma^2 (1 - c^2)); the mixture over l is kept by its moments.
    """
    log_rate = np.log(cloud.rate)
    centre = (cloud.weight * log_rate).sum(axis=1)
    var = (cloud.weight * (log_rate - centre[:, None]) ** 2).sum(axis=1)
    shared = 1.0 - (part_sigma / sigma) ** 2
    return mu + shared * (centre - mu), np.sqrt(shared**2 * var + sigma**2 * (1.0 - shared**2))


def rate_after(clouds: list[Cloud], mu: Array, sigma: Array, part_sigma: Array) -> tuple[Array, Array]:
    """Return mean and sd of the log rate of the next part after several earlier parts of the same bike.

    The bike's log rate b ~ N(mu, sigma^2 - part_sigma^2); each earlier part weighs it by the likelihood of its
    readings, blurred from part to bike by part_sigma. The clouds are those of parts judged by (mu, sigma).
    """
    bike_sd = np.sqrt(np.maximum(sigma**2 - part_sigma**2, 1e-12))
    z = np.linspace(-4.0, 4.0, BIKE_NODES)
    bike = mu[:, None] + bike_sd[:, None] * z
    log_weight = np.broadcast_to(-0.5 * z**2, bike.shape).copy()
    for cloud in clouds:
        log_rate = np.log(cloud.rate)
        # weight / prior is the likelihood at the node, up to a constant.
        unit = (log_rate - mu[:, None]) / sigma[:, None]
        likelihood = cloud.weight * np.exp(0.5 * unit**2)
        # A blur much narrower than the step of the grid would fall between its nodes.
        least = LEAST_BLUR * (log_rate[:, 1] - log_rate[:, 0])
        off = (log_rate[:, None, :] - bike[:, :, None]) / np.maximum(part_sigma, least)[:, None, None]
        blur = np.exp(-0.5 * off**2)
        log_weight += np.log(np.maximum((blur * likelihood[:, None, :]).sum(axis=2), 1e-300))
    weight = np.exp(log_weight - log_weight.max(axis=1)[:, None])
    weight /= weight.sum(axis=1)[:, None]
    mean = (weight * bike).sum(axis=1)
    var = (weight * (bike - mean[:, None]) ** 2).sum(axis=1)
    return mean, np.sqrt(var + part_sigma**2)


def since_fitting(use: Array) -> Array:
    """Return the use of a new part at its reading, by fitting point (parts x points); *use* since the reading before."""
    return use[:, None] * (1.0 - FITTED_AT)


def evidence_on_new_part(
    rate_of: tuple[Array, Array],
    mean: Array,
    sd: Array,
    used: tuple[Array, Array],
    shown: tuple[Array, Array],
    gauge_sd: Array,
    noise: tuple[float, float, float],
    misread: float,
) -> Array:
    """Return the log evidence of one reading on a part that was fitted new somewhere along the stretch before it.

    *mean*, *sd* of wear as new and of the instrument's bias (parts x 2); *used* the use by then and its variance, for each
    fitting point (parts x points, `since_fitting`); *shown* the ends of the reading (parts, or parts x points).
    """
    parts, points = used[0].shape

    def spread(a: Array) -> Array:
        return a.reshape(-1) if a.shape == used[0].shape else np.repeat(a, points, axis=0)

    rate, prior = rate_grid(spread(rate_of[0]), spread(rate_of[1]), NODES)
    cloud = start(rate, prior, spread(mean), spread(sd))
    grow(cloud, spread(used[0]), spread(used[1]), noise)
    read(cloud, spread(shown[0]), spread(shown[1]), spread(gauge_sd), np.ones((parts * points, 2)), misread)
    evidence = cloud.evidence.reshape(parts, points)
    top = evidence.max(axis=1)
    return np.asarray(top + np.log(np.exp(evidence - top[:, None]) @ FITTED_W))
