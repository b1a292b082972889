"""What many chains teach: lives, unevenness, each workshop's level and what its instruments are, by evidence.

Two questions take turns. Each workshop's level (by class) and the bias of its instruments are moved along the slope of
the log evidence, all workshops in one run of the filter; then the figures that all chains share are fitted.
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._laws import USE_CLASSES
from pinchbolt.engines.wear._lines import (
    GO_NO_GO,
    INSTRUMENTS,
    LEAST_SPREAD,
    NEW,
    USUAL_KINDS,
    ChainLines,
    Kind,
    LearnedChains,
    Shop,
    Tuning,
)
from pinchbolt.engines.wear._lines_fleet import Gauges, base_mu, groups, stated, way_of
from pinchbolt.engines.wear._lines_width import width_of
from pinchbolt.engines.wear._many import BULK_NODES, filter_fleet, pieces
from pinchbolt.engines.wear._scale import Array

LEVELS, BIASES = len(USE_CLASSES), len(INSTRUMENTS)
GROWTH = LEVELS + BIASES
ASKED = GROWTH + 1  # a workshop: level by class, bias by instrument, growth of the two-point gauge's bias
PART_BIAS_SD = 0.012  # percent by which one instrument differs from chain to chain
# Before anything is known a go/no-go gauge may push the rollers or not: one wide range covers both stories.
OPEN_BIAS, OPEN_BIAS_SD, VALUE_BIAS_SD, GROWTH_SD = 0.07, 0.12, 0.03, 0.02
GROWTH_STEP = 0.001
SHOP_SD, CLASS_SD = (
    0.12,
    0.16,
)  # workshops as a whole, and by class. Assumptions, fitted where workshops are many.
PRIOR_SHOPS = 4.0  # how many workshops these assumptions count for
LIVES_SD = 0.30
THREADS = 2
MOST_MOVE = 0.25
MOST_FITTED = 2400  # chains that the shared figures are fitted on
LEAST_USE = 30  # chains of a class before its use a day is its own
FIRST_ROUNDS, LATER_ROUNDS, FIT_STEPS = 9, 4, 14
# Shared figures in the logarithm (start: percent), spread of what they may be, with the figure that each moves.
_SHARED = (
    "spread",
    "noise",
    "slow_sd",
    "share",
    "start",
    "start_sd",
    "bend",
    "gauge_sd",
    "rule_sd",
    "vernier_sd",
    "misread",
)
_SHARED_SD = np.array([0.50, 0.70, 2.00, 0.50, 0.02, 0.50, 0.12, 0.40, 0.40, 0.40, 2.00])
# Small beside the doubt of any of these figures, so that the slope is that at the place itself.
_STEP = np.where(np.array(_SHARED) == "start", 0.0002, 0.004)

Told = Callable[[float], None]


@dataclass(slots=True)
class _Belief:
    """Per workshop: mean of what is asked and its covariance; the classes' own mean, and spreads between workshops."""

    mean: Array  # workshops x ASKED
    cov: Array  # workshops x ASKED x ASKED
    classes: Array
    shop_sd: float
    class_sd: float
    prior_mean: Array
    prior_sd: Array


def learn_chains(
    lines: ChainLines, shops: tuple[str, ...], trade: LearnedChains, told: Told | None = None
) -> LearnedChains:
    """Return what is believed of chains after *lines*: classes, spread, unevenness, workshops and their instruments.

    log evidence of all readings and closings, plus log priors, is raised in turns: by workshop (level by class, bias
    by instrument; slopes by Fisher's identity, steps by the outer product of slopes), then for the shared figures.

    Args:
        lines: Chains, open and closed. [km, percent]
        shops: Name of each workshop number in *lines*. [-]
        trade: What was believed before. [km, percent]
        told: Called with the share done, 0 to 1. [-]

    Returns:
        The new belief, workshop by workshop, shrunk to the trade's where there is little. [km, percent]

    Valid for: Chains as they come. Where only those that wear fast are on record, lives come out short.

    Source: Type-II maximum likelihood with priors (empirical Bayes); Fisher scoring: docs/methods/wear.md.
    """
    say = told or (lambda _: None)
    known = _with_use(lines, replace(trade, chains=len(lines), closed=int(np.isfinite(lines.closed).sum())))
    belief = _first_belief(len(shops))
    tuning = known.tuning
    for turn in range(2):
        _by_workshop(lines, known, tuning, belief, FIRST_ROUNDS if turn == 0 else LATER_ROUNDS)
        _sort_gauges(belief)
        say(0.25 + 0.40 * turn)
        tuning = _shared(lines, known, tuning, belief)
        say(0.55 + 0.30 * turn)
    _by_workshop(lines, known, tuning, belief, LATER_ROUNDS)
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
    for k in range(len(USE_CLASSES)):
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


