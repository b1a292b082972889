"""The next round of a truing plan: whole quarter turns, at most half a turn a spoke, never past what the rim bears."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pinchbolt.engines.wheels._learn_wheel import Learnt, Noise, WheelRound, learn
from pinchbolt.engines.wheels._ring import RimStiffness, WheelShape, refuse_shape
from pinchbolt.engines.wheels._true import (
    Outside,
    Trueness,
    Turn,
    plan_cautions,
    plan_reasons,
    plan_words,
    trueness,
)
from pinchbolt.engines.wheels._turn_search import (
    DUST,
    Limits,
    Problem,
    Turns,
    after,
    over_caps,
    search,
    usual,
)
from pinchbolt.engines.wheels._wheel_sense import figure, row_of
from pinchbolt.errors import InputRefused, NoSafeAnswer
from pinchbolt.values import Reason
from pinchbolt.values.wording import worded

# Quarters a spoke in one round: half a turn, then it is read again. And in the whole plan.
A_ROUND, IN_ALL = 2, 6
# And where turns cost nothing: two turns a spoke.
FREELY = 8
# Where few turns leave a limit out, they cost these shares; a plan is enough when it ends inside this share of each limit. Own choice.
CHEAPER, INSIDE = (0.3, 0.05), 0.9
# A side below this in the mean is not laced up yet. [N] Own choice.
SLACK = 60.0
# So much further than a limit may what is left lie before the rim is called bent: sd of what was read. Own choice.
SURE = 2.0


@dataclass(frozen=True, slots=True)
class RoundPlan:
    """The turns of this round in the order of the hands, all turns foreseen, how true it is and will be, and what stays."""

    turns: tuple[Turn, ...]
    in_all: tuple[int, ...]
    now: Trueness
    foreseen: Trueness
    at_the_end: Trueness
    done: bool
    bent: bool
    most: float
    words: str
    cautions: tuple[str, ...]
    reasons: tuple[Reason, ...]


def plan_round(
    shape: WheelShape,
    rounds: Sequence[WheelRound],
    limits: Limits,
    rim: RimStiffness | None = None,
    noise: Noise | None = None,
) -> RoundPlan:
    """Return the next round of turns for a wheel, from the readings of all rounds so far.

    The turns that bring the wheel inside its limits are sought in whole quarters, few spokes first, for three stiffnesses of
    the rim at once; of them this round does half a turn a spoke at most. A spoke never ends over the marked tension,
    and one that reads more already is not raised; no tightening passes it on the way (loosening one of two tight neighbours may).

    Args:
        shape: Rim, hub and lacing. [m]
        rounds: Readings of each round with the turns done after it; the last has none. [m], [N], [quarters]
        limits: What a true wheel keeps. [m], [-], [N]
        rim: Stiffness of the rim's section, where it is known. [N m2]
        noise: What one reading is out by. [m], [N]

    Returns:
        Turns in order, and how true the wheel will be. [quarters], [m], [N]

    Raises:
        InputRefused: Figures out of any sense, rounds without their turns.

    Valid for: Alloy rims with steel spokes in whole; the marked limit, and for carbon its maker's sheet, win.

    Source: `influence`; search and thresholds are own, measured by `make score-wheels`.
    """
    _refuse(shape, rounds, limits)
    learnt = learn(shape, rim, rounds, noise or Noise())
    now = trueness(learnt.state, shape.right)
    problem = _problem(shape, learnt, rounds, limits)
    if now.straight(limits):
        # One that is over the rim's mark all the same is no matter of truing: its words say so.
        nothing = np.zeros(shape.count, dtype=np.int64)
        return _told(shape, problem, learnt, nothing, (), now, Outside.NOT)
    whole = _enough(problem, shape, limits)
    outside = _outside(problem, learnt, whole, shape, limits)
    turns = _in_order(problem, _this_round(problem, whole), _most(rounds, limits))
    return _told(shape, problem, learnt, whole, turns, now, outside)


def turns_ahead(
    shape: WheelShape,
    rounds: Sequence[WheelRound],
    limits: Limits,
    done: Turns,
    ahead: Sequence[tuple[int, int]],
    rim: RimStiffness | None = None,
    noise: Noise | None = None,
) -> tuple[Turn, ...]:
    """Return what the turns that are still ahead do, where what was turned since the last reading is not what was asked.

    Args:
        shape: Rim, hub and lacing. [m]
        rounds: As the plan was asked with. [m], [N], [quarters]
        limits: What a true wheel keeps. [m], [-], [N]
        done: What was truly turned since the last reading, a spoke each. [quarters]
        ahead: Spoke from 1 on and its quarters, in the order of the hands. [-], [quarters]
        rim: Stiffness of the rim's section, where it is known. [N m2]
        noise: What one reading is out by. [m], [N]

    Returns:
        Each turn ahead with the greatest tension once it is done. [N]

    Raises:
        InputRefused: Figures out of any sense, rounds without their turns.

    Valid for: As `plan_round`.

    Source: `influence`.
    """
    _refuse(shape, rounds, limits)
    problem = _problem(shape, learn(shape, rim, rounds, noise or Noise()), rounds, limits)
    found, now = [], done.copy()
    for spoke, quarters in ahead:
        now[spoke - 1] = quarters
        found.append(_turn(problem, now, spoke - 1, quarters, _most(rounds, limits)))
    return tuple(found)


def _refuse(shape: WheelShape, rounds: Sequence[WheelRound], limits: Limits) -> None:
    refuse_shape(shape)
    if not rounds:
        raise InputRefused(
            worded("No readings: read side, up and tension at every spoke."),
            {"rounds": worded("one round at least")},
        )
    for at, one in enumerate(rounds, 1):
        where = worded(" of round {at}", at=at) if len(rounds) > 1 else ""
        row_of("side", list(one.state.side), shape.count, f"side{where}")
        row_of("up", list(one.state.up), shape.count, f"up{where}")
        tension = row_of("tension_read", list(one.state.tension), shape.count, f"tension{where}")
        for name, side in (("left", False), ("right", True)):
            mean = float(tension[np.array(shape.right) == side].mean())
            if mean < SLACK:
                raise NoSafeAnswer(
                    worded(
                        "The {name} side has {mean:.0f} N in the mean: too slack to be trued. Look for a "
                        "broken spoke, bring all nipples up evenly, and read again.",
                        name=name,
                        mean=mean,
                    )
                )
        if (one.turned is None) != (at == len(rounds)):
            sentence = worded(
                "round {at}: every round but the last says what was turned after it, quarters per spoke.",
                at=at,
            )
            raise InputRefused(sentence, {"turned_quarters": sentence})
        if one.turned is not None and (len(one.turned) != shape.count or int(np.abs(one.turned).max()) > 12):
            sentence = worded(
                "round {at}: {count} whole quarters, 12 either way at most. Give what was turned at "
                "each spoke.",
                at=at,
                count=shape.count,
            )
            raise InputRefused(sentence, {"turned_quarters": sentence})
    figure("side_limit", limits.side)
    figure("up_limit", limits.up)
    figure("spread", limits.spread)
    figure("side_limit", limits.dish, worded("dish limit"))
    if limits.greatest is not None:
        figure("greatest", limits.greatest)


def _most(rounds: Sequence[WheelRound], limits: Limits) -> float:
    """The marked limit; without one no spoke is brought above the tightest of the first round. [N]"""
    return limits.greatest if limits.greatest is not None else float(rounds[0].state.tension.max())


def _problem(shape: WheelShape, learnt: Learnt, rounds: Sequence[WheelRound], limits: Limits) -> Problem:
    """What a spoke may bear is the most less one sd of what is believed; where it is over that, no more than now."""
    caps = np.maximum(_most(rounds, limits) - learnt.tension_sd, learnt.state.tension)
    return Problem(learnt.state, learnt.classes, np.array(shape.right), limits, caps)


def _enough(problem: Problem, shape: WheelShape, limits: Limits) -> Turns:
    """The fewest turns that bring every limit in; where few do not, turns are made cheaper, step by step."""
    turns = search(problem, IN_ALL)
    for cheaper in CHEAPER:
        if trueness(usual(problem, turns), shape.right).straight(limits.times(INSIDE)):
            break
        turns = search(
            replace(problem, touch=problem.touch * cheaper, each=problem.each * cheaper), IN_ALL, turns
        )
    return turns


def _outside(problem: Problem, learnt: Learnt, whole: Turns, shape: WheelShape, limits: Limits) -> Outside:
    """Whether even turns that cost nothing leave the rim outside by more than the readings' own doubt, and why.

    It is the rim only where the spokes' limits have no part in it: it stays outside with any tension, and no spoke is turned as
    far as the search goes.
    """
    ends = trueness(usual(problem, whole), shape.right)
    if ends.straight(limits):
        return Outside.NOT
    doubt = SURE * learnt.side_sd

    def is_near(turns: Turns) -> bool:
        free = trueness(usual(problem, turns), shape.right)
        return min(free.side, ends.side) <= limits.side + doubt and min(free.up, ends.up) <= limits.up + doubt

    if is_near(search(problem.free(), FREELY)):
        return Outside.NOT
    turns = search(replace(problem.free(), caps=np.full(shape.count, np.inf)), FREELY)
    return Outside.FAR if is_near(turns) or int(np.abs(turns).max()) >= FREELY else Outside.BENT


def _this_round(problem: Problem, whole: Turns) -> Turns:
    """Of all turns those of this round; where so much of them would pass a spoke's limit, the best that do not."""
    cut = np.clip(whole, -A_ROUND, A_ROUND)
    return cut if over_caps(problem, cut) <= DUST else search(problem, A_ROUND)


