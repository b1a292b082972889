"""The cheapest choice, exactly: a linear program over yes and no.

Each rule is told to the program as the list of cases that it allows (one column a case, so that the bounds are tight). A
rule with too many cases is told as it is broken instead: every candidate that breaks it forbids just that choice among
the offers it looks at. What is told is always a part of the truth, so the program's best is never above the true best:
the first candidate that breaks nothing and whose bill is complete is the best there is.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from pinchbolt.engines.fit._field import Chosen, Field
from pinchbolt.engines.fit.fit_types import FitNeed
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from scipy.sparse import csr_array

# Rounds after which the search gives up its proof and says so.
MOST_ROUNDS = 3000
# A rule with more cases than this is told as it is broken.
MOST_CASES = 2000
# Costs are whole numbers; what differs by less than this is one.
WHOLE = 0.25
# What is nearer than this to a whole number is one; the program holds its rows to a tenth of a millionth.
_IS_WHOLE = 1e-6
# A need, or a case of a rule by its number.
Column = FitNeed | str
CostOf = Callable[["Rows"], dict[int, float]]


class NotProved(Exception):
    """The search was stopped before it had a proof."""


@dataclass(slots=True)
class Rows:
    """Linear rows ``least <= sum(weight * x) <= most``; offers come first, items and cases get columns as they turn up.

    Offers that are `shut` are left out for now, and while `all_priced`, every need of which `is_priced` says no.
    """

    offers: int
    columns: dict[Column, int] = field(default_factory=dict)
    rows: list[tuple[dict[int, float], float, float]] = field(default_factory=list)
    told: set[int] = field(default_factory=set)
    shut: frozenset[int] = frozenset()
    is_priced: Callable[[FitNeed], bool] = lambda _need: True
    all_priced: bool = False

    def column(self, name: Column) -> int:
        """The column of a need or a case."""
        return self.offers + self.columns.setdefault(name, len(self.columns))

    def at_least(self, weights: dict[int, float], least: float) -> None:
        """Add a row."""
        self.rows.append((weights, least, float("inf")))

    def equals(self, weights: dict[int, float], value: float) -> None:
        """Add a row that is met exactly."""
        self.rows.append((weights, value, value))

    def items(self) -> list[tuple[FitNeed, int]]:
        """Every need with its column."""
        return [
            (name, self.offers + place) for name, place in self.columns.items() if isinstance(name, FitNeed)
        ]

    def copied(self) -> "Rows":
        """The same rows, to add to."""
        return replace(self, columns=dict(self.columns), rows=list(self.rows), told=set(self.told))

    def closed(self) -> list[int]:
        """The columns that stay at nothing for now."""
        needs = self.items() if self.all_priced else ()
        return [*self.shut, *(column for need, column in needs if not self.is_priced(need))]


def _matrix(rows: Rows, count: int) -> tuple["csr_array", "NDArray[np.float64]", "NDArray[np.float64]"]:
    """The rows as a matrix with their two ends."""
    import numpy as np  # noqa: PLC0415
    from scipy.sparse import csr_array  # noqa: PLC0415

    lines = [line for line, (weights, _, _) in enumerate(rows.rows) for _ in weights]
    columns = [column for weights, _, _ in rows.rows for column in weights]
    values = [value for weights, _, _ in rows.rows for value in weights.values()]
    matrix = csr_array((values, (lines, columns)), shape=(len(rows.rows), count))
    return matrix, np.array([row[1] for row in rows.rows]), np.array([row[2] for row in rows.rows])


def _costs(
    rows: Rows, cost: dict[int, float], count: int
) -> tuple["NDArray[np.float64]", "NDArray[np.float64]"]:
    """The cost of each column, and how much of it there may be."""
    import numpy as np  # noqa: PLC0415

    costs, most = np.zeros(count), np.ones(count)
    costs[list(cost)] = list(cost.values())
    most[rows.closed()] = 0
    return costs, most


def solved(rows: Rows, cost: dict[int, float]) -> tuple[Chosen, float] | None:
    """The cheapest choice under the rows told so far, and its cost; None where there is none."""
    import numpy as np  # noqa: PLC0415
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415

    count = rows.offers + len(rows.columns)
    if count == 0:
        return None if any(least > 0 or most < 0 for _, least, most in rows.rows) else (frozenset(), 0.0)
    costs, most = _costs(rows, cost, count)
    constraints = []
    if rows.rows:
        matrix, low, high = _matrix(rows, count)
        constraints.append(LinearConstraint(matrix, lb=low, ub=high))
    bounds = Bounds(0, most)
    # Asked without whole numbers it takes a fraction of the time; where they come out whole, that is the answer.
    answer = milp(costs, constraints=constraints, bounds=bounds, options={"presolve": False})
    if (
        answer.status == 0
        and np.abs(answer.x - np.round(answer.x))[: rows.offers].max(initial=0.0) > _IS_WHOLE
    ):
        whole = np.zeros(count)
        whole[: rows.offers] = 1
        answer = milp(
            costs, constraints=constraints, integrality=whole, bounds=bounds, options={"mip_rel_gap": 0.0}
        )
    if answer.status == 2:
        return None
    if answer.x is None or answer.status != 0:
        raise NotProved
    return frozenset(n for n in range(rows.offers) if answer.x[n] > 0.5), float(answer.fun)


def least_with(ground: Field, rows: Rows, cost_of: CostOf, factors: Iterable[int]) -> list[float]:
    """For each offer, a cost that no choice which holds it is below.

    The program without whole numbers is a lower bound of every choice, and its reduced cost says by how much at least the
    bound grows when an offer must be in it.
    """
    import numpy as np  # noqa: PLC0415
    from scipy.optimize import linprog  # noqa: PLC0415
    from scipy.sparse import vstack  # noqa: PLC0415

    for number in factors:
        _tell(rows, ground, number)
    count = rows.offers + len(rows.columns)
    costs, _ = _costs(rows, cost_of(rows), count)
    matrix, low, high = _matrix(rows, count)
    same, below, above = low == high, np.isfinite(high) & (low != high), np.isfinite(low) & (low != high)
    told = linprog(
        costs,
        A_ub=vstack([matrix[below], -matrix[above]]) if (below | above).any() else None,
        b_ub=np.concatenate([high[below], -low[above]]) if (below | above).any() else None,
        A_eq=matrix[same] if same.any() else None,
        b_eq=low[same] if same.any() else None,
        bounds=(0, 1),
    )
    if told.status != 0:
        return [0.0] * rows.offers
    return [float(told.fun + max(0.0, grows)) for grows in told.lower.marginals[: rows.offers]]


def best(
    ground: Field,
    rows: Rows,
    cost_of: CostOf,
    factors: Iterable[int],
    cap: tuple[CostOf, float] | None = None,
) -> tuple[Chosen, float] | None:
    """The cheapest choice that breaks none of *factors*, with its cost; *rows* keeps what was told.

    With *cap*, only choices of which that other cost is not above the figure.
    """
    watched = tuple(factors)
    for number in watched:
        _tell(rows, ground, number)
    for _ in range(MOST_ROUNDS):
        found = solved(_capped(rows, cap), cost_of(rows))
        if found is None:
            return None
        chosen, bound = found
        broken = [number for number in watched if ground.said(number, chosen).forbidden]
        for number in broken:
            _forbid(rows, ground, number, chosen)
        if broken:
            continue
        needed = {item for number in watched for item in ground.said(number, chosen).items}
        cost, columns = cost_of(rows), dict(rows.items())
        bill = sum(cost.get(n, 0.0) for n in chosen) + sum(
            cost.get(columns[i], 0.0) for i in needed & columns.keys()
        )
        dear = rows.all_priced and not all(map(rows.is_priced, needed))
        if needed <= columns.keys() and bill <= bound + WHOLE and not dear:
            return chosen, bound
        for number in watched:
            for item in ground.said(number, chosen).items:
                _bill(rows, ground, number, chosen, item)
    raise NotProved


def _capped(rows: Rows, cap: tuple[CostOf, float] | None) -> Rows:
    if cap is None:
        return rows
    held = rows.copied()
    held.at_least({n: -value for n, value in cap[0](rows).items() if value}, -cap[1] - WHOLE)
    return held


def _tell(rows: Rows, ground: Field, number: int) -> None:
    """Tell a rule as the list of its cases, once; leave one with too many cases to be told as it is broken."""
    if number in rows.told:
        return
    rows.told.add(number)
    cases = ground.cases(number, MOST_CASES)
    if cases is None:
        return
    names = {case: rows.column(f"{number}/{place}") for place, case in enumerate(cases)}
    # Just one case holds, and each group of like offers is chosen in just those cases that have it.
    rows.equals(dict.fromkeys(names.values(), 1.0), 1.0)
    for group, members in ground.groups(number).items():
        weights = {names[case]: 1.0 for case in cases if group in case.groups}
        rows.equals({**weights, **dict.fromkeys(members, -1.0)}, 0.0)
    for item in {item for case in cases for item in case.items}:
        held: dict[int, float] = {names[case]: -1.0 for case in cases if item in case.items}
        rows.at_least({**held, rows.column(item): 1.0}, 0.0)


def _exactly(ground: Field, number: int, chosen: Chosen) -> tuple[dict[int, float], int]:
    """Weights w and count k with ``k - sum(w x)`` = 0 for just this choice among the factor's offers, else above 0.

    Offers that say the same to the rule count as one, so that the row holds for all of them.
    """
    weights: dict[int, float] = {}
    count = 0
    for members in ground.groups(number).values():
        taken = bool(chosen & members)
        count += taken
        weights.update(dict.fromkeys(members, 1.0 if taken else -1.0))
    return weights, count


def _forbid(rows: Rows, ground: Field, number: int, chosen: Chosen) -> None:
    weights, count = _exactly(ground, number, chosen)
    rows.at_least({n: -value for n, value in weights.items()}, 1 - count)


def _bill(rows: Rows, ground: Field, number: int, chosen: Chosen, item: FitNeed) -> None:
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
    while True:
        cover = Rows(len(rules))
        for found in broken:
            cover.at_least({rules.index(number): 1.0 for number in found}, 1)
        hit = solved(cover, dict.fromkeys(range(len(rules)), 1.0))
        assert hit is not None, worded("every set holds a rule")
        kept = [rules[n] for n in sorted(hit[0])]
        # What was told of one set of rules is not true of another, so each starts from the bare rows.
        answer = best(ground, rows.copied(), lambda r: dict.fromkeys(range(r.offers), 1.0), [*goals, *kept])
        if answer is None:
            return [(number, next(found[number] for found in broken if number in found)) for number in kept]
        chosen = answer[0]
        broken.append({number: chosen for number in rules if ground.said(number, chosen).forbidden})
