"""The standard normal for arrays: density, integral and the integral's inverse; means over a normal variable.

Nothing here loads scipy for one part's forecast: that alone takes longer than the forecast and its reasons.
"""

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
# P. J. Acklam's coefficients, highest power first.
_A = (
    -3.969683028665376e01,
    2.209460984245205e02,
    -2.759285104469687e02,
    1.383577518672690e02,
    -3.066479806614716e01,
    2.506628277459239e00,
)
_B = (
    -5.447609879822406e01,
    1.615858368580409e02,
    -1.556989798598866e02,
    6.680131188771972e01,
    -1.328068155288572e01,
)
_C = (
    -7.784894002430293e-03,
    -3.223964580411365e-01,
    -2.400758277161838e00,
    -2.549732539343734e00,
    4.374664141464968e00,
    2.938163982698783e00,
)
_D = (7.784695709041462e-03, 3.224671290700398e-01, 2.445134137142996e00, 3.754408661907416e00)
# Nodes and weights of the mean over a normal variable (probabilists' Gauss-Hermite, 7 points).
HERMITE_X, _HERMITE_W = np.polynomial.hermite_e.hermegauss(7)
HERMITE_W = _HERMITE_W / _HERMITE_W.sum()
FAR = 39.0  # beyond, density and tail are 0 in any float: a search must see that it is nowhere near


def bell(x: Array) -> Array:
    """Return phi(x)."""
    return np.exp(-0.5 * x * x) / ROOT_2PI


def tail_over_bell(size: Array) -> Array:
    """Return Phi(-x) / phi(x) for x of 0 or more, relative error below 1e-8 however far out."""
    far = np.maximum(size, 7.0)
    # The continued fraction x + 1 / (x + 2 / (x + 3 / ...)).
    far = far + 1.0 / (far + 2.0 / (far + 3.0 / (far + 4.0 / (far + 5.0 / (far + 0.65)))))
    return np.where(size < 7.0, _near_tail(np.minimum(size, 7.0)), 1.0 / far)


def _near_tail(x: Array) -> Array:
    over = x * _OVER[0] + _OVER[1]
    over = ((((over * x + _OVER[2]) * x + _OVER[3]) * x + _OVER[4]) * x + _OVER[5]) * x + _OVER[6]
    under = x * _UNDER[0] + _UNDER[1]
    under = (
        ((((under * x + _UNDER[2]) * x + _UNDER[3]) * x + _UNDER[4]) * x + _UNDER[5]) * x + _UNDER[6]
    ) * x + _UNDER[7]
    return over * ROOT_2PI / under


def integral(x: Array) -> Array:
    """Return Phi(x), absolute error below 1e-14."""
    size = np.minimum(np.abs(x), FAR)
    tail = _near_tail(size) * np.exp(-0.5 * size * size) / ROOT_2PI
    return np.where(x > 0.0, 1.0 - tail, tail)


def probit(chance: Array) -> Array:
    """Return where Phi reaches *chance*, kept within 8 standard deviations.

    Acklam's rational forms (from memory; held to scipy.special.ndtri by a test) and one Halley step.
    """
    p = np.minimum(np.maximum(chance, 6.3e-16), 1.0 - 6.3e-16)
    low = np.minimum(p, 1.0 - p)
    q = np.sqrt(-2.0 * np.log(low))
    tail = (((((_C[0] * q + _C[1]) * q + _C[2]) * q + _C[3]) * q + _C[4]) * q + _C[5]) / (
        (((_D[0] * q + _D[1]) * q + _D[2]) * q + _D[3]) * q + 1.0
    )
    m = low - 0.5
    r = m * m
    middle = (
        (((((_A[0] * r + _A[1]) * r + _A[2]) * r + _A[3]) * r + _A[4]) * r + _A[5])
        * m
        / (((((_B[0] * r + _B[1]) * r + _B[2]) * r + _B[3]) * r + _B[4]) * r + 1.0)
    )
    x = np.where(low < 0.02425, tail, middle)
    # One step on the small side, where nothing is lost by a difference from 1.
    e = (integral(x) - low) * ROOT_2PI * np.exp(0.5 * x * x)
    x = x - e / (1.0 + 0.5 * x * e)
    return np.where(p > 0.5, -x, x)
