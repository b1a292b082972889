"""The cheapest choice, exactly: a small linear program over yes and no, to which the rules are told as they are broken.

Every rule that a candidate breaks forbids just that choice among the offers it looks at, and every item that a rule asks
for is put on the bill of just that choice. What is told so far is always a part of the truth, so the program's best is
never above the true best: the first candidate that breaks nothing and whose bill is complete is the best there is.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from pinchbolt.engines.fit._field import Chosen, Field

# Rounds after which the search gives up its proof and says so.
MOST_ROUNDS = 3000
# Costs are whole numbers; what differs by less than this is one.
WHOLE = 0.25
CostOf = Callable[["Rows"], list[float]]


class NotProved(Exception):
    """The search was stopped before it had a proof."""


@dataclass(slots=True)
class Rows:
    """Linear rows ``sum(weight * x) >= least`` over offers and items; items get their columns as they turn up."""

    offers: int
    items: dict[str, int] = field(default_factory=dict)
    rows: list[tuple[dict[int, float], float]] = field(default_factory=list)

    def column(self, item: str) -> int:
        """The column of an item."""
        return self.offers + self.items.setdefault(item, len(self.items))

    def at_least(self, weights: dict[int, float], least: float) -> None:
        """Add a row."""
        self.rows.append((weights, least))

    def copied(self) -> "Rows":
        """The same rows, to add to."""
        return Rows(self.offers, dict(self.items), list(self.rows))


def solved(rows: Rows, cost: Sequence[float]) -> tuple[Chosen, float] | None:
    """The cheapest choice under the rows told so far, and its cost; None where there is none."""
    import numpy as np  # noqa: PLC0415
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415
    from scipy.sparse import csr_array  # noqa: PLC0415

    count = rows.offers + len(rows.items)
    if count == 0:
        return None if any(least > 0 for _, least in rows.rows) else (frozenset(), 0.0)
    constraints = []
    if rows.rows:
        lines = [line for line, (weights, _) in enumerate(rows.rows) for _ in weights]
        columns = [column for weights, _ in rows.rows for column in weights]
        values = [value for weights, _ in rows.rows for value in weights.values()]
        matrix = csr_array((values, (lines, columns)), shape=(len(rows.rows), count))
        constraints.append(LinearConstraint(matrix, lb=np.array([least for _, least in rows.rows])))
    answer = milp(
        np.asarray(cost, dtype=float),
        constraints=constraints,
        integrality=np.ones(count),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0.0},
    )
    if answer.status == 2:
        return None
    if answer.x is None or answer.status != 0:
        raise NotProved
    return frozenset(n for n in range(rows.offers) if answer.x[n] > 0.5), float(answer.fun)


def best(
    ground: Field,
    rows: Rows,
    cost_of: CostOf,
    factors: Iterable[int],
    cap: tuple[CostOf, float] | None = None,
) -> tuple[Chosen, float] | None:
    """The cheapest choice that breaks none of *factors*, with its cost; *rows* keeps what was learnt.

    With *cap*, only choices of which that other cost is not above the figure.
    """
    watched = tuple(factors)
    for _ in range(MOST_ROUNDS):
        found = solved(_capped(rows, cap), cost_of(rows))
        if found is None:
            return None
        chosen, bound = found
        learnt = False
        needed: set[str] = set()
        for number in watched:
            said = ground.said(number, chosen)
            if said.forbidden:
                _forbid(rows, ground, number, chosen)
                learnt = True
            needed |= said.items
        cost = cost_of(rows)
        bill = sum(cost[n] for n in chosen) + sum(cost[rows.column(i)] for i in needed if i in rows.items)
        if learnt:
            continue
        if needed <= rows.items.keys() and bill <= bound + WHOLE:
            return chosen, bound
        for number in watched:
            for item in ground.said(number, chosen).items:
                _bill(rows, ground, number, chosen, item)
    raise NotProved


def _capped(rows: Rows, cap: tuple[CostOf, float] | None) -> Rows:
    if cap is None:
        return rows
    held = rows.copied()
    held.at_least({n: -value for n, value in enumerate(cap[0](rows)) if value}, -cap[1] - WHOLE)
    return held


def _exactly(ground: Field, number: int, chosen: Chosen) -> tuple[dict[int, float], int]:
    """Weights w and count k with ``k - sum(w x)`` = 0 for just this choice among the factor's offers, else above 0."""
    own = ground.factors[number].offers
    return {n: (1.0 if n in chosen else -1.0) for n in own}, len(own & chosen)


def _forbid(rows: Rows, ground: Field, number: int, chosen: Chosen) -> None:
    weights, count = _exactly(ground, number, chosen)
    rows.at_least({n: -value for n, value in weights.items()}, 1 - count)


def _bill(rows: Rows, ground: Field, number: int, chosen: Chosen, item: str) -> None:
    weights, count = _exactly(ground, number, chosen)
    rows.at_least({**{n: -value for n, value in weights.items()}, rows.column(item): 1.0}, 1 - count)


def smallest_clash(
    ground: Field, rows: Rows, goals: Sequence[int], rules: Sequence[int]
) -> list[tuple[int, Chosen]]:
    """The smallest set of rules that with the goal leaves no choice, each with a choice that breaks it.

    Sets of rules that some choice breaks must each be hit; the smallest hitting set that still leaves a choice names a
    new such set, and the first that leaves none is the smallest of all.
    """
    broken: list[dict[int, Chosen]] = []
    learnt = rows.copied()
    while True:
        cover = Rows(len(rules))
        for found in broken:
            cover.at_least({rules.index(number): 1.0 for number in found}, 1)
        hit = solved(cover, [1.0] * len(rules))
        assert hit is not None, "every set holds a rule"
        kept = [rules[n] for n in sorted(hit[0])]
        # Rows are true of the rules that taught them, so each set of rules starts anew from the bare rows.
        trial = learnt.copied()
        answer = best(ground, trial, lambda r: [1.0] * r.offers + [0.0] * len(r.items), [*goals, *kept])
        if answer is None:
            return [(number, _breaker(broken, number)) for number in kept]
        chosen = answer[0]
        broken.append({number: chosen for number in rules if ground.said(number, chosen).forbidden})


def _breaker(broken: Sequence[dict[int, Chosen]], number: int) -> Chosen:
    return next(found[number] for found in broken if number in found)
