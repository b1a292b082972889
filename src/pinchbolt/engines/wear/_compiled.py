"""The two questions asked of many parts, compiled: the law written as loops (`_loops`, `_loops_filter`, `_loops_guard`,
`_loops_along`, `_loops_hunt`).

For one part the law runs as it stands, over arrays (`_filter`, `_guard`, `_hunt`): nothing to load, nothing to wait for. Arrays
take minutes to compile and the processor takes their components one by one, so for many it is written a second time, and a test
holds both together. What was compiled is kept beside the source (or in the user's cache folder where that can't be written),
under the text of all that went into it.
"""

from collections.abc import Callable
from functools import cache
from hashlib import sha256
from inspect import getmodule, getsource
from types import FunctionType, ModuleType
from typing import Any, cast

from pinchbolt.engines.wear import (
    _along,
    _batch,
    _filter,
    _guard,
    _hunt,
    _loops,
    _loops_along,
    _loops_filter,
    _loops_guard,
    _loops_hunt,
    _normal,
)

# What lets a loop over components be done eight at a time: sums in any order, no account of nan and endless numbers.
QUICK = {"reassoc", "contract", "nsz", "arcp", "nnan", "ninf"}
# Nobody calls these from C, and a form for that would hold the whole of each function once more: an eighth of the compiling.
OPTIONS: Any = {"error_model": "numpy", "no_cfunc_wrapper": True}
INNER: tuple[Callable[..., object], ...] = (
    _loops.bell_and_tail, _loops.mixed, _loops.shown_below, _loops.passed_now, _loops.told_of_value, _loops.told_of_interval,
    _loops.told_of_open_end,
    _loops_filter.grown,
    _loops_filter.look_at, _loops_filter._through, _loops_filter.move, _loops_guard.cut_off_at_new, _loops_hunt._blurred,
    _loops_hunt._share_of_road,
    _loops._quick_bell_and_tail, _loops.falling, _loops.whole_of, _loops.product_of, _loops.least_of, _loops._middle_probit,
    _loops._begin_probits, _loops._end_probits, _loops_filter._all_count, _loops_guard.spread_over, _loops_guard.put_down,
    _loops_guard.move_wear,
)  # fmt: skip
SHARED: tuple[Callable[..., object], ...] = (
    _filter.flat_share, _filter.repeated_share, _filter.story_weight, _guard.offset, _guard.reached,
    _guard._mark_on_the_way, _guard._mark_below, _guard.lay_values, _guard.lay_outcomes,
    _along.usual_pace, _along.pace_of, _along.may_come_later, _along.place_of,
)  # fmt: skip
# These make arrays, or hand them on as `_batch.part_at` does; they and who asks them count. All others only fill what they are
# given: counting who still needs an array, at each call and for each of the thirty arrays of a room, took half of the time. So none
# of those may hand an array to one that counts: it would be given back once too often.
MAKERS: tuple[Callable[..., object], ...] = (
    _loops_filter.room_for, _loops_filter.rates_for, _loops_guard.points_for, _loops_guard.stack_room, _loops_along.along_room,
    _loops_hunt.hunt_for,
)  # fmt: skip
UNCOUNTED: Any = {"_nrt": False}
# Who calls the functions of a room hands it over array by array, seven numbers each, five hundred in all. Put in the place of the
# call that is spared: a third of the time. Not those that do much and are called from several places: each would be compiled again.
PUT_IN_PLACE = _loops_filter, _loops_guard, _loops_hunt
CALLED: tuple[Callable[..., object], ...] = (
    _loops_guard.lay_stack, _loops_filter._make_rates, _loops_filter._blur_rates,
)  # fmt: skip
LOOPS = _loops, _loops_filter, _loops_guard, _loops_along, _loops_hunt
MODULES = (*LOOPS, _normal, _filter, _guard, _along, _hunt, _batch)


@cache
def compiled() -> tuple[Callable[..., None], Callable[..., None]]:
    """Return `foretell` and `weigh`, compiled; over arrays (the same answers, some thirty times slower) without numba."""
    try:
        from numba.extending import register_jitable  # noqa: PLC0415
    except ModuleNotFoundError:
        return _batch.foretell, _batch.weigh

    asked = _loops_hunt.foretell, _loops_hunt.weigh
    for one in INNER:
        register_jitable(**OPTIONS, **UNCOUNTED, fastmath=QUICK)(one)
    for one in SHARED:
        register_jitable(**OPTIONS, **UNCOUNTED)(one)
    register_jitable(**OPTIONS)(_batch.part_at)
    for module in LOOPS:
        for helper in vars(module).values():
            own = isinstance(helper, FunctionType) and helper.__module__ == module.__name__
            if own and helper not in (*INNER, *asked):
                in_place = module in PUT_IN_PLACE and helper not in (*MAKERS, *CALLED)
                counted: dict[str, bool] = {} if helper in MAKERS else UNCOUNTED
                register_jitable(**OPTIONS, **counted, forceinline=in_place)(helper)
    foretell, weigh = (compiled_form(question) for question in asked)
    return foretell, weigh


def compiled_form(function: Callable[..., None]) -> Callable[..., None]:
    """*function*, which calls those of the law, compiled; after `compiled`, which tells how those are."""
    from numba import njit  # noqa: PLC0415

    own, how = getmodule(function), cast(ModuleType, getmodule(compiled_form))
    stamp = _text_of((*MODULES, how, own) if own else (*MODULES, how))
    form = njit(nogil=True, cache=True, **OPTIONS)(_stamped(function, stamp))
    return cast(Callable[..., None], form)


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
