"""Density and integral of the standard normal together, for arrays: one exponential serves both."""

import numpy as np

from pinchbolt.engines.wear._scale import Array

ROOT_2PI = float(np.sqrt(2 * np.pi))
# Rational form of the tail by J. F. Hart and others, Computer Approximations (1968), no. 5666, highest power first,
# from memory; held to scipy.special.ndtr by a test.
_OVER = (
    3.52624965998911e-02,
    0.700383064443688,
    6.37396220353165,
    33.912866078383,
    112.079291497871,
    221.213596169931,
    220.206867912376,
)
_UNDER = (
    8.83883476483184e-02,
    1.75566716318264,
    16.064177579207,
    86.7807322029461,
    296.564248779674,
    637.333633378831,
    793.826512519948,
    440.413735824752,
)
FAR = 37.0  # beyond, the density is below every float that matters


def density_and_integral(x: Array) -> tuple[Array, Array]:
    """Return phi(x) and Phi(x), absolute error below 1e-14."""
    size = np.minimum(np.abs(x), FAR)
    bell = size * size
    bell *= -0.5
    np.exp(bell, out=bell)
    over = size * _OVER[0]
    over += _OVER[1]
    for c in _OVER[2:]:
        over *= size
        over += c
    under = size * _UNDER[0]
    under += _UNDER[1]
    for c in _UNDER[2:]:
        under *= size
        under += c
    over *= bell
    over /= under
    bell /= ROOT_2PI
    # over is the tail beyond |x|: the integral is it or its complement.
    return bell, np.where(x > 0, 1.0 - over, over)
