"""The two questions asked of many parts, compiled: the same functions as for one part.

Five small ones of them, at the bottom of all, are written a second time as loops over numbers: as arrays they take minutes
to compile. A test holds the compiled answer to the plain one. Compiling takes some seconds once; what was compiled is kept
beside the source (or in the user's cache folder where that can't be written), under the text of all that went into it.
"""

from collections.abc import Callable, Iterator
from functools import cache
from hashlib import sha256
from inspect import getsource
from math import exp, log, sqrt
from types import FunctionType, ModuleType
from typing import Any, cast

import numpy as np

from pinchbolt.engines.wear import _batch, _filter, _guard, _hunt, _normal
from pinchbolt.engines.wear._normal import _A, _B, _C, _D, _OVER, _UNDER, FAR, ROOT_2PI

MODULES = _normal, _filter, _guard, _hunt, _batch
NOT_COMPILED = {"density_and_integral", "inverse", "over", "batch_of"}


@cache
def compiled() -> tuple[Callable[..., None], Callable[..., None]]:
    """Return `foretell` and `weigh`, compiled; as they stand (the same answers, some thirty times slower) without numba."""
    try:
        from numba import njit  # noqa: PLC0415
        from numba.extending import overload, register_jitable  # noqa: PLC0415
    except ModuleNotFoundError:
        return _batch.foretell, _batch.weigh

    options: Any = {"error_model": "numpy"}
    for one in (_near_tail, _tail_over_bell, _integral, _probit):
        register_jitable(**options)(one)
    loops: dict[Any, Any] = {
        _normal.tail_over_bell: _each(_tail_over_bell),
        _normal.integral: _each(_integral),
        _normal.probit: _each(_probit),
        _guard.mixed: lambda weight, rate, wear, var, mark, use, spread: _mixed,
        _filter.cut_off: lambda a, b: _cut_off,
    }
    for plain, chosen in loops.items():
        overload(plain, jit_options=options, strict=False)(chosen)
    asked = _batch.foretell, _batch.weigh
    left_out = {one.__name__ for one in (*loops, *asked)} | NOT_COMPILED
    for helper in _helpers():
        if helper.__name__ not in left_out:
            register_jitable(**options)(helper)
    stamp = _text_of(MODULES)
    foretell, weigh = (njit(nogil=True, cache=True, **options)(_stamped(one, stamp)) for one in asked)
    return foretell, weigh


def _helpers() -> Iterator[FunctionType]:
    """Every function that is written in these modules."""
    for module in MODULES:
        for helper in vars(module).values():
            if isinstance(helper, FunctionType) and helper.__module__ == module.__name__:
                yield helper


def _text_of(modules: tuple[ModuleType, ...]) -> str:
    loops: tuple[Any, ...] = _near_tail, _tail_over_bell, _integral, _probit, _mixed, _cut_off, _each
    text = sha256("".join(map(getsource, loops)).encode())
    for module in modules:
        text.update(getsource(module).encode())
    return text.hexdigest()[:16]


def _stamped(function: Callable[..., None], stamp: str) -> Callable[..., None]:
    """The same function under a name that holds *stamp*: a kept form is found by its name, so no old one is taken."""
    plain = cast(FunctionType, function)
    name = f"{plain.__name__}_{stamp}"
    named = FunctionType(
        plain.__code__.replace(co_name=name, co_qualname=name), plain.__globals__, name, plain.__defaults__
    )
    named.__qualname__, named.__module__ = name, plain.__module__
    return named


def _each(number: Callable[[float], float]) -> Callable[[Any], Any]:
    """The loop over all numbers of an array."""

    def chosen(x: Any) -> Any:
        def loop(x: Any) -> Any:
            out = np.empty(x.shape)
            for i, value in enumerate(x.flat):
                out.flat[i] = number(value)
            return out

        return loop

    return chosen


def _near_tail(x: float) -> float:
    over = _OVER[0] * x + _OVER[1]
    over = ((((over * x + _OVER[2]) * x + _OVER[3]) * x + _OVER[4]) * x + _OVER[5]) * x + _OVER[6]
    under = _UNDER[0] * x + _UNDER[1]
    under = (
        ((((under * x + _UNDER[2]) * x + _UNDER[3]) * x + _UNDER[4]) * x + _UNDER[5]) * x + _UNDER[6]
    ) * x + _UNDER[7]
    return over * ROOT_2PI / under


def _tail_over_bell(x: float) -> float:
    if x < 7.0:
        return _near_tail(x)
    return 1.0 / (x + 1.0 / (x + 2.0 / (x + 3.0 / (x + 4.0 / (x + 5.0 / (x + 0.65))))))


def _integral(x: float) -> float:
    size = min(abs(x), FAR)
    tail = _near_tail(size) * exp(-0.5 * size * size) / ROOT_2PI
    return 1.0 - tail if x > 0.0 else tail


def _probit(chance: float) -> float:
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
    e = (_integral(x) - low) * ROOT_2PI * exp(0.5 * x * x)
    x = x - e / (1.0 + 0.5 * x * e)
    return -x if p > 0.5 else x


def _mixed(weight: Any, rate: Any, wear: Any, var: Any, mark: Any, use: Any, spread: Any) -> Any:
    out = np.zeros(len(use))
    for i in range(len(use)):
        whole = 0.0
        for k in range(len(weight)):
            whole += weight[k] * _integral(
                (wear[k] + rate[k] * use[i] - mark[i]) / sqrt(var[k] + rate[k] * rate[k] * spread[i])
            )
        out[i] = whole
    return out


def _cut_off(a: Any, b: Any) -> Any:
    count = len(a)
    log_like, first, second = np.empty(count), np.empty(count), np.empty(count)
    for i in range(count):
        mirror = a[i] + b[i] < 0.0
        near = min(max(-b[i] if mirror else a[i], -38.0), 1e8)
        far = min(max(-a[i] if mirror else b[i], -38.0), 1e8)
        away = far >= 38.0
        if near > 0.0:
            one, two = 1.0, 0.0 if away else exp(max(0.5 * (near - far) * (near + far), -700.0))
            chance = max(_tail_over_bell(near) - two * _tail_over_bell(min(abs(far), 38.0)), 1e-290)
            log_like[i] = log(chance) - 0.5 * near * near - 0.9189385332046727
        else:
            size = min(-near, 38.0)
            one = exp(-0.5 * size * size) / ROOT_2PI
            side = min(abs(far), 38.0)
            two = 0.0 if away else exp(-0.5 * side * side) / ROOT_2PI
            chance = max(1.0 - one * _tail_over_bell(-near) - two * _tail_over_bell(side), 1e-290)
            log_like[i] = log(chance)
        slope = (one - two) / chance
        first[i] = -slope if mirror else slope
        second[i] = (near * one - (0.0 if two == 0.0 else far) * two) / chance
    return log_like, first, second
