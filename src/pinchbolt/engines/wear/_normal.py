"""The standard normal for arrays: density and integral together, one exponential for both, and the integral's inverse.

Nothing here loads scipy for one part's forecast: that alone takes longer than the forecast and its reasons.
"""

from math import inf, nan
from statistics import NormalDist

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
# Abramowitz and Stegun, Handbook of Mathematical Functions, 26.2.17 (error below 7.5e-8), highest power first.
_SINGLE_P = 0.2316419
_SINGLE = (1.330274429, -1.821255978, 1.781477937, -0.356563782, 0.319381530)
FEW = 100  # elements that are sooner done one by one than scipy is loaded
_INVERSE, _ENDS = NormalDist().inv_cdf, {0.0: -inf, 1.0: inf}
FAR = 39.0  # beyond, density and tail are 0 in any float: a search must see that it is nowhere near


def density_and_integral(x: Array) -> tuple[Array, Array]:
    """Return phi(x) and Phi(x), absolute error below 1e-14; below 3e-7 where *x* is in single precision."""
    single = x.dtype == np.float32
    size = np.abs(x)
    if not single:
        np.minimum(size, FAR, out=size)
    bell = size * size
    bell *= -0.5
    np.exp(bell, out=bell)
    bell /= ROOT_2PI
    tail = _tail_over_bell_single(size) if single else _tail_over_bell(size)
    tail *= bell
    if not single:
        return bell, np.where(x > 0, 1.0 - tail, tail)
    # The same without a choice at each element; far out on the left it keeps seven decimals, not seven digits.
    np.subtract(0.5, tail, out=size)
    np.copysign(size, x, out=size)
    size += 0.5
    return bell, size


def inverse(chance: Array) -> Array:
    """Return where Phi reaches *chance*, to 1e-15 of it; infinite at 0 and 1."""
    if chance.size > FEW:
        from scipy.special import ndtri  # noqa: PLC0415

        return np.asarray(ndtri(chance))
    found = [_INVERSE(c) if 0.0 < c < 1.0 else _ENDS.get(c, nan) for c in chance.ravel().tolist()]
    return np.array(found, chance.dtype).reshape(chance.shape)


def _tail_over_bell(size: Array) -> Array:
    over = size * (_OVER[0] * ROOT_2PI)
    over += _OVER[1] * ROOT_2PI
    for c in _OVER[2:]:
        over *= size
        over += c * ROOT_2PI
    under = size * _UNDER[0]
    under += _UNDER[1]
    for c in _UNDER[2:]:
        under *= size
        under += c
    over /= under
    return over


def _tail_over_bell_single(size: Array) -> Array:
    t = size * _SINGLE_P
    t += 1.0
    np.divide(1.0, t, out=t)
    tail = t * _SINGLE[0]
    for c in _SINGLE[1:]:
        tail += c
        tail *= t
    return tail
