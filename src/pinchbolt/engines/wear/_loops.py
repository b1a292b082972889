"""The inner functions of the law as loops over numbers, in the form that is compiled for many parts (`_compiled`).

Each has a twin of the same name that works on arrays (`_normal`, `_filter`, `_guard`); a test holds them together. Loops that
are run most are written so that the processor takes eight components at a time: no call and no jump inside, and e^y by a series
on a sixty-fourth of y, squared six times (relative error 1e-14). Beyond 8.3 deviations nothing changes that counts.
"""

from math import exp, factorial, log, sqrt

import numpy as np

from pinchbolt.engines.wear._filter import LEAST_WEIGHT, NEW, OTHER, Cloud, PartArrays
from pinchbolt.engines.wear._normal import _A, _B, _C, _D, _OVER, _UNDER, FAR, ROOT_2PI
from pinchbolt.engines.wear._scale import Array

O0, O1, O2, O3, O4, O5, O6 = _OVER
U0, U1, U2, U3, U4, U5, U6, U7 = _UNDER
E3, E4, E5, E6, E7, E8, E9, E10, E11 = (1.0 / factorial(k) for k in range(3, 12))
OUT = 8.3
LOG_ROOT_2PI = log(ROOT_2PI)


def bell_and_tail(a: float) -> tuple[float, float]:
    """e^(-a^2 / 2), and Phi(-a), for *a* from 0 to OUT."""
    over = (((((O0 * a + O1) * a + O2) * a + O3) * a + O4) * a + O5) * a + O6
    under = ((((((U0 * a + U1) * a + U2) * a + U3) * a + U4) * a + U5) * a + U6) * a + U7
    y = a * a * (-0.5 / 64.0)
    e = (
        ((((((((E11 * y + E10) * y + E9) * y + E8) * y + E7) * y + E6) * y + E5) * y + E4) * y + E3) * y + 0.5
    ) * y
    e = (e + 1.0) * y + 1.0
    e = e * e
    e = e * e
    e = e * e
    e = e * e
    e = e * e
    e = e * e
    return e, over / under * e


def mixed(
    weight: Array, rate: Array, wear: Array, var: Array, mark: Array, use: Array, spread: Array
) -> Array:
    """See `_guard.mixed`."""
    out = np.empty(len(use))
    for i in range(len(use)):
        whole, x, q, h = 0.0, use[i], spread[i], mark[i]
        for k in range(len(weight)):
            r = rate[k]
            z = (wear[k] + r * x - h) / sqrt(var[k] + r * r * q)
            a = abs(z)
            _, tail = bell_and_tail(OUT if a > OUT else a)
            whole += weight[k] * (1.0 - tail if z > 0.0 else tail)
        out[i] = whole
    return out


def told_of_value(
    expected: Array, variance: Array, at: float, slip: Array, flat: float
) -> tuple[Array, Array, Array, Array]:
    """See `_filter.told`: of a value, where slips are allowed for."""
    n = len(expected)
    total, first, drop, slipped = np.empty(n), np.empty(n), np.empty(n), np.empty(n)
    for k in range(n):
        per_root = 1.0 / sqrt(variance[k])
        x = (at - expected[k]) * per_root
        a = abs(x)
        e, _ = bell_and_tail(OUT if a > OUT else a)
        like = (1.0 - slip[k]) * e * per_root / ROOT_2PI
        whole = like + slip[k] * flat + 1e-300
        good = like / whole
        one = x * good
        total[k], first[k] = whole, one * per_root
        drop[k], slipped[k] = (one * one - (x * x - 1.0) * good) * per_root * per_root, 1.0 - good
    return total, first, drop, slipped


def told_of_interval(
    expected: Array, variance: Array, low: float, high: float, slip: Array, flat: float
) -> tuple[Array, Array, Array, Array]:
    """See `_filter.told`: of an interval, where slips are allowed for."""
    n = len(expected)
    total, first, drop, slipped = np.empty(n), np.empty(n), np.empty(n), np.empty(n)
    low, high = max(low, -1e9), min(high, 1e9)
    for k in range(n):
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
        slipped[k] = 1.0 - like / whole
    return total, first, drop, slipped


