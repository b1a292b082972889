"""What many chains teach: lives, spreads, each workshop's level and what its instruments are.

Under some hundred chains only levels and biases are learned, and all figures that chains share stay the trade's: so few
can't tell them. From there on the shared figures are fitted by highest evidence too, and shrunk: the fewer chains, the more.
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from math import log

import numpy as np

from pinchbolt.engines.wear._batch import THREADS
from pinchbolt.engines.wear._chain_batch import KINDS, ChainBatch, ChainBelief, base_mu, chain_batch, stated
from pinchbolt.engines.wear._laws import USE_CLASSES
from pinchbolt.engines.wear._learn import (
    CLASS_SD,
    LIVES_SD,
    SHOP_SD,
    LevelBelief,
    Slopes,
    first_belief,
    rounds,
    weighed,
)
from pinchbolt.engines.wear._lines import NEW, USUAL_KINDS, ChainLines, Kind, LearnedChains, Shop, Tuning
from pinchbolt.engines.wear._scale import Array
from pinchbolt.engines.wear._width import LEAST_CLOSED, width_of

CLASSES = len(USE_CLASSES)
LEAST_FITTED = 100  # chains from which the shared figures are fitted
ENOUGH = 400  # chains from which they are shrunk no more than stands below; under it by the root of the share
GO_NO_GO = 2  # the first two instruments show on which side of a mark the wear is
# Before anything is known a gauge may push the rollers or not: one wide range covers both stories. Percent.
OPEN_BIAS, OPEN_BIAS_SD = np.array([0.085, 0.03, 0.0, 0.0]), np.array([0.095, 0.07, 0.025, 0.03])
SURE = 0.9  # of one story, from which a gauge's bias is shrunk to that
LEAST_USE = 30  # chains of a class before its use a day is its own
LEAST_SPREAD = 0.6  # of the spread of lives is left to chains once their workshop's level was fitted to them
FIRST_ROUNDS, LATER_ROUNDS, FIT_STEPS, TURNS = 10, 8, 9, 2
FASTER_SCALE = 0.1  # by which the levels move in one unit of the search; no prior
MOST_FITTED = 700  # chains that the shared figures are fitted on
# Shared figures in the logarithm (start: percent) and how far each may be from the trade's.
SHARED = {
    "spread": 0.20, "tail": 0.6, "hub": 1.5, "noise": 0.4, "slow_sd": 0.8, "slow_use": 0.8, "share": 0.3, "start": 0.010, "start_sd": 0.3,
    "bend": 0.08, "gauge_sd": 0.3, "rule_sd": 0.3, "vernier_sd": 0.3, "misread": 0.8, "part_bias_sd": 0.5,
}  # fmt: skip
MOST = {"misread": 0.2, "hub": 0.45, "tail": 0.4}

Telling = Callable[[float], None]


def learn_chains(
    lines: ChainLines, shops: tuple[str, ...], trade: LearnedChains, told: Telling | None = None
) -> LearnedChains:
    """Return what is believed of chains after *lines*: classes, spreads, workshops and their instruments.

    log evidence of all readings and of closings at the bench, plus log priors, is raised in turns: by workshop (level by
    class, bias by instrument; how far instruments differ), then, from 100 chains on, for the figures that all chains share.

    Args:
        lines: Chains, open and closed. [km, percent]
        shops: Name of each workshop number in *lines*. [-]
        trade: What was believed before. [km, percent]
        told: Called with the share done, 0 to 1. [-]

    Returns:
        The new belief, workshop by workshop, shrunk to the trade's where there is little. [km, percent]

    Valid for: Chains as they come. Where only those that wear fast are on record, lives come out short. Lives are right on
        the scale of the workshop's gauges, unless some chains were measured at the bench.

    Source: Type-II maximum likelihood with priors (empirical Bayes); Fisher scoring: docs/methods/wear.md.
    """
    say = told or (lambda _: None)
    closed = int(np.isfinite(lines.closed).sum())
    known = _with_use(lines, replace(trade, chains=len(lines), closed=closed))
    belief = first_belief(len(shops), CLASSES, OPEN_BIAS, OPEN_BIAS_SD)
    belief.one_story[:, CLASSES + GO_NO_GO :] = True
    if int((lines.bench & np.isfinite(lines.closed)).sum()) >= LEAST_CLOSED:
        # Lives that were measured off the bike tell drift from wear, and the width takes up what is left of it.
        belief.drifts = False
    tuning = known.tuning
    if len(lines) < LEAST_FITTED:
        # The trade's spread of lives holds the differences between workshops; once those are levels, less is left.
        between = SHOP_SD**2 + CLASS_SD**2
        tuning = replace(
            tuning,
            spread=float(np.sqrt(max(tuning.spread**2 - between, (LEAST_SPREAD * tuning.spread) ** 2))),
        )

    def by_workshop(count: int) -> None:
        rounds(belief, lines.shop, count, lambda: _slopes(lines, known, tuning, belief))

    by_workshop(FIRST_ROUNDS)
    _sort_gauges(belief, tuning)
    say(0.4)
    if len(lines) < LEAST_FITTED:
        by_workshop(LATER_ROUNDS)
    else:
        # Twice: what chains share is found with levels and biases as they stand, and these stood with the trade's figures.
        for turn in range(TURNS):
            tuning = _shared(lines, known, tuning, belief)
            by_workshop(LATER_ROUNDS)
            say(0.4 + 0.5 * (turn + 1) / TURNS)
    found = _result(lines, shops, known, tuning, belief)
    found = replace(found, width=width_of(lines, shops, found))
    say(1.0)
    return found


def _with_use(lines: ChainLines, known: LearnedChains) -> LearnedChains:
    """Learn the use a day from the stretches whose km and days are both stated."""
    said = stated(lines)
    count = said.sum(axis=1)
    logs = np.where(said, np.log(np.where(said, lines.km, 1.0) / np.where(said, lines.days, 1.0)), 0.0)
    mean = logs.sum(axis=1) / np.maximum(count, 1)
    many = count >= 2
    if many.sum() < LEAST_USE:
        return known
    off = np.where(said, logs - mean[:, None], 0.0)[many]
    step_var = float((off**2).sum() / (count[many] - 1).sum())
    a_day, between = list(known.km_a_day), []
    for k in range(CLASSES):
        mine = (lines.use == k) & many
        if mine.sum() >= LEAST_USE:
            a_day[k] = float(np.exp(mean[mine].mean()))
            between.append((mean[mine] - mean[mine].mean()) ** 2 - step_var / count[mine])
    spread = float(np.concatenate(between).mean()) if between else known.km_log_sd**2
    return replace(
        known,
        km_a_day=tuple(a_day),
        km_log_sd=float(np.sqrt(max(spread, 0.01))),
        step_log_sd=float(np.sqrt(max(step_var, 0.0025))),
    )


def _batch(
    lines: ChainLines,
    known: LearnedChains,
    tuning: Tuning,
    belief: LevelBelief,
    taken: float = 0.0,
    narrower: float = 0.0,
    faster: float = 0.0,
) -> ChainBatch:
    """The chains under what is believed of their workshops, one story an instrument.

    *taken*: percent taken off every bias; *narrower*: variance of the log rate that the workshops' levels explain; *faster*:
    added to every level.
    """
    kinds = np.zeros((len(lines), KINDS, 2, 3))
    kinds[:, :, 0, 0] = 1.0
    kinds[:, :, 0, 1] = belief.mean[lines.shop, CLASSES:] - taken
    kinds[:, :, 0, 2] = np.hypot(tuning.part_bias_sd, belief.drifted)[lines.shop, None]
    sigma = np.sqrt(max(tuning.spread**2 - narrower, (LEAST_SPREAD * tuning.spread) ** 2))
    mu = base_mu(lines, known) + belief.mean[lines.shop, lines.use] + faster
    return chain_batch(lines, known, tuning, ChainBelief(mu, np.full(len(lines), sigma), kinds))


def _slopes(lines: ChainLines, known: LearnedChains, tuning: Tuning, belief: LevelBelief) -> Slopes:
    ready = _batch(lines, known, tuning, belief)
    evidence, by_rate, by_bias = weighed(ready.batch)
    slope = np.zeros((len(lines), CLASSES + KINDS))
    i = np.arange(len(lines))
    slope[i, lines.use] = by_rate
    for b in range(ready.own.shape[1]):
        here = np.flatnonzero(ready.own[:, b] >= 0)
        slope[here, CLASSES + ready.own[here, b]] = by_bias[here, b] / (lines.limit[here] - NEW)
    return Slopes(evidence, slope)


def _shared(lines: ChainLines, known: LearnedChains, tuning: Tuning, belief: LevelBelief) -> Tuning:
    """Fit the figures that all chains share, with the workshops as they are believed now."""
    from scipy.optimize import minimize  # noqa: PLC0415

    trade, whole = known.tuning, len(lines)
    if whole > MOST_FITTED:
        lines = lines.take(np.linspace(0, whole - 1, MOST_FITTED).astype(int))
    names = [name for name in SHARED if getattr(trade, name) > 0]
    sds = np.array([SHARED[name] for name in names]) * min(1.0, float(np.sqrt(whole / ENOUGH)))
    sds = np.append(sds, FASTER_SCALE)
    narrower = float(np.median(belief.cov[lines.shop, lines.use, lines.use]))
    used = np.array([(lines.gauge == k).any() for k in range(KINDS)])
    ridden = np.array([(lines.use == k).any() for k in range(CLASSES)])

    # Biases and levels rest on all chains, evidence on those that are looked at. What readings can't tell from a bias, what a
    # chain as new is longer, is held as loosely as the biases are: else it would be believed more, the more chains there are.
    share = min(1.0, len(lines) / whole)
    loose = np.array([share if name == "start" else 1.0 for name in names])

    def against(given: float, faster: float) -> float:
        """What it costs, in log prior, to take *given* percent off every bias and to add *faster* to every level."""
        usual, var = belief.biases_before()
        off = (belief.mean[:, CLASSES:] - given - usual) ** 2 / var
        lives = ((belief.classes + faster) / LIVES_SD) ** 2
        return 0.5 * share * float(off[:, used].sum() + lives[ridden].sum())

    def cost(x: Array) -> float:
        # Readings show wear and bias together: what a chain as new is longer, its instruments show less of their own. And levels
        # were found with the trade's few hub chains: the more of them there are, the faster the others wear. Found one after
        # the other, either would stay where it began.
        fit, faster = _moved(trade, names, x[:-1]), float(x[-1])
        given = fit.start - tuning.start
        evidence = weighed(_batch(lines, known, fit, belief, given, narrower, faster).batch)[0]
        held = 0.5 * float((loose * (x[:-1] / sds[:-1]) ** 2).sum())
        return against(given, faster) + held - float(evidence.sum())

    step = np.array([0.0003 if name == "start" else 0.01 for name in [*names, "faster"]])

    def cost_and_slope(y: Array) -> tuple[float, Array]:
        points = [y * sds, *(y * sds + np.diag(step))]
        with ThreadPoolExecutor(THREADS) as pool:
            here, *ahead = pool.map(cost, points)
        return here, (np.array(ahead) - here) / step * sds

    found = minimize(
        cost_and_slope,
        np.append(_moves(trade, names, tuning) / sds[:-1], 0.0),
        jac=True,
        method="L-BFGS-B",
        bounds=[(-3.5, 3.5)] * len(sds),
        options={"maxiter": FIT_STEPS, "maxfun": FIT_STEPS + 5, "ftol": 2e-5},
    )
    *moves, faster = np.asarray(found.x) * sds
    fit = _moved(trade, names, np.array(moves))
    belief.mean[:, CLASSES:] -= fit.start - tuning.start
    belief.mean[:, :CLASSES] += faster
    belief.classes += np.where(ridden, faster, 0.0)
    # The looks that were taken show how uneven wear was between them. What is to come may be another season, another use: the
    # more, the more the rate was seen to change from some hundred kilometres to the next.
    seen = known.beliefs["rate-ahead"] * fit.slow_sd
    return replace(fit, ahead=float(np.hypot(seen, known.beliefs["rate-ahead-least"])))


def _moved(trade: Tuning, names: list[str], x: Array) -> Tuning:
    """The trade's figures, each times the exponential of its move; the start is moved by percent."""
    new: dict[str, float] = {}
    for name, v in zip(names, map(float, x), strict=True):
        before = float(getattr(trade, name))
        new[name] = before + v if name == "start" else min(before * float(np.exp(v)), MOST.get(name, np.inf))
    return replace(trade, **new)


