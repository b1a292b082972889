"""How many open days a part, a late part or an owner's answer takes: counts of what came so far on a prior."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from pinchbolt.engines.day.day_types import Floats, Wait
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

# Open days after the order. Worth four deliveries (common practice, no source: most come the next or the second day).
PART_DAYS, PART_PRIOR = (1, 2, 3, 5, 9), (1.6, 1.2, 0.6, 0.4, 0.2)
# Open days after the day that the supplier said; most keep it.
LATE_DAYS, LATE_PRIOR = (0, 1, 2, 5), (4.0, 0.5, 0.3, 0.2)
# Open days until an owner answers.
OWNER_DAYS, OWNER_PRIOR = (0, 1, 2, 4), (2.4, 1.0, 0.4, 0.2)


@dataclass(frozen=True, slots=True)
class DaysLearned:
    """Open days that may be taken, and what each weighs: the prior's weight and one for each time that it was so. [days], [-]"""

    days: tuple[int, ...]
    weights: tuple[float, ...]
    seen: int = 0

    def chances(self) -> Floats:
        """Return the chance of each of its days. [-]"""
        weights: Floats = np.array(self.weights)
        chances: Floats = weights / weights.sum()
        return chances


@dataclass(frozen=True, slots=True)
class WaitsLearned:
    """What was learned of waiting: of all suppliers and of each by name, of days that were said, of owners' answers."""

    parts: DaysLearned = DaysLearned(PART_DAYS, PART_PRIOR)
    suppliers: Mapping[str, DaysLearned] = field(default_factory=dict)
    late: DaysLearned = DaysLearned(LATE_DAYS, LATE_PRIOR)
    owner: DaysLearned = DaysLearned(OWNER_DAYS, OWNER_PRIOR)

    def of(self, wait: Wait) -> DaysLearned:
        """Return what stands for one thing that is waited for."""
        if wait.what == "owner":
            return self.owner
        return self.suppliers.get(wait.supplier, self.parts) if wait.due is None else self.late


def learn_days(seen: Sequence[float], prior: DaysLearned) -> DaysLearned:
    """Return how many open days something takes: each time seen counts one at the nearest longer day.

    ``chance_d = (a_d + n_d) / (sum a + n)``, Dirichlet weights a.

    Args:
        seen: Open days that it took so far. [days]
        prior: What is taken before anything was seen. [days], [-]

    Returns:
        The same days with their new weights. [days], [-]

    Raises:
        InputRefused: Days below 0.

    Valid for: Waits of a kind; one longer than the longest day counts as the longest.

    Example:
        >>> learn_days([1, 1, 4], DaysLearned((1, 2, 5), (1.0, 1.0, 1.0))).weights
        (3.0, 1.0, 2.0)

    Source: Dirichlet prior of a multinomial count, textbook.
    """
    if any(not one >= 0 for one in seen):
        raise InputRefused(worded("Days that a part took are below 0: correct the day of its order."))
    weights = list(prior.weights)
    for one in seen:
        weights[min(int(np.searchsorted(prior.days, one)), len(weights) - 1)] += 1.0
    return DaysLearned(prior.days, tuple(weights), prior.seen + len(seen))


def learn_waiting(
    parts: Mapping[str, Sequence[float]], late: Sequence[float] = (), owner: Sequence[float] = ()
) -> WaitsLearned:
    """Return what deliveries, said days and owners' answers tell of waiting.

    A supplier's own deliveries stand on what all suppliers take, worth four.

    Args:
        parts: Open days from order to arrival by supplier. [days]
        late: Open days after the day that was said. [days]
        owner: Open days until the owner answered. [days]

    Returns:
        Days by supplier and of each kind of wait. [days], [-]

    Raises:
        InputRefused: Days below 0.

    Valid for: Open days of the workshop.

    Source: `learn_days`; the weight of four deliveries from memory.
    """
    everyone = learn_days(
        [one for many in parts.values() for one in many], DaysLearned(PART_DAYS, PART_PRIOR)
    )
    whole = everyone.chances() * sum(PART_PRIOR)
    start = DaysLearned(PART_DAYS, tuple(float(one) for one in whole))
    return WaitsLearned(
        everyone,
        {name: learn_days(many, start) for name, many in parts.items() if name},
        learn_days(late, DaysLearned(LATE_DAYS, LATE_PRIOR)),
        learn_days(owner, DaysLearned(OWNER_DAYS, OWNER_PRIOR)),
    )


def days_left(learned: DaysLearned, since: int, still: float, runs: int, rng: np.random.Generator) -> Floats:
    """Draw the open days that are left of a wait that began `since` open days ago: what it would have taken by now is out.

    The last of those days is today: of its chance the share `still` is left, and 0 days are then left of the wait.
    """
    chances = rng.dirichlet(learned.weights, runs) if sum(learned.weights) else np.ones((runs, 1))
    days = np.array(learned.days)
    if since:
        chances = chances * np.where(days > since, 1.0, np.where(days == since, still, 0.0))
    total = chances.sum(1, keepdims=True)
    # Longer than anything seen: nobody knows, so it may be tomorrow or in a week; each day half as likely as the one before.
    over = total[:, 0] <= 0
    drawn = (chances.cumsum(1) >= rng.uniform(0, 1, (runs, 1)) * np.maximum(total, 1e-12)).argmax(1)
    left = days[drawn] - since
    return np.where(over, rng.geometric(0.35, runs), left).astype(float)