def looked_at(part: PartArrays, cloud: Cloud, j: int) -> tuple[Array, Array, Array]:
    """See `_filter.looked_at`."""
    states, n = cloud.mean.shape
    missing, noise = part.run_in * part.bedded[j], part.sd[j] ** 2
    expected, seen = np.empty(n), np.empty((states, n))
    for k in range(n):
        expected[k] = cloud.mean[0, k] - (missing if cloud.story[k] == NEW else 0.0)
    for i in range(states):
        for k in range(n):
            seen[i, k] = cloud.cov[i, 0, k]
    for b in range(1, states):
        by = part.look[j, b - 1]
        if by != 0.0:
            for k in range(n):
                expected[k] += by * cloud.mean[b, k]
            for i in range(states):
                for k in range(n):
                    seen[i, k] += by * cloud.cov[i, b, k]
    return expected, variance_of(part, seen, noise, j), seen


def variance_of(part: PartArrays, seen: Array, noise: float, j: int) -> Array:
    """Of what reading *j* was expected to show."""
    states, n = seen.shape
    variance = np.empty(n)
    for k in range(n):
        variance[k] = seen[0, k] + noise
    for b in range(1, states):
        by = part.look[j, b - 1]
        if by != 0.0:
            for k in range(n):
                variance[k] += by * seen[b, k]
    return variance


def moved(cloud: Cloud, seen: Array, first: Array, drop: Array) -> None:
    """See `_filter.moved`."""
    states, n = cloud.mean.shape
    for i in range(states):
        for k in range(n):
            cloud.mean[i, k] += seen[i, k] * first[k]
        for l in range(states):  # noqa: E741
            for k in range(n):
                cloud.cov[i, l, k] -= seen[i, k] * seen[l, k] * drop[k]


def without_the_least(cloud: Cloud, weight: Array, slipped: Array) -> tuple[Cloud, Array]:
    """See `_filter.without_the_least`."""
    states, n = cloud.mean.shape
    whole = np.zeros(3)
    for k in range(n):
        whole[int(cloud.story[k])] += weight[k]
    left, size = np.empty(n, np.int64), 0
    total = 0.0
    for k in range(n):
        if weight[k] > LEAST_WEIGHT * whole[int(cloud.story[k])]:
            left[size] = k
            size += 1
            total += weight[k]
    if size == n:
        return Cloud(weight, cloud.rate, cloud.z, cloud.story, cloud.row, cloud.mean, cloud.cov), slipped
    one, rate, z = np.empty(size), np.empty(size), np.empty(size)
    story, row, slips = np.empty(size), np.empty(size), np.empty(size)
    mean, cov = np.empty((states, size)), np.empty((states, states, size))
    for m in range(size):
        k = left[m]
        one[m], rate[m], z[m] = weight[k] / total, cloud.rate[k], cloud.z[k]
        story[m], row[m], slips[m] = cloud.story[k], cloud.row[k], slipped[k]
    for i in range(states):
        for m in range(size):
            mean[i, m] = cloud.mean[i, left[m]]
        for l in range(states):  # noqa: E741
            for m in range(size):
                cov[i, l, m] = cloud.cov[i, l, left[m]]
    return Cloud(one, rate, z, story, row, mean, cov), slips


def grown(part: PartArrays, cloud: Cloud, j: int, use: float, spread: float) -> None:
    """See `_filter.grown`."""
    for k in range(len(cloud.weight)):
        r = 0.0 if j == 0 and cloud.story[k] == OTHER else cloud.rate[k]
        cloud.mean[0, k] += r * use
        cloud.cov[0, 0, k] += r * r * spread