def _in_order(problem: Problem, wanted: Turns, most: float) -> tuple[Turn, ...]:
    """Loosen first, then tighten, each round the wheel; a tightening that would pass a limit on the way waits for the others.

    Where no loosening keeps within it (tight spokes side by side), the one that passes it least comes first. What could only be tightened
    by passing a limit is left for the next round, and a round that would end over one is not done at all.
    """
    left = [int(one) for one in np.flatnonzero(wanted < 0)] + [int(one) for one in np.flatnonzero(wanted > 0)]
    done = np.zeros(len(wanted), dtype=np.int64)
    turns: list[Turn] = []
    while left:
        over = {one: over_caps(problem, _with(done, one, wanted)) for one in left}
        looser = [one for one in left if wanted[one] < 0]
        chosen = next(
            (one for one in left if over[one] <= DUST), min(looser, key=lambda one: over[one], default=None)
        )
        if chosen is None:
            break
        done = _with(done, chosen, wanted)
        turns.append(_turn(problem, done, chosen, int(wanted[chosen]), most))
        left.remove(chosen)
    return tuple(turns) if over_caps(problem, done) <= DUST else ()


def _turn(problem: Problem, done: Turns, one: int, quarters: int, most: float) -> Turn:
    """One nipple with what it leaves: *done* is all that is turned with it."""
    pulls = np.stack([there.tension for there in after(problem, done)])
    over = float((pulls - np.maximum(most, problem.state.tension)).max())
    return Turn(one + 1, quarters, float(pulls.max()), max(over, 0.0))


def _with(done: Turns, one: int, wanted: Turns) -> Turns:
    found = done.copy()
    found[one] = wanted[one]
    return found


def _told(
    shape: WheelShape,
    problem: Problem,
    learnt: Learnt,
    whole: Turns,
    turns: tuple[Turn, ...],
    now: Trueness,
    outside: Outside,
) -> RoundPlan:
    here = np.zeros(shape.count, dtype=np.int64)
    for one in turns:
        here[one.spoke - 1] = one.quarters
    end = trueness(usual(problem, whole), shape.right)
    return RoundPlan(
        turns=turns,
        in_all=tuple(int(one) for one in whole),
        now=now,
        foreseen=trueness(usual(problem, here), shape.right),
        at_the_end=end,
        done=now.within(problem.limits),
        bent=outside is Outside.BENT,
        most=max([now.greatest, *(one.greatest for one in turns)]),
        words=plan_words(turns, now, end, problem.limits, outside),
        cautions=plan_cautions(problem, now, turns),
        reasons=plan_reasons(learnt),
    )
