"""Many builds at once: each rule at each place is asked once for each set of facts that it looks at."""

from collections.abc import Collection, Mapping, Sequence
from typing import TYPE_CHECKING

from pinchbolt.engines.fit._build import bare_facts, changed_names, checked_at, gathered, places_of
from pinchbolt.engines.fit._tables import view_of
from pinchbolt.engines.fit.fit_types import BuildVerdict, FitVerdict

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Codes = NDArray[np.int64]


def check_builds(
    builds: Sequence[Mapping[str, object]], tables: object, changed: Collection[str] | None = None
) -> tuple[BuildVerdict, ...]:
    """Return for each build what `check_build` says of it, in their order.

    Bikes are made of parts that other bikes have too, so a rule meets the same few facts again and again: the facts are
    numbered, builds that are alike to a rule are found as equal numbers, and the rule is run once for each kind of them.

    Args:
        builds: Facts of each bike, as for `check_build`. [as there]
        tables: As for `check_build`. [-]
        changed: As for `check_build`; the same for all. [-]

    Returns:
        One verdict a build. [-]

    Raises:
        InputRefused: As `check_build`, for a build that it refuses.

    Valid for: As `check_build`.

    Example:
        >>> [found.verdict.value for found in check_builds([{"seat_post": 27.2, "seat_tube": 27.2}] * 2, tables)]
        ['fits', 'fits']

    Source: The rules' own rows.
    """
    view = view_of(tables)
    touched = changed_names(changed)
    if not builds:
        return ()
    facts = [bare_facts(build) for build in builds]
    columns = _numbered(facts)
    places = places_of(view)
    looked_at = frozenset().union(*(place.facts for place in places))
    answers: list[list[FitVerdict | None]] = []
    kinds: list[Codes] = []
    for place in places:
        if touched is not None and not touched & place.facts:
            continue
        alike, first = _alike([columns[name] for name in sorted(place.facts) if name in columns], len(facts))
        answers.append([checked_at(place, facts[row], view) for row in first])
        kinds.append(alike)
    whole, first = _alike(kinds, len(facts))
    told = [
        gathered(
            [
                check
                for said, kind in zip(answers, kinds, strict=True)
                if (check := said[kind[row]]) is not None
            ],
            touched,
            looked_at,
        )
        for row in first
    ]
    return tuple(told[kind] for kind in whole)


def _numbered(facts: Sequence[Mapping[str, object]]) -> "dict[str, Codes]":
    """Every fact as a column of numbers, one number a value; 0 where a build has not got it."""
    import numpy as np  # noqa: PLC0415

    columns: dict[str, Codes] = {}
    numbers: dict[str, dict[object, int]] = {}
    for row, known in enumerate(facts):
        for name, value in known.items():
            column = columns.get(name)
            if column is None:
                column = columns[name] = np.zeros(len(facts), dtype=np.int64)
                numbers[name] = {}
            # Yes is not 1, and a list has no hash: each is told apart by its kind.
            key = (type(value), value if isinstance(value, str | int | float) else repr(value))
            column[row] = numbers[name].setdefault(key, len(numbers[name]) + 1)
    return columns


def _alike(columns: "Sequence[Codes]", count: int) -> "tuple[Codes, Codes]":
    """A number for each kind of row over these columns, and the first row of each kind."""
    import numpy as np  # noqa: PLC0415

    kind, first = np.zeros(count, dtype=np.int64), np.zeros(1, dtype=np.int64)
    for column in columns:
        # Numbers stay below the count of rows, so that a product never runs over.
        _, first, kind = np.unique(
            kind * (int(column.max()) + 1) + column, return_index=True, return_inverse=True
        )
    return kind, first
