"""The two questions asked of many parts, compiled: the same functions as for one part.

The inner ones of them are written a second time as loops over numbers (`_loops`): as arrays they take minutes to compile, and
the processor takes their components one by one. A test holds the compiled answer to the plain one. Compiling takes a minute
once; what was compiled is kept beside the source (or in the user's cache folder where that can't be written), under the text
of all that went into it.
"""

from collections.abc import Callable, Iterator
from functools import cache
from hashlib import sha256
from inspect import getmodule, getsource
from types import FunctionType, ModuleType
from typing import Any, cast

import numpy as np

from pinchbolt.engines.wear import _batch, _filter, _guard, _hunt, _loops, _normal
from pinchbolt.engines.wear._scale import Array

# What lets the loop over components be done eight at a time: sums in any order, no account of nan.
QUICK = {"reassoc", "contract", "nsz", "arcp", "nnan", "ninf"}
MODULES = _normal, _filter, _guard, _hunt, _batch, _loops
NOT_COMPILED = {"density_and_integral", "inverse", "over", "batch_of"}


@cache
def compiled() -> tuple[Callable[..., None], Callable[..., None]]:
    """Return `foretell` and `weigh`, compiled; as they stand (the same answers, some thirty times slower) without numba."""
    try:
        from numba.extending import overload, register_jitable  # noqa: PLC0415
    except ModuleNotFoundError:
        return _batch.foretell, _batch.weigh

    options: Any = {"error_model": "numpy"}
    for one in (_loops.near_tail, _loops.tail_over_bell, _loops.integral, _loops.probit):
        register_jitable(**options)(one)
    quick: Any = options | {"fastmath": QUICK}
    register_jitable(**quick)(_loops.bell_and_tail)
    register_jitable(**quick)(_loops.variance_of)
    by_number: tuple[tuple[Callable[..., object], Callable[[float], float]], ...] = (
        (_normal.tail_over_bell, _loops.tail_over_bell), (_normal.integral, _loops.integral), (_normal.probit, _loops.probit),
    )  # fmt: skip
    for plain, number in by_number:
        overload(plain, jit_options=options, strict=False)(_each(number))
    overload(_filter.cut_off, jit_options=options, strict=False)(lambda a, b: _loops.cut_off)
    # `overload` wants a function of the same arguments that returns the one to compile.
    by_loop: dict[Callable[..., object], Callable[..., object]] = {
        _filter.told_of_value: lambda expected, variance, at, slip, flat: _loops.told_of_value,
        _filter.told_of_interval: lambda expected, variance, low, high, slip, flat: _loops.told_of_interval,
        _filter.looked_at: lambda part, cloud, j: _loops.looked_at,
        _filter.moved: lambda cloud, seen, first, drop: _loops.moved,
        _filter.grown: lambda part, cloud, j, use, spread: _loops.grown,
        _filter.without_the_least: lambda cloud, weight, slipped: _loops.without_the_least,
        _filter.blurred: lambda weight, z, row, blur: _loops.blurred,
        _guard.at_node: lambda cloud, seen, total, first, drop, least_weight, least_var: _loops.at_node,
        _guard.mixed: lambda weight, rate, wear, var, mark, use, spread: _loops.mixed,
    }
    for array_form, chosen in by_loop.items():
        overload(array_form, jit_options=quick, strict=False)(chosen)
    twins = {name for name, one in vars(_loops).items() if isinstance(one, FunctionType)}
    asked = _batch.foretell, _batch.weigh
    left_out = {one.__name__ for one in asked} | twins | NOT_COMPILED
    for helper in _helpers():
        if helper.__name__ not in left_out:
            register_jitable(**options)(helper)
    foretell, weigh = (compiled_form(one) for one in asked)
    return foretell, weigh


def compiled_form(function: Callable[..., None]) -> Callable[..., None]:
    """*function*, which calls those of the law, compiled; after `compiled`, which tells how those are."""
    from numba import njit  # noqa: PLC0415

    own = getmodule(function)
    stamp = _text_of((*MODULES, own) if own else MODULES)
    form = njit(nogil=True, cache=True, error_model="numpy")(_stamped(function, stamp))
    return cast(Callable[..., None], form)


def _helpers() -> Iterator[FunctionType]:
    """Every function that is written in these modules."""
    for module in MODULES:
        for helper in vars(module).values():
            if isinstance(helper, FunctionType) and helper.__module__ == module.__name__:
                yield helper


def _text_of(modules: tuple[ModuleType, ...]) -> str:
    text = sha256()
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


def _each(number: Callable[[float], float]) -> Callable[[Array], object]:
    """The loop over all numbers of an array."""

    def chosen(x: Array) -> object:
        def loop(x: Array) -> object:
            out = np.empty(x.shape)
            for i, value in enumerate(x.flat):
                out.flat[i] = number(value)
            return out

        return loop

    return chosen
