"""How true a wheel is, one nipple's turn, and what is said of a plan."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from math import isfinite

import numpy as np

from pinchbolt.engines.wheels._learn_wheel import Learnt
from pinchbolt.engines.wheels._turn_search import Limits, Problem, State
from pinchbolt.errors import InputRefused
from pinchbolt.values import Reason
from pinchbolt.values.about import percent
from pinchbolt.values.wording import worded

AFTER_A_HIT = worded("After a hit, look for cracks at the holes, the rim's joint and the hub before truing.")
"""Caution (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Trueness:
    """How true a wheel is: runout side and up, peak to peak, and dish in m; departure from the side's mean; tensions in N."""

    side: float
    up: float
    dish: float | None
    spread: float
    mean_left: float
    mean_right: float
    least: float
    greatest: float

    def straight(self, limits: Limits) -> bool:
        """Whether every limit of straightness and evenness is kept, however tight its spokes are."""
        return (
            self.side <= limits.side
            and self.up <= limits.up
            and self.spread <= limits.spread
            and (self.dish is None or abs(self.dish) <= limits.dish)
        )

    def within(self, limits: Limits) -> bool:
        """Whether every limit is kept, the mark on the rim too."""
        return self.straight(limits) and (limits.greatest is None or self.greatest <= limits.greatest)


class Outside(Enum):
    """Why a wheel stays outside its limits, as it is said: nothing known against it, the rim, or the spokes' own ends."""

    NOT = ""
    BENT = worded("The rim is bent: it cannot be brought inside its limits by nipples. ")
    FAR = worded(
        "Not inside within two turns a spoke, or not with what the spokes may bear: look for "
        "a rim that is bent, or a spoke that is wrong. "
    )


@dataclass(frozen=True, slots=True)
class Turn:
    """One nipple: spoke from 1 on, quarters (above 0 tightens), and the greatest tension of any spoke once it is done. [N]

    `over`: how far a spoke is then above the mark, or above what it had where it was over it before; 0 where none is. [N]
    """

    spoke: int
    quarters: int
    greatest: float
    over: float


def trueness(state: State, right: Sequence[bool]) -> Trueness:
    """Return how true a wheel is.

    Args:
        state: Side and up, tension per spoke. [m], [N]
        right: Which spokes go to the right. [-]

    Returns:
        Runout peak to peak, dish, departure from the side's mean, tensions. [m], [-], [N]

    Valid for: Readings at every spoke.

    Source: Trade practice; runout as full reading over one turn, ISO 4210-7 4.1.
    """
    on_right = np.array(right)
    means = {side: float(state.tension[on_right == side].mean()) for side in (False, True)}
    mean = np.where(on_right, means[True], means[False])
    return Trueness(
        side=float(np.ptp(state.side)),
        up=float(np.ptp(state.up)),
        dish=float(state.side.mean()) if state.dished else None,
        spread=float(np.abs(state.tension / mean - 1).max()),
        mean_left=means[False],
        mean_right=means[True],
        least=float(state.tension.min()),
        greatest=float(state.tension.max()),
    )


def tension_ratio(
    offsets: tuple[float, float], lengths: tuple[float, float], counts: tuple[int, int] = (1, 1)
) -> float:
    """Return the tension of the left side as a share of the right one's: along the axle their pulls are in balance.

    ``T_l / T_r = (o_r n_r / L_r) / (o_l n_l / L_l)``

    Args:
        offsets: Left and right flange from the rim's plane. [m]
        lengths: Left and right spokes. [m]
        counts: Left and right spokes, or their ratio. [-]

    Returns:
        Left over right. [-]

    Raises:
        InputRefused: A figure that is not above 0.

    Valid for: Means of the sides; the rim's middle between the locknuts, holes in its middle.

    Example:
        >>> round(tension_ratio((0.032, 0.016), (0.2876, 0.2856)), 4)
        0.5035

    Source: Statics; worked in a wheel-building text.
    """
    if not all(isfinite(one) and one > 0 for one in (*offsets, *lengths, *counts)):
        raise InputRefused(worded("offsets, lengths and counts of both sides: each above 0. Measure again."))
    left, right = (
        offset * count / length for offset, length, count in zip(offsets, lengths, counts, strict=True)
    )
    return right / left


def plan_words(
    turns: tuple[Turn, ...], now: Trueness, end: Trueness, limits: Limits, outside: Outside
) -> str:
    if now.within(limits):
        return worded("True inside its limits: nothing to turn. Read it once more with the tyre on.")
    if now.straight(limits):
        return worded(
            "Straight, but over the mark: let tension down. A spoke has {greatest:.0f} N, the "
            "mark is {limits_greatest:.0f} N: loosen every nipple by a quarter turn, then read "
            "every spoke again.",
            greatest=now.greatest,
            limits_greatest=limits.greatest,
        )
    said = outside.value
    if not turns:
        return said + worded("No turn brings it nearer without passing what the spokes may bear.")
    if not said and not end.straight(limits):
        said = worded(
            "These turns bring it nearer, not yet inside: what is left shows when it is read again. "
        )
    quarters = sum(abs(one.quarters) for one in turns)
    return said + worded(
        "Turn {turns} nipple{s}, {quarters} quarter turns in all, loosening first; then read "
        "every spoke again.",
        turns=len(turns),
        s="" if len(turns) == 1 else "s",
        quarters=quarters,
    )


def plan_cautions(problem: Problem, now: Trueness, turns: tuple[Turn, ...]) -> tuple[str, ...]:
    marked = problem.limits.greatest
    told = [
        worded(
            "Glasses on, tyre and tape off before nipples are turned; a nipple that is rounded "
            "is not tightened any more: replace it."
        ),
        AFTER_A_HIT,
        worded(
            "The limit marked on the rim wins; for a carbon rim its maker's sheet. Where neither "
            "is at hand, ask a qualified mechanic."
        ),
    ]
    worst = max(turns, key=lambda one: one.over, default=None)
    if worst is not None and worst.over >= 0.5:
        told.insert(
            0,
            worded(
                "On the way a tight spoke passes the mark, or what it had where it was over it "
                "already, by {over:.0f} N: while spoke {spoke} is loosened, until those beside it "
                "are. No order of these turns avoids it. Look at the holes for cracks first, and "
                "loosen tight ones side by side a little at a time, by turns.",
                over=worst.over,
                spoke=worst.spoke,
            ),
        )
    if marked is None:
        told.insert(
            0,
            worded(
                "No greatest tension was given: no spoke is brought above the tightest of the first "
                "round ({max:.0f} N). Look for the marking on the rim, or its maker's sheet.",
                max=problem.caps.max(),
            ),
        )
    elif now.greatest > marked:
        told.insert(
            0,
            worded(
                "A spoke has {greatest:.0f} N, above the {marked:.0f} N marked: look at its hole for "
                "cracks; it is not raised.",
                greatest=now.greatest,
                marked=marked,
            ),
        )
    return tuple(told)


def plan_reasons(learnt: Learnt) -> tuple[Reason, ...]:
    model = Reason(
        worded("ring of beams on spokes, three stiffnesses of the rim at once"),
        "",
        worded("textbooks of structural mechanics"),
    )
    if learnt.rounds < 2:
        return (model,)
    return (
        model,
        Reason(
            worded(
                "by what {rounds} round{s} did, this rim is {sideways:.2f} times as stiff sideways "
                "and {up:.2f} times up-and-down as was taken (within {log_sd})",
                rounds=learnt.rounds - 1,
                s="" if learnt.rounds == 2 else "s",
                sideways=learnt.sideways,
                up=learnt.up,
                log_sd=percent(learnt.log_sd),
            ),
            "",
            worded("readings before and after"),
        ),
    )
