"""A workshop's own parts teach its priors: life by use, and what its instruments show too much; shrunk to the trade's."""

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass
from datetime import date

import numpy as np

from pinchbolt.engines.wear._batch import Batch, batch_of
from pinchbolt.engines.wear._filter import PartArrays
from pinchbolt.engines.wear._learn import LevelBelief, Slopes, first_belief, rounds, weighed
from pinchbolt.engines.wear._new_parts import check_the_gauge
from pinchbolt.engines.wear._one import part_of
from pinchbolt.engines.wear._scale import Array, own_scale
from pinchbolt.engines.wear._steps import steps
from pinchbolt.engines.wear._wear_words import Z80, amount
from pinchbolt.engines.wear.wear_types import GaugeReading, RateOfUse, Start, WearLaw
from pinchbolt.values import Interval, Json, JsonRead, Reason
from pinchbolt.values.about import percent
from pinchbolt.values.wording import worded

LEAST_PARTS = 3  # fewer say nothing that the shrinking would not take away
ROUNDS = 8
PART_SHARE_OF_BIAS = 0.3  # of the doubt of a bias: how much it differs from part to part. Assumption.
LEAST_BIAS_SD = 1e-3  # of the way from new to the limit


@dataclass(frozen=True, slots=True)
class PartLife:
    """One part on record: its law, what was read on it, the use a week of its bike, how and when it was fitted."""

    law: WearLaw
    readings: tuple[GaugeReading, ...]
    use: RateOfUse
    fitted_on: date | None = None
    start: Start = "told"


@dataclass(frozen=True, slots=True)
class LearnedLife:
    """Life of one kind of part in one use: the trade's, the workshop's with four cases in five, from how many parts."""

    row: str
    use_class: str
    parts: int
    before: float
    after: float
    range: Interval
    unit: str
    words: str


@dataclass(frozen=True, slots=True)
class LearnedBias:
    """What an instrument shows too much on one row of the limits, with its doubt. [row's unit]"""

    instrument: str
    limit: str
    parts: int
    bias: float
    bias_sd: float
    check: str = ""  # what to say where new parts clearly read more, or less, on it than its record tells


@dataclass(frozen=True, slots=True)
class LearnedPriors:
    """Priors with the workshop's own experience in them, shaped like the table they came from; its instruments' biases."""

    version: str
    priors: JsonRead
    lives: tuple[LearnedLife, ...]
    reasons: tuple[Reason, ...]
    biases: tuple[LearnedBias, ...] = ()


def learn_own(priors: JsonRead, lives: Sequence[PartLife], *, today: date) -> LearnedPriors:
    """Return the priors after the workshop's own parts, shrunk to the trade's where there are few.

    The level of the log rate by row and use class, and the bias of each instrument on each row, are those of the highest log
    evidence of all readings plus log prior (level 0.20 in the logarithm, bias as its record says). Spread and unevenness
    stay the trade's: one workshop's parts can't tell them.

    Args:
        priors: The table of wear priors, as read. [its own units]
        lives: Parts on record with their readings; laws made from *priors* by `law_for`. [laws' units]
        today: The day of the learning, for the version. [-]

    Returns:
        The table with learned rows, the instruments' biases, and what changed in words. [its own units]

    Raises:
        InputRefused: As `judge`.

    Valid for: Parts as they come. If only those that wear fast are read, lives come out short.

    Example:
        >>> learn_own({"version": "1", "prior": []}, [], today=date(2030, 6, 1)).version
        '1+0 parts to 2030-06-01'

    Source: Type-II maximum likelihood with priors (empirical Bayes): docs/methods/wear.md.
    """
    table: Json = deepcopy(dict(priors))
    mine = [x for x in lives if x.readings and not x.law.clock and _row_of(table, x.law) is not None]
    told: list[LearnedLife] = []
    biases: list[LearnedBias] = []
    if mine:
        told, biases = _learned(table, mine)
    version = f"{priors.get('version', '?')}+{sum(one.parts for one in told)} parts to {today.isoformat()}"
    table["version"] = version
    reasons = tuple(_bias_reason(one) for one in biases)
    return LearnedPriors(version, table, tuple(told), reasons, tuple(biases))


def _row_of(table: JsonRead, law: WearLaw) -> Json | None:
    rows: Sequence[Json] = table["prior"]
    return next((r for r in rows if law.prior_row == f"wear-priors/{r['id']}" and "median" in r), None)