def _moves(trade: Tuning, names: list[str], fit: Tuning) -> Array:
    """The other way round: by how much *fit* was moved."""
    pairs = ((name, float(getattr(trade, name)), float(getattr(fit, name))) for name in names)
    return np.array([now - before if name == "start" else log(now / before) for name, before, now in pairs])


def _sort_gauges(belief: LevelBelief, tuning: Tuning) -> None:
    """Once a go/no-go gauge is clearly plain or clearly pushing, its bias is shrunk to that kind."""
    for s in range(len(belief.mean)):
        for g in range(GO_NO_GO):
            best = max(_kinds(belief, tuning, s, g), key=lambda k: k.weight)
            usual = next(k for k in USUAL_KINDS[g] if k.name == best.name)
            sure = best.weight > SURE
            belief.prior_mean[s, CLASSES + g] = usual.bias if sure else OPEN_BIAS[g]
            belief.prior_sd[s, CLASSES + g] = belief.bias_spread * usual.bias_sd if sure else OPEN_BIAS_SD[g]
            belief.one_story[s, CLASSES + g] = sure


def _kinds(belief: LevelBelief, tuning: Tuning, s: int, g: int) -> tuple[Kind, ...]:
    """What the workshop's chains say of an instrument: each story with its weight, bias and doubt."""
    here = CLASSES + g
    mean, var = float(belief.mean[s, here]), max(float(belief.cov[s, here, here]), 1e-9)
    prior_mean, prior_var = (float(each[s, g]) for each in belief.biases_before())
    common, common_var = float(belief.common[s]), float(belief.common_var[s])
    # What the chains alone say: the belief without the prior that it was found with.
    precision = max(1 / var - 1 / prior_var, 1e-6)
    seen = (mean / var - prior_mean / prior_var) / precision
    stories = []
    for usual in USUAL_KINDS[g]:
        centre, before = usual.bias + common, (belief.bias_spread * usual.bias_sd) ** 2 + common_var
        own = 1 / (1 / before + precision)
        total = before + 1 / precision
        log_weight = np.log(usual.weight) - 0.5 * np.log(total) - 0.5 * (seen - centre) ** 2 / total
        bias = own * (centre / before + precision * seen)
        doubt = float(np.hypot(np.sqrt(own), tuning.part_bias_sd))
        stories.append((log_weight, Kind(usual.name, 1.0, float(bias), doubt)))
    top = max(w for w, _ in stories)
    whole = sum(float(np.exp(w - top)) for w, _ in stories)
    return tuple(replace(kind, weight=float(np.exp(w - top)) / whole) for w, kind in stories)


def _result(
    lines: ChainLines, shops: tuple[str, ...], known: LearnedChains, tuning: Tuning, belief: LevelBelief
) -> LearnedChains:
    own = {}
    for s, name in enumerate(shops):
        # Of the classes' shift, the part that is common to all goes into the lives.
        level = belief.mean[s, :CLASSES] - belief.classes
        own[name] = Shop(
            chains=int((lines.shop == s).sum()),
            level=tuple(map(float, level)),
            level_sd=tuple(float(v) for v in np.sqrt(np.diag(belief.cov[s])[:CLASSES])),
            kinds=tuple(_kinds(belief, tuning, s, g) for g in range(KINDS)),
            together=float(belief.common[s]) if belief.drifts else 0.0,
        )
    return replace(
        known,
        lives=tuple(float(v * np.exp(-c)) for v, c in zip(known.lives, belief.classes, strict=True)),
        tuning=tuning,
        shop_sd=float(np.hypot(belief.shop_sd, belief.class_sd)),
        shops=own,
    )
