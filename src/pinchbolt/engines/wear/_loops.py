"""The law's numbers as loops, in the form that is compiled for many parts (`_compiled`): bells, mixtures, what a reading tells.

Each has a twin that works on arrays (`_normal`, `_filter`, `_guard`); a test holds them together. Loops that are run most are
written so that the processor takes eight components at a time: no call and no jump inside, and e^y by a series on a
sixty-fourth of y, squared six times (relative error 1e-14). Beyond 8.3 deviations nothing changes that counts.
"""

from math import exp, factorial, log, sqrt

from pinchbolt.engines.wear._normal import _A, _B, _C, _D, _OVER, _UNDER, FAR, ROOT_2PI
from pinchbolt.engines.wear._scale import Array

O0, O1, O2, O3, O4, O5, O6 = _OVER
U0, U1, U2, U3, U4, U5, U6, U7 = _UNDER
E3, E4, E5, E6, E7, E8, E9, E10, E11 = (1.0 / factorial(k) for k in range(3, 12))
OUT = 8.3
LEAST_CHANCE, OUTER = (
    6.3e-16,
    0.02425,
)  # of which a probit is told; below which Acklam has another form for it
LOG_ROOT_2PI = log(ROOT_2PI)


def falling(far: float) -> float:
    """e^(-far), for *far* from 0 to OUT^2 / 2."""
    y = far * (-1.0 / 64.0)
    e = (
        ((((((((E11 * y + E10) * y + E9) * y + E8) * y + E7) * y + E6) * y + E5) * y + E4) * y + E3) * y + 0.5
    ) * y
    e = (e + 1.0) * y + 1.0
    e = e * e
    e = e * e
    e = e * e
    e = e * e
    e = e * e
    return e * e


def bell_and_tail(a: float) -> tuple[float, float]:
    """e^(-a^2 / 2), and Phi(-a), for *a* from 0 to OUT."""
    over = (((((O0 * a + O1) * a + O2) * a + O3) * a + O4) * a + O5) * a + O6
    under = ((((((U0 * a + U1) * a + U2) * a + U3) * a + U4) * a + U5) * a + U6) * a + U7
    e = falling(0.5 * a * a)
    return e, over / under * e


def _quick_bell_and_tail(a: float) -> tuple[float, float]:
    """`bell_and_tail` with three terms of the series less: for sums of chances, where a relative error far out is nothing.

    Off by 64 (a^2 / 128)^9 / 9! e^(-a^2 / 2), which is most at a = 4.2: 1e-15."""
    over = (((((O0 * a + O1) * a + O2) * a + O3) * a + O4) * a + O5) * a + O6
    under = ((((((U0 * a + U1) * a + U2) * a + U3) * a + U4) * a + U5) * a + U6) * a + U7
    y = a * a * (-0.5 / 64.0)
    e = ((((((E8 * y + E7) * y + E6) * y + E5) * y + E4) * y + E3) * y + 0.5) * y
    e = (e + 1.0) * y + 1.0
    e = e * e
    e = e * e
    e = e * e
    e = e * e
    e = e * e
    e = e * e
    return e, over / under * e


def mixed(
    weight: Array, rate: Array, wear: Array, var: Array, start: int, stop: int, mark: float,
    use: Array, spread: Array, by: Array, chance: Array, slope: Array,
) -> None:  # fmt: skip
    """Sum of w Phi((m + r x - h) / sqrt(V + r^2 q)) over the components from *start* to *stop*, and its slope by the use x, at
    each use; *by*: half the slope of q by x. Fills the last two. Eight uses go side by side: nodes have few components."""
    for p in range(len(chance)):
        chance[p], slope[p] = 0.0, 0.0
    for k in range(start, stop):
        w, r, m, v = weight[k], rate[k], wear[k] - mark, var[k]
        square = r * r
        for p in range(len(chance)):
            per_root = 1.0 / sqrt(v + square * spread[p])
            z = (m + r * use[p]) * per_root
            a = abs(z)
            e, tail = _quick_bell_and_tail(OUT if a > OUT else a)
            chance[p] += w * (1.0 - tail if z > 0.0 else tail)
            slope[p] += w * e * per_root * (r - z * square * by[p] * per_root)
    for p in range(len(chance)):
        slope[p] /= ROOT_2PI