def _learned(table: Json, lives: Sequence[PartLife]) -> tuple[list[LearnedLife], list[LearnedBias]]:
    classes = sorted({(x.law.prior_row, x.law.use_class) for x in lives})
    which = np.array([classes.index((x.law.prior_row, x.law.use_class)) for x in lives])
    tools = sorted({(r.instrument, x.law.id) for x in lives for r in x.readings if r.error.bias_sd > 0})
    errors = {(r.instrument, x.law.id): r.error for x in lives for r in x.readings}
    laws = {x.law.id: x.law for x in lives}
    parts, owners = zip(*(_part_of(x, tools) for x in lives), strict=True)
    batch, biases = batch_of(parts), max(len(p.bias) for p in parts)
    own = np.array([[*o, *(-1,) * (biases - len(o))] for o in owners]).reshape(len(parts), biases)
    per_unit = np.array([own_scale(x.law).per_unit for x in lives])
    belief = first_belief(1, len(classes), np.zeros(len(tools)), np.array([errors[t].bias_sd for t in tools]))
    one = np.zeros(len(lives), np.int64)
    rounds(belief, one, ROUNDS, lambda: _slopes(batch, belief, which, own, per_unit))
    lives_told = []
    for k, (row, use_class) in enumerate(classes):
        count = int((which == k).sum())
        if count >= LEAST_PARTS:
            found = next(r for r in table["prior"] if f"wear-priors/{r['id']}" == row)
            lives_told.append(_put(found, use_class, count, belief, k))
    known = []
    for t, (name, limit) in enumerate(tools):
        here = len(classes) + t
        count = int((own == t).any(axis=1).sum())
        if count >= LEAST_PARTS:
            sd = float(np.sqrt(belief.cov[0, here, here]))
            recorded, off, of = errors[name, limit].bias, float(belief.mean[0, here]), laws[limit]
            new, span = of.new + recorded, of.limit - of.new
            check = check_the_gauge(of.part, new + off, new, sd, span, of.unit)
            known.append(LearnedBias(name, limit, count, recorded + off, sd, check))
    return lives_told, known


def _part_of(life: PartLife, tools: Sequence[tuple[str, str]]) -> tuple[PartArrays, list[int]]:
    """The part as of its last reading, biases narrowed to what differs from part to part; which tool is behind each."""
    ordered = sorted(life.readings, key=lambda r: r.day)
    last = ordered[-1]
    way = steps(life.law, ordered, life.use, last.day, last.exposure, life.fitted_on)
    part = part_of(life.law, ordered, way, life.start)
    owners: list[int] = []
    for name, error in {r.instrument: r.error for r in ordered}.items():
        owners.append(tools.index((name, life.law.id)) if (name, life.law.id) in tools else -1)
        if error.growth or error.growth_sd:
            owners.append(-1)
    bias = part.bias.copy()
    for b, tool in enumerate(owners):
        if tool >= 0:
            bias[b, 0, 2] = max(PART_SHARE_OF_BIAS * bias[b, 0, 2], LEAST_BIAS_SD)
    return part._replace(bias=bias), owners


def _slopes(batch: Batch, belief: LevelBelief, which: Array, own: Array, per_unit: Array) -> Slopes:
    levels = belief.levels
    bias = batch.bias.copy()
    for b in range(own.shape[1]):
        here = np.flatnonzero(own[:, b] >= 0)
        bias[here, b, 0, 1] += belief.mean[0, levels + own[here, b]] * per_unit[here]
    moved = batch._replace(mu=batch.mu + belief.mean[0, which], bias=bias)
    evidence, by_rate, by_bias = weighed(moved)
    slope = np.zeros((len(which), belief.mean.shape[1]))
    slope[np.arange(len(which)), which] = by_rate
    for b in range(own.shape[1]):
        here = np.flatnonzero(own[:, b] >= 0)
        slope[here, levels + own[here, b]] = by_bias[here, b] * per_unit[here]
    return Slopes(evidence, slope)


def _put(row: Json, use_class: str, count: int, belief: LevelBelief, k: int) -> LearnedLife:
    """Write what was learned into a row of the table; return it in words."""
    part, unit = str(row["id"]).replace("-", " "), str(row["driver"])
    before = float(row["median"][use_class])
    after = before * float(np.exp(-belief.mean[0, k]))
    reach = float(np.exp(Z80 * np.sqrt(belief.cov[0, k, k])))
    row["median"] = {**row["median"], use_class: after}
    if not str(row["source"]).startswith("learned from"):
        row["source"] = worded("learned from parts of this workshop, shrunk to: {row}", row=row["source"])
    share = after / before - 1
    how = (
        worded("as long as")
        if abs(share) < 0.005
        else worded(
            "{share} {longer} than",
            share=percent(abs(share)),
            longer=worded("longer") if share > 0 else worded("shorter"),
        )
    )
    words = worded(
        "Learned from {count} {part} parts in {use_class} use: here they last {how} the "
        "trade prior, {middle} (likely {low} to {high}).",
        count=count,
        part=part,
        use_class=use_class,
        how=how,
        middle=amount(after, unit),
        low=amount(after / reach),
        high=amount(after * reach, unit),
    )
    return LearnedLife(
        str(row["id"]), use_class, count, before, after, Interval(after / reach, after * reach), unit, words
    )


def _bias_reason(one: LearnedBias) -> Reason:
    doubt = Z80 * one.bias_sd
    return Reason(
        worded(
            "{instrument} on {limit}: {parts} parts say that it shows {bias:+.3g} too much, give "
            "or take {doubt:.2g}.",
            instrument=one.instrument,
            limit=one.limit.replace("-", " "),
            parts=one.parts,
            bias=one.bias,
            doubt=doubt,
        )
        + (f" {one.check}" if one.check else ""),
        one.limit,
        worded("learned from this workshop's parts"),
    )
