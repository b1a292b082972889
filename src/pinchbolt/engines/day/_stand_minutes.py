"""How long a job stays on a stand: the estimate's minutes, put right by what this shop's jobs took, by kind of work and person."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import isfinite, log, sqrt

import numpy as np
from scipy.special import ndtri

from pinchbolt.engines.day._shrink import shrink
from pinchbolt.engines.day.day_types import DoneJob, Floats
from pinchbolt.errors import InputRefused
from pinchbolt.values.normal import Z80
from pinchbolt.values.wording import worded

# Interruptions: minutes x 1.5 (trade rule of the promise; common practice, no source), and how far shops lie apart in that.
TRADE, SHOPS_APART = log(1.5), 0.30
# Kinds and people lie apart by a quarter; a job lies 35 % off its middle: worth six jobs (from memory, the shop's own take over).
APART, LIKE_MANY = 0.25, 6.0
SPREAD, PSEUDO = 0.35, 6.0
# A bike that stands overnight half done, or whose work nobody started: what lies further out tells of the clock, not of the work.
_LEAST, _MOST = 1 / 6, 8.0
ENOUGH = 20
"""Jobs from which on the shop's own times stand (trade: 'after 20 jobs of a kind')."""


@dataclass(frozen=True, slots=True)
class StandMinutes:
    """What is known of ln(took / usual): the shop, kinds and people by name as (mean, sd), and the spread of one job. [-]"""

    shop: tuple[float, float] = (TRADE, SHOPS_APART)
    kinds: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    people: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    spread: float = SPREAD
    jobs: int = 0
    kinds_apart: float = APART
    people_apart: float = APART / 2

    def middle(self, kind: str, person: str = "") -> float:
        """Return by how much a job of this kind takes longer than its minutes, in the middle. [-]"""
        return self.shop[0] + self.kinds.get(kind, (0.0, 0.0))[0] + self.people.get(person, (0.0, 0.0))[0]

    def job_spread(self, minutes: tuple[float, float, float]) -> float:
        """Return the spread of one job: the estimate's low to high counts as six jobs beside the shop's own. [-]"""
        low, _, high = minutes
        told = log(high / low) / (2 * Z80) if high > low > 0 else SPREAD
        told = min(max(told, 0.15), 0.8)
        return sqrt((PSEUDO * told**2 + self.jobs * self.spread**2) / (PSEUDO + self.jobs))


def learn_minutes(done: Sequence[DoneJob]) -> StandMinutes:
    """Return what a shop's done jobs tell of the minutes that work takes there.

    ``ln(took / usual) = shop + kind + person + e``, the parts found in turn, each drawn to 0 by how little it is known.

    Args:
        done: Jobs with their minutes by the estimate and on the stand. [min]

    Returns:
        Shop, kinds, people and spread; the trade's where nothing was done yet. [-]

    Raises:
        InputRefused: Minutes that are not above 0.

    Valid for: Minutes of open hours between start and end, pauses taken out. A job at less than a sixth or more than eight times its
        minutes is left out: the clock ran on, or nobody started it.

    Source: Log-normal repair times, MIL-HDBK-338B 5.6.2; drawing together: `shrink`. Starting values from memory.
    """
    if any(
        not (isfinite(one.usual) and isfinite(one.took) and one.usual > 0 and one.took > 0) for one in done
    ):
        raise InputRefused(worded("A done job has minutes that are not above 0: correct its times."))
    kept = [one for one in done if _LEAST <= one.took / one.usual <= _MOST]
    if not kept:
        return StandMinutes()
    off = np.array([log(one.took / one.usual) for one in kept])
    kinds, of_kind = np.unique([one.kind for one in kept], return_inverse=True)
    people, of_person = np.unique([one.person for one in kept], return_inverse=True)
    variance, count = SPREAD**2, len(kept)
    by_kind, by_person = np.zeros(kinds.size), np.zeros(people.size)
    shop = (TRADE, SHOPS_APART)
    for _ in range(6):
        shop = _towards(off - by_kind[of_kind] - by_person[of_person], variance)
        kind_found = _drawn(off - shop[0] - by_person[of_person], of_kind, variance, APART)
        by_kind = kind_found[0]
        person_found = _drawn(off - shop[0] - by_kind[of_kind], of_person, variance, APART / 2)
        by_person = person_found[0]
        left = off - shop[0] - by_kind[of_kind] - by_person[of_person]
        variance = float((PSEUDO * SPREAD**2 + (left**2).sum()) / (PSEUDO + max(count - 1, 0)))
    return StandMinutes(
        shop,
        {str(name): (float(m), float(s)) for name, m, s in zip(kinds, *kind_found[:2], strict=True)},
        {str(name): (float(m), float(s)) for name, m, s in zip(people, *person_found[:2], strict=True)},
        sqrt(variance),
        count,
        kind_found[2],
        person_found[2],
    )


def _towards(left: Floats, variance: float) -> tuple[float, float]:
    """The shop's mean, drawn to the trade's."""
    known, prior = left.size / variance, 1 / SHOPS_APART**2
    return float((left.sum() / variance + TRADE * prior) / (known + prior)), sqrt(1 / (known + prior))


def _drawn(left: Floats, of: np.ndarray, variance: float, apart: float) -> tuple[Floats, Floats, float]:
    """Means of groups drawn to 0, with their sd, and how far groups lie apart."""
    many = np.bincount(of)
    means = np.bincount(of, weights=left) / many
    found = shrink(means, variance / many, 0.0, (apart, LIKE_MANY))
    return found.values, found.sd, found.between


def longest(middle: float, spread: float, share: float) -> float:
    """Return the minutes within which a share of the jobs is done: ``exp(ln middle + z spread)``.

    Args:
        middle: Half of the jobs take longer. [min]
        spread: Of the logarithms. [-]
        share: Of jobs, such as 0.9 or 0.95. [-]

    Returns:
        M_max of that share. [min]

    Raises:
        InputRefused: A middle or spread not above 0, or a share not between 0 and 1.

    Valid for: Log-normal times.

    Example:
        >>> round(longest(60, 0.35, 0.9), 1)
        94.0

    Source: Maximum corrective maintenance time, MIL-HDBK-338B 5.6.2.1.3.
    """
    if not (middle > 0 and spread > 0 and 0 < share < 1):
        raise InputRefused(
            worded("Minutes and spread must be above 0, the share between 0 and 1. Check them.")
        )
    return float(middle * np.exp(ndtri(share) * spread))