def whole_of(values: Array, start: int, stop: int) -> float:
    """Their sum."""
    whole = 0.0
    for k in range(start, stop):
        whole += values[k]
    return whole


def product_of(values: Array, others: Array, start: int, stop: int) -> float:
    """The sum of their products."""
    whole = 0.0
    for k in range(start, stop):
        whole += values[k] * others[k]
    return whole


def least_of(values: Array, start: int, stop: int) -> float:
    """The least of them; 1 where none is below that."""
    least = 1.0
    for k in range(start, stop):
        least = values[k] if values[k] < least else least
    return least


def passed_now(
    total: Array, rate: Array, wear: Array, var: Array, start: int, stop: int, least: float, use: float, spread: float, mark: float
) -> tuple[float, float]:  # fmt: skip
    """Weight of the components from *start* to *stop* that weigh more than *least*, and how much of it is past *mark* after *use*."""
    kept, past = 0.0, 0.0
    for k in range(start, stop):
        w = total[k] if total[k] > least else 0.0
        z = (wear[k] + rate[k] * use - mark) / sqrt(var[k] + rate[k] * rate[k] * spread)
        a = abs(z)
        _, tail = bell_and_tail(OUT if a > OUT else a)
        kept += w
        past += w * (1.0 - tail if z > 0.0 else tail)
    return kept, past


def shown_below(
    weight: Array, expected: Array, variance: Array, start: int, stop: int, at: float
) -> tuple[float, float]:
    """Weight and density, at *at*, of what a reading was expected to show by the components from *start* to *stop*."""
    below, density = 0.0, 0.0
    for k in range(start, stop):
        per_root = 1.0 / sqrt(variance[k])
        z = (at - expected[k]) * per_root
        a = abs(z)
        e, tail = bell_and_tail(OUT if a > OUT else a)
        below += weight[k] * (1.0 - tail if z > 0.0 else tail)
        density += weight[k] * e * per_root
    return below, density / ROOT_2PI


def told_of_value(
    expected: Array, variance: Array, at: float, slip: Array, flat: float, start: int, stop: int,
    total: Array, first: Array, drop: Array, after: Array,
) -> None:  # fmt: skip
    """See `_filter.told`: of a value, where slips are allowed for. Fills the last four."""
    for k in range(start, stop):
        per_root = 1.0 / sqrt(variance[k])
        x = (at - expected[k]) * per_root
        a = abs(x)
        e, _ = bell_and_tail(OUT if a > OUT else a)
        like = (1.0 - slip[k]) * e * per_root / ROOT_2PI
        whole = like + slip[k] * flat + 1e-300
        good = like / whole
        one = x * good
        total[k], first[k] = whole, one * per_root
        drop[k], after[k] = (one * one - (x * x - 1.0) * good) * per_root * per_root, 1.0 - good


def told_of_interval(
    expected: Array, variance: Array, low: float, high: float, slip: Array, flat: float, start: int, stop: int,
    total: Array, first: Array, drop: Array, after: Array,
) -> None:  # fmt: skip
    """See `_filter.told`: of an interval, where slips are allowed for. Fills the last four."""
    low, high = max(low, -1e9), min(high, 1e9)
    for k in range(start, stop):
        per_root = 1.0 / sqrt(variance[k])
        a, b = (low - expected[k]) * per_root, (high - expected[k]) * per_root
        a = OUT if a > OUT else (-OUT if a < -OUT else a)
        b = OUT if b > OUT else (-OUT if b < -OUT else b)
        bell_a, tail_a = bell_and_tail(abs(a))
        bell_b, tail_b = bell_and_tail(abs(b))
        # From the side on which no difference of two ones is taken.
        below_b = 1.0 - tail_b if b > 0.0 else tail_b
        below_a = 1.0 - tail_a if a > 0.0 else tail_a
        chance = tail_a - tail_b if a > 0.0 else below_b - below_a
        chance = 1e-290 if chance < 1e-290 else chance
        # At OUT there is nothing left of a bell: an open end.
        bell_a, bell_b = bell_a / ROOT_2PI, bell_b / ROOT_2PI
        like = (1.0 - slip[k]) * chance
        whole = like + slip[k] * flat + 1e-300
        good = (1.0 - slip[k]) / whole
        one = (bell_a - bell_b) * good
        total[k], first[k] = whole, one * per_root
        drop[k] = (one * one - (a * bell_a - b * bell_b) * good) * per_root * per_root
        after[k] = 1.0 - like / whole