def _first_belief(shops: int) -> _Belief:
    prior_mean = np.zeros((shops, ASKED))
    prior_mean[:, LEVELS : LEVELS + GO_NO_GO] = OPEN_BIAS
    prior_sd = np.zeros((shops, ASKED))
    prior_sd[:, LEVELS : LEVELS + GO_NO_GO] = OPEN_BIAS_SD
    prior_sd[:, LEVELS + GO_NO_GO : GROWTH] = VALUE_BIAS_SD
    prior_sd[:, GROWTH] = GROWTH_SD
    cov = np.zeros((shops, ASKED, ASKED))
    return _Belief(prior_mean.copy(), cov, np.zeros(LEVELS), SHOP_SD, CLASS_SD, prior_mean, prior_sd)


def _gauges(lines: ChainLines, belief: _Belief, growth_more: float = 0.0) -> Gauges:
    mean = belief.mean[lines.shop]
    growth = np.zeros((len(lines), BIASES))
    growth[:, 0] = mean[:, GROWTH] + growth_more
    return Gauges(mean[:, LEVELS:GROWTH], np.full((len(lines), BIASES), PART_BIAS_SD), growth)


def _mu(lines: ChainLines, known: LearnedChains, belief: _Belief) -> Array:
    return base_mu(lines, known) + belief.mean[lines.shop, lines.use]


def _by_workshop(
    lines: ChainLines, known: LearnedChains, tuning: Tuning, belief: _Belief, rounds: int
) -> None:
    """Move every workshop's belief towards its chains. In place."""
    for _ in range(rounds):
        score = _scores(lines, known, tuning, belief)
        for s in range(len(belief.mean)):
            _move(belief, s, score[lines.shop == s])
        _spread_of_workshops(belief)


def _move(belief: _Belief, s: int, score: Array) -> None:
    """One step of one workshop: slope over information, both with the prior's."""
    prior_cov = np.diag(np.maximum(belief.prior_sd[s], 1e-6) ** 2)
    prior_cov[:LEVELS, :LEVELS] = belief.shop_sd**2 + belief.class_sd**2 * np.eye(LEVELS)
    prior = np.linalg.inv(prior_cov)
    centre = belief.prior_mean[s].copy()
    centre[:LEVELS] = belief.classes
    belief.cov[s] = np.linalg.inv(score.T @ score + prior)
    step = belief.cov[s] @ (score.sum(axis=0) - prior @ (belief.mean[s] - centre))
    belief.mean[s] += step * min(1.0, MOST_MOVE / max(float(np.abs(step).max()), 1e-12))


def _spread_of_workshops(belief: _Belief) -> None:
    """Means of the classes over workshops, and how far workshops differ, by their moments with the prior's weight."""
    levels = belief.mean[:, :LEVELS]
    var = np.array([np.diag(c)[:LEVELS] for c in belief.cov])
    weight = 1 / (var + belief.shop_sd**2 + belief.class_sd**2)
    belief.classes = (weight * levels).sum(axis=0) / (weight.sum(axis=0) + 1 / LIVES_SD**2)
    off = levels - belief.classes
    shops = len(levels)
    square = np.einsum("si,sj->ij", off, off) + belief.cov[:, :LEVELS, :LEVELS].sum(axis=0)
    own = np.trace(square) / LEVELS
    shared = (square.sum() - np.trace(square)) / (LEVELS * (LEVELS - 1))
    whole = (shared + PRIOR_SHOPS * SHOP_SD**2) / (shops + PRIOR_SHOPS)
    rest = (own - shared + PRIOR_SHOPS * CLASS_SD**2) / (shops + PRIOR_SHOPS)
    belief.shop_sd, belief.class_sd = float(np.sqrt(max(whole, 0.0009))), float(np.sqrt(max(rest, 0.0009)))


