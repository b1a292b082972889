"""The workshop's own parts teach its priors: life by use, spread and unevenness, shrunk to the trade's."""

from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np

from pinchbolt.engines.wear._evidence import Fit, fit_by_evidence
from pinchbolt.engines.wear._pack import PartLife, pack
from pinchbolt.engines.wear._words import Z80, amount
from pinchbolt.values import Interval, Reason

LEAST_PARTS = 3  # fewer say nothing that the shrinking would not take away


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
class LearnedPriors:
    """Priors with the workshop's own experience in them, shaped like the table they came from."""

    version: str
    priors: Mapping[str, Any]
    lives: tuple[LearnedLife, ...]
    reasons: tuple[Reason, ...]


def learn_priors(priors: Mapping[str, Any], lives: Sequence[PartLife], *, today: date) -> LearnedPriors:
    """Return the priors after the workshop's own parts, shrunk to the trade's where there are few.

    For each row the shift of life by use class, the spread and the unevenness of growth are those of the highest log
    evidence of all readings plus log prior (normal in the logarithm: shift 0.20, spread 0.25, unevenness 0.70).

    Args:
        priors: The table of wear priors, as read. [its own units]
        lives: Parts on record with their readings; laws made from *priors* by `law_for`. [laws' units]
        today: The day of the learning, for the version. [-]

    Returns:
        The table with learned rows, and what changed in words. [its own units]

    Raises:
        InputRefused: As `judge`.

    Valid for: Parts as they come. If only those that wear fast are read, lives come out short.

    Example:
        >>> learn_priors({"version": "1", "prior": []}, [], today=date(2030, 6, 1)).version
        '1+0 parts to 2030-06-01'

    Source: Type-II maximum likelihood with priors (empirical Bayes): docs/methods/wear.md.
    """
    table: dict[str, Any] = deepcopy(dict(priors))
    told: list[LearnedLife] = []
    reasons: list[Reason] = []
    for row in table["prior"]:
        mine = [
            x
            for x in lives
            if x.law.prior_row == f"wear-priors/{row['id']}" and x.readings and not x.law.clock
        ]
        if len(mine) < LEAST_PARTS or "median" not in row:
            continue
        classes = sorted({x.law.use_class for x in mine})
        which = np.array([classes.index(x.law.use_class) for x in mine])
        fit = fit_by_evidence([(which[rows], fleet) for rows, fleet in pack(mine)], len(classes))
        told += _put(row, classes, which, fit)
        reasons.append(_spread_reason(row, fit, len(mine)))
    counted = sum(one.parts for one in told)
    version = f"{priors.get('version', '?')}+{counted} parts to {today.isoformat()}"
    table["version"] = version
    return LearnedPriors(version, table, tuple(told), tuple(reasons))


def _put(row: dict[str, Any], classes: Sequence[str], which: Any, fit: Fit) -> list[LearnedLife]:
    """Write what was learned into a row of the table; return it in words."""
    told = []
    part = str(row["id"]).replace("-", " ")
    for k, use_class in enumerate(classes):
        count = int((which == k).sum())
        before = float(row["median"][use_class])
        after = before * float(np.exp(-fit.shift[k]))
        reach = float(np.exp(Z80 * fit.shift_sd[k]))
        row["median"][use_class] = after
        share = after / before - 1
        how = (
            "as long as"
            if abs(share) < 0.005
            else f"{abs(share):.0%} {'longer' if share > 0 else 'shorter'} than"
        )
        unit = str(row["driver"])
        words = (
            f"Learned from {count} {part} parts in {use_class} use: here they last {how} the trade prior, "
            f"{amount(after, unit)} (four in five between {amount(after / reach)} and {amount(after * reach, unit)})."
        )
        told.append(
            LearnedLife(
                row["id"],
                use_class,
                count,
                before,
                after,
                Interval(after / reach, after * reach),
                unit,
                words,
            )
        )
    row["log_sd"] = float(row["log_sd"]) * fit.spread
    if "part_log_sd" in row:
        row["part_log_sd"] = float(row["part_log_sd"]) * fit.spread
    if "noise" in row:
        row["noise"] = float(row["noise"]) * fit.noise
    row["slow_sd"] = float(row.get("slow_sd", 0.15)) * fit.slow_sd
    row["source"] = f"learned from {len(which)} parts of this workshop, shrunk to: {row['source']}"
    return told


def _spread_reason(row: Mapping[str, Any], fit: Fit, count: int) -> Reason:
    return Reason(
        f"{row['id']}: {count} parts; lives spread {fit.spread:.2f} times and grow {fit.noise:.2f} "
        "times as unevenly as "
        f"the trade prior says. The readings are {amount(float(np.exp(min(fit.gain, 50.0))))} times as likely so.",
        f"wear-priors/{row['id']}",
        str(row["source"]),
    )