def told_of_open_end(
    expected: Array, variance: Array, at: float, above: float, slip: Array, flat: float, start: int, stop: int,
    total: Array, first: Array, drop: Array, after: Array,
) -> None:  # fmt: skip
    """`told_of_interval` of all below *at* (*above* -1), or of all from it on (*above* 1): one end less to work out."""
    for k in range(start, stop):
        per_root = 1.0 / sqrt(variance[k])
        a = (at - expected[k]) * per_root
        a = OUT if a > OUT else (-OUT if a < -OUT else a)
        e, tail = bell_and_tail(abs(a))
        chance = tail if above * a > 0.0 else 1.0 - tail
        chance = 1e-290 if chance < 1e-290 else chance
        e = above * e / ROOT_2PI
        like = (1.0 - slip[k]) * chance
        whole = like + slip[k] * flat + 1e-300
        good = (1.0 - slip[k]) / whole
        one = e * good
        total[k], first[k] = whole, one * per_root
        drop[k] = (one * one - a * e * good) * per_root * per_root
        after[k] = 1.0 - like / whole


def told_exactly(
    expected: Array, variance: Array, low: float, high: float, slip: Array, flat: float, start: int, stop: int,
    total: Array, first: Array, drop: Array, after: Array,
) -> float:  # fmt: skip
    """See `_filter.told`: however far out, where a slip is not allowed for. Fills the last four; returns the common factor's log."""
    top, most = -1e300, 0.0
    for k in range(start, stop):
        per_root = 1.0 / sqrt(variance[k])
        if low == high:
            x = (low - expected[k]) * per_root
            total[k], first[k], drop[k] = -0.5 * x * x + log(per_root) - LOG_ROOT_2PI, x, x * x - 1.0
        else:
            total[k], first[k], drop[k] = cut_off(
                (low - expected[k]) * per_root, (high - expected[k]) * per_root
            )
        top, most = max(top, total[k]), max(most, slip[k])
    # Where no slip is allowed for, likelihoods may all be tiny: only their ratios count.
    top = top if most == 0.0 else 0.0
    for k in range(start, stop):
        per_root = 1.0 / sqrt(variance[k])
        like = (1.0 - slip[k]) * exp(total[k] - top)
        total[k] = like + slip[k] * flat + 1e-300
        good = like / total[k]
        one = first[k] * good
        first[k], drop[k], after[k] = (
            one * per_root,
            (one * one - drop[k] * good) * per_root * per_root,
            1.0 - good,
        )
    return top


def cut_off(a: float, b: float) -> tuple[float, float, float]:
    """See `_filter.cut_off`."""
    mirror = a + b < 0.0
    near = min(max(-b if mirror else a, -38.0), 1e8)
    far = min(max(-a if mirror else b, -38.0), 1e8)
    away = far >= 38.0
    side = min(abs(far), 38.0)
    if near > 0.0:
        one, two = 1.0, 0.0 if away else exp(max(0.5 * (near - far) * (near + far), -700.0))
        chance = max(tail_over_bell(near) - two * tail_over_bell(side), 1e-290)
        log_like = log(chance) - 0.5 * near * near - LOG_ROOT_2PI
    else:
        size = min(-near, 38.0)
        one = exp(-0.5 * size * size) / ROOT_2PI
        two = 0.0 if away else exp(-0.5 * side * side) / ROOT_2PI
        chance = max(1.0 - one * tail_over_bell(-near) - two * tail_over_bell(side), 1e-290)
        log_like = log(chance)
    slope = (one - two) / chance
    return log_like, -slope if mirror else slope, (near * one - (0.0 if two == 0.0 else far) * two) / chance