def _scores(lines: ChainLines, known: LearnedChains, tuning: Tuning, belief: _Belief) -> Array:
    """Slope of each chain's log evidence by what is asked of its workshop (chains x ASKED)."""
    way = way_of(lines, known, tuning.share)
    mu, sigma = _mu(lines, known, belief), np.full(len(lines), tuning.spread)
    score = np.zeros((len(lines), ASKED))
    before = np.zeros(len(lines))
    per_unit = 1.0 / (lines.limit - NEW)
    for group in groups(lines, way, tuning, mu, sigma, _gauges(lines, belief), together=True):
        done = 0
        for piece in pieces(group.fleet):
            cloud, _ = filter_fleet(piece, BULK_NODES)
            part = slice(done, done + len(piece))
            rows = group.rows[part]
            done += len(piece)
            before[rows] = cloud.evidence
            off = (cloud.weight * (np.log(cloud.rate) - piece.mu[:, None])).sum(axis=1)
            score[rows, lines.use[rows]] = off / piece.sigma**2
            for k in range(group.own.shape[1]):
                moved = (cloud.weight * cloud.mean[1 + k]).sum(axis=1) - piece.mean[:, 1 + k]
                score[rows, LEVELS + group.own[part, k]] = moved / piece.sd[:, 1 + k] ** 2 * per_unit[rows]
    uses = np.flatnonzero((lines.gauge == 0).any(axis=1))
    if len(uses):
        some = lines.take(uses)
        ahead = _evidence(some, known, tuning, _mu(some, known, belief), _gauges(some, belief, GROWTH_STEP))
        score[uses, GROWTH] = (ahead - before[uses]) / GROWTH_STEP
    return score


def _evidence(
    lines: ChainLines,
    known: LearnedChains,
    tuning: Tuning,
    mu: Array,
    gauges: Gauges,
    level_var: Array | float = 0.0,
) -> Array:
    """Log evidence of each chain.

    *level_var*: what is left unknown of its workshop's level where the chain itself helped to find that level. Chains then
    lie nearer to it than to the true one: with variance spread^2 - level_var.
    """
    way = way_of(lines, known, tuning.share)
    found = np.zeros(len(lines))
    sigma = np.sqrt(np.maximum(tuning.spread**2 - level_var, (LEAST_SPREAD * tuning.spread) ** 2))
    sigma = np.broadcast_to(sigma, len(lines))
    for group in groups(lines, way, tuning, mu, sigma, gauges, together=True):
        found[group.rows] = np.concatenate(
            [filter_fleet(p, BULK_NODES)[0].evidence for p in pieces(group.fleet)]
        )
    return found


def _shared(lines: ChainLines, known: LearnedChains, tuning: Tuning, belief: _Belief) -> Tuning:
    """Fit the figures that all chains share, with the workshops as they are believed now."""
    from scipy.optimize import minimize  # noqa: PLC0415

    trade = known.tuning
    if len(lines) > MOST_FITTED:
        lines = lines.take(np.linspace(0, len(lines) - 1, MOST_FITTED).astype(int))
    mu, gauges = _mu(lines, known, belief), _gauges(lines, belief)
    level_var = belief.cov[lines.shop, lines.use, lines.use]

    used = _used(lines, len(belief.mean))

    def cost(x: Array) -> float:
        fit = _moved(trade, x)
        # Readings show wear and bias together: what a chain as new is longer, its instruments show less of their own.
        given = fit.start - tuning.start
        own = replace(gauges, bias=gauges.bias - given)
        found = _evidence(lines, known, fit, mu, own, level_var)
        return (
            _against_biases(belief, used, given)
            + 0.5 * float(((x / _SHARED_SD) ** 2).sum())
            - float(found.sum())
        )

    def cost_and_slope(y: Array) -> tuple[float, Array]:
        points = [y * _SHARED_SD, *(y * _SHARED_SD + np.diag(_STEP))]
        # Arrays are worked on outside the interpreter's lock, so threads share the processors.
        with ThreadPoolExecutor(THREADS) as pool:
            here, *ahead = pool.map(cost, points)
        return here, (np.array(ahead) - here) / _STEP * _SHARED_SD

    start = _place(trade, tuning) / _SHARED_SD
    found = minimize(
        cost_and_slope,
        start,
        jac=True,
        method="L-BFGS-B",
        bounds=[(-3.5, 3.5)] * len(start),
        options={"maxiter": FIT_STEPS, "maxfun": FIT_STEPS + 6, "ftol": 2e-5},
    )
    fit = _moved(trade, np.asarray(found.x) * _SHARED_SD)
    belief.mean[:, LEVELS:GROWTH] -= np.where(used, fit.start - tuning.start, 0.0)
    return fit