def blurred(weight: Array, z: Array, row: Array, blur: float) -> Array:
    """See `_filter.blurred`. Nodes of a row lie side by side."""
    n = len(weight)
    out, near, start = np.zeros(n), np.empty(n), 0
    while start < n:
        end = start
        while end < n and row[end] == row[start]:
            end += 1
        for k in range(start, end):
            whole = 0.0
            for m in range(start, end):
                d = abs(z[m] - z[k]) / blur
                e, _ = bell_and_tail(OUT if d > OUT else d)
                near[m] = e
                whole += e
            share = weight[k] / whole
            for m in range(start, end):
                out[m] += share * near[m]
        start = end
    return out


def at_node(
    cloud: Cloud, seen: Array, total: Array, first: Array, drop: Array, least_weight: float, least_var: float
) -> tuple[Array, Array, Array, Array]:
    """See `_guard.at_node`."""
    n, whole = len(cloud.weight), 0.0
    weight = np.empty(n)
    for k in range(n):
        weight[k] = cloud.weight[k] * total[k]
        whole += weight[k]
    left, size, kept = np.empty(n, np.int64), 0, 0.0
    for k in range(n):
        weight[k] /= whole
        if weight[k] > least_weight:
            left[size] = k
            size += 1
            kept += weight[k]
    one, rate, wear, var = np.empty(size), np.empty(size), np.empty(size), np.empty(size)
    for m in range(size):
        k = left[m]
        one[m], rate[m] = weight[k] / kept, cloud.rate[k]
        wear[m] = cloud.mean[0, k] + seen[0, k] * first[k]
        v = cloud.cov[0, 0, k] - seen[0, k] * seen[0, k] * drop[k]
        var[m] = v if v > least_var else least_var
    return one, rate, wear, var


def cut_off(a: Array, b: Array) -> tuple[Array, Array, Array]:
    """See `_filter.cut_off`: exact however far out, for parts whose last reading is no slip."""
    count = len(a)
    log_like, first, second = np.empty(count), np.empty(count), np.empty(count)
    for i in range(count):
        mirror = a[i] + b[i] < 0.0
        near = min(max(-b[i] if mirror else a[i], -38.0), 1e8)
        far = min(max(-a[i] if mirror else b[i], -38.0), 1e8)
        away = far >= 38.0
        if near > 0.0:
            one, two = 1.0, 0.0 if away else exp(max(0.5 * (near - far) * (near + far), -700.0))
            chance = max(tail_over_bell(near) - two * tail_over_bell(min(abs(far), 38.0)), 1e-290)
            log_like[i] = log(chance) - 0.5 * near * near - 0.9189385332046727
        else:
            size = min(-near, 38.0)
            one = exp(-0.5 * size * size) / ROOT_2PI
            side = min(abs(far), 38.0)
            two = 0.0 if away else exp(-0.5 * side * side) / ROOT_2PI
            chance = max(1.0 - one * tail_over_bell(-near) - two * tail_over_bell(side), 1e-290)
            log_like[i] = log(chance)
        slope = (one - two) / chance
        first[i] = -slope if mirror else slope
        second[i] = (near * one - (0.0 if two == 0.0 else far) * two) / chance
    return log_like, first, second


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
    p = min(max(chance, 6.3e-16), 1.0 - 6.3e-16)
    low = min(p, 1.0 - p)
    if low < 0.02425:
        q = sqrt(-2.0 * log(low))
        x = (((((_C[0] * q + _C[1]) * q + _C[2]) * q + _C[3]) * q + _C[4]) * q + _C[5]) / (
            (((_D[0] * q + _D[1]) * q + _D[2]) * q + _D[3]) * q + 1.0
        )
    else:
        m = low - 0.5
        r = m * m
        x = (
            (((((_A[0] * r + _A[1]) * r + _A[2]) * r + _A[3]) * r + _A[4]) * r + _A[5])
            * m
            / (((((_B[0] * r + _B[1]) * r + _B[2]) * r + _B[3]) * r + _B[4]) * r + 1.0)
        )
    e = (integral(x) - low) * ROOT_2PI * exp(0.5 * x * x)
    x = x - e / (1.0 + 0.5 * x * e)
    return -x if p > 0.5 else x