def near_tail(x: float) -> float:
    """See `_normal._near_tail`, times the root of two pi."""
    over = (((((O0 * x + O1) * x + O2) * x + O3) * x + O4) * x + O5) * x + O6
    under = ((((((U0 * x + U1) * x + U2) * x + U3) * x + U4) * x + U5) * x + U6) * x + U7
    return over * ROOT_2PI / under


def tail_over_bell(x: float) -> float:
    """See `_normal.tail_over_bell`."""
    if x < 7.0:
        return near_tail(x)
    return 1.0 / (x + 1.0 / (x + 2.0 / (x + 3.0 / (x + 4.0 / (x + 5.0 / (x + 0.65))))))


def integral(x: float) -> float:
    """See `_normal.integral`."""
    size = min(abs(x), FAR)
    tail = near_tail(size) * exp(-0.5 * size * size) / ROOT_2PI
    return 1.0 - tail if x > 0.0 else tail


def probit(chance: float) -> float:
    """See `_normal.probit`."""
    return probit_and_bell(chance)[0]


def probit_and_bell(chance: float) -> tuple[float, float]:
    """Probit z, and e^(-z^2 / 2) to a relative error of 1e-8: one e^y for both."""
    p = min(max(chance, LEAST_CHANCE), 1.0 - LEAST_CHANCE)
    low = min(p, 1.0 - p)
    x = _outer_probit(low) if low < OUTER else _middle_probit(low)
    # x is 0 or below: the side on which nothing is lost by a difference from 1.
    at = exp(-0.5 * x * x)
    e = near_tail(-x) - low * ROOT_2PI / at
    x = x - e / (1.0 + 0.5 * x * e)
    return (-x if p > 0.5 else x), at


def _outer_probit(low: float) -> float:
    """Acklam's form for a chance below OUTER."""
    q = sqrt(-2.0 * log(low))
    over = ((((_C[0] * q + _C[1]) * q + _C[2]) * q + _C[3]) * q + _C[4]) * q + _C[5]
    return over / ((((_D[0] * q + _D[1]) * q + _D[2]) * q + _D[3]) * q + 1.0)


def _middle_probit(low: float) -> float:
    """Acklam's form for a chance from OUTER to a half."""
    m = low - 0.5
    r = m * m
    over = (((((_A[0] * r + _A[1]) * r + _A[2]) * r + _A[3]) * r + _A[4]) * r + _A[5]) * m
    return over / (((((_B[0] * r + _B[1]) * r + _B[2]) * r + _B[3]) * r + _B[4]) * r + 1.0)


def probits_and_bells(chance: Array, z: Array, bell: Array) -> None:
    """`probit_and_bell` of each; fills the last two. The few far out are begun one by one, all others side by side."""
    _begin_probits(chance, z)
    for p in range(len(chance)):
        low = min(chance[p], 1.0 - chance[p])
        if low < OUTER:
            z[p] = _outer_probit(max(low, LEAST_CHANCE))
    _end_probits(chance, z, bell)


def _begin_probits(chance: Array, z: Array) -> None:
    for p in range(len(chance)):
        z[p] = _middle_probit(chance[p] if chance[p] < 0.5 else 1.0 - chance[p])


def _end_probits(chance: Array, z: Array, bell: Array) -> None:
    """One step from a rational form's probit of the smaller side to the true one of the chance."""
    for p in range(len(chance)):
        low = chance[p] if chance[p] < 0.5 else 1.0 - chance[p]
        low = LEAST_CHANCE if low < LEAST_CHANCE else low
        x = z[p] if z[p] < 0.0 else 0.0
        e, tail = bell_and_tail(-x)
        off = (tail - low) * ROOT_2PI / e
        x = x - off / (1.0 + 0.5 * x * off)
        z[p], bell[p] = -x if chance[p] > 0.5 else x, e