def _used(lines: ChainLines, shops: int) -> NDArray[np.bool_]:
    """Which instruments each workshop used (workshops x instruments)."""
    used = np.zeros((shops, BIASES), bool)
    chain, at = np.nonzero(lines.gauge >= 0)
    used[lines.shop[chain], lines.gauge[chain, at]] = True
    return used


def _against_biases(belief: _Belief, used: NDArray[np.bool_], given: float) -> float:
    """What it costs, in log prior, to take *given* percent off the bias of every instrument in use."""
    off = belief.mean[:, LEVELS:GROWTH] - given - belief.prior_mean[:, LEVELS:GROWTH]
    return 0.5 * float(((off / belief.prior_sd[:, LEVELS:GROWTH]) ** 2)[used].sum())


def _moved(trade: Tuning, x: Array) -> Tuning:
    """The trade's figures, each times the exponential of its move; the start is moved by percent."""
    new = {
        name: getattr(trade, name) + v if name == "start" else getattr(trade, name) * float(np.exp(v))
        for name, v in zip(_SHARED, map(float, x), strict=True)
    }
    return replace(trade, **{**new, "misread": min(new["misread"], 0.2)})


def _place(trade: Tuning, tuning: Tuning) -> Array:
    """Where `_moved` leads to *tuning*."""
    return np.array(
        [
            getattr(tuning, n) - getattr(trade, n)
            if n == "start"
            else np.log(getattr(tuning, n) / getattr(trade, n))
            for n in _SHARED
        ]
    )


def _sort_gauges(belief: _Belief) -> None:
    """Once a go/no-go gauge is clearly plain or clearly pushing, its bias is shrunk to that kind."""
    for s in range(len(belief.mean)):
        for g in range(GO_NO_GO):
            best = max(_kinds(belief, s, g), key=lambda k: k.weight)
            usual = next(k for k in USUAL_KINDS[g] if k.name == best.name)
            sure = best.weight > 0.9
            belief.prior_mean[s, LEVELS + g] = usual.bias if sure else OPEN_BIAS
            belief.prior_sd[s, LEVELS + g] = usual.bias_sd if sure else OPEN_BIAS_SD


def _kinds(belief: _Belief, s: int, g: int) -> tuple[Kind, ...]:
    """What the workshop's chains say of an instrument: each story with its weight, bias and doubt."""
    here = LEVELS + g
    mean, var = float(belief.mean[s, here]), float(belief.cov[s, here, here])
    prior_mean, prior_var = float(belief.prior_mean[s, here]), float(belief.prior_sd[s, here]) ** 2
    # What the chains alone say: the belief without the prior that it was found with.
    precision = max(1 / var - 1 / prior_var, 1e-6)
    seen = (mean / var - prior_mean / prior_var) / precision
    stories = []
    for usual in USUAL_KINDS[g]:
        own = 1 / (1 / usual.bias_sd**2 + precision)
        total = usual.bias_sd**2 + 1 / precision
        log_weight = np.log(usual.weight) - 0.5 * np.log(total) - 0.5 * (seen - usual.bias) ** 2 / total
        bias = own * (usual.bias / usual.bias_sd**2 + precision * seen)
        growth = float(belief.mean[s, GROWTH]) if g == 0 else 0.0
        stories.append(
            (
                log_weight,
                Kind(usual.name, 1.0, float(bias), float(np.hypot(np.sqrt(own), PART_BIAS_SD)), growth),
            )
        )
    top = max(w for w, _ in stories)
    total_weight = sum(float(np.exp(w - top)) for w, _ in stories)
    return tuple(replace(kind, weight=float(np.exp(w - top)) / total_weight) for w, kind in stories)


def _result(
    lines: ChainLines, shops: tuple[str, ...], known: LearnedChains, tuning: Tuning, belief: _Belief
) -> LearnedChains:
    own = {}
    for s, name in enumerate(shops):
        # Of the classes' shift, the part that is common to all goes into the lives.
        level = belief.mean[s, :LEVELS] - belief.classes
        own[name] = Shop(
            chains=int((lines.shop == s).sum()),
            level=tuple(map(float, level)),
            level_sd=tuple(float(v) for v in np.sqrt(np.diag(belief.cov[s])[:LEVELS])),
            kinds=tuple(_kinds(belief, s, g) for g in range(BIASES)),
        )
    return replace(
        known,
        lives=tuple(float(v * np.exp(-c)) for v, c in zip(known.lives, belief.classes, strict=True)),
        tuning=tuning,
        shop_sd=float(np.hypot(belief.shop_sd, belief.class_sd)),
        shops=own,
    )
