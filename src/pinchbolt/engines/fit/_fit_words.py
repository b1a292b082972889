"""The words that a rule may use besides arithmetic: looking up rows, taking text apart, some mathematics."""

import re
from collections.abc import Callable, Mapping
from functools import lru_cache
from math import ceil, floor, sqrt

from pinchbolt.engines.fit._tables import Absent, FitTables, field_of, items_of, pick, row_name, same_words
from pinchbolt.values.wording import worded

# Two figures are equal when they differ by less than any caliper shows; it keeps 0.1 + 0.2 from being a misfit.
SLACK = 1e-9
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


class Looking:
    """One run of a rule: the names it knows, the tables, and the rows that were used (for the reasons)."""

    __slots__ = ("names", "rule", "tables", "used")

    def __init__(self, tables: FitTables, names: dict[str, object], rule: object = None) -> None:
        self.tables = tables
        self.names = names
        self.rule = rule
        self.used: list[tuple[str, object]] = []

    def seen(self, kind: str, row: object) -> object:
        """Note that *row* was used, and give it back."""
        if all(row is not other for _, other in self.used):
            self.used.append((kind, row))
        return row


def is_number(value: object) -> bool:
    """True for a whole or decimal number; yes and no are not numbers."""
    return isinstance(value, int | float) and not isinstance(value, bool)


def equal(one: object, other: object) -> bool:
    """Equality of the tables: numbers within `SLACK`, words as `same_words`; yes is never 1."""
    if is_number(one) and is_number(other):
        return bool(abs(one - other) <= SLACK)  # type: ignore[operator]
    if isinstance(one, str) and isinstance(other, str):
        return one == other or same_words(one) == same_words(other)
    return type(one) is type(other) and one == other


def _row(run: Looking, kind: str, **wanted: object) -> object:
    for row in run.tables.rows(kind):
        if all(equal(field_of(row, name), value) for name, value in wanted.items()):
            return run.seen(kind, row)
    asked = ", ".join(f"{name.replace('_', ' ')} {shown(value)}" for name, value in wanted.items())
    return Absent(
        worded("the table has no {kind} for {asked}", kind=kind.replace("_", " "), asked=asked)
        if asked
        else worded("the table has no {kind}", kind=kind)
    )


def _nearest_below(run: Looking, kind: str, name: str, value: float, within: float) -> object:
    best, best_at = None, 0.0
    for row in run.tables.rows(kind):
        at = field_of(row, name)
        if is_number(at) and value - within < at <= value + SLACK and (best is None or at > best_at):  # type: ignore[operator]
            best, best_at = row, at  # type: ignore[assignment]
    if best is None:
        return Absent(
            worded(
                "the table {kind} has nothing for {name} {shown}",
                kind=kind.replace("_", " "),
                name=name.replace("_", " "),
                shown=shown(value),
            )
        )
    return run.seen(kind, best)


def _nearest_above(run: Looking, kind: str, name: str, value: float, within: float) -> object:
    found = [row for row in run.tables.rows(kind) if is_number(field_of(row, name))]
    near = [row for row in found if value - SLACK <= field_of(row, name) < value + within]  # type: ignore[operator]
    if not near:
        return Absent(
            worded(
                "the table {kind} ends below {name} {shown}",
                kind=kind.replace("_", " "),
                name=name.replace("_", " "),
                shown=shown(value),
            )
        )
    return run.seen(kind, min(near, key=lambda row: field_of(row, name)))  # type: ignore[arg-type, return-value]


def _row_between(run: Looking, kind: str, name: str, value: float) -> object:
    for row in run.tables.rows(kind):
        ends = items_of(field_of(row, name))
        if len(ends) == 2 and ends[0] - SLACK <= value < ends[1] + 1:  # type: ignore[operator]
            return run.seen(kind, row)
    return Absent(
        worded(
            "the table {kind} has nothing for {name} {shown}",
            kind=kind.replace("_", " "),
            name=name,
            shown=shown(value),
        )
    )


def _pick(_run: Looking, mapping: object, key: object) -> object:
    if isinstance(mapping, Absent):
        return mapping
    found = pick(mapping, key)
    return Absent(worded("nothing is listed for {shown}", shown=shown(key))) if found is None else found


def _has(_run: Looking, held: object, value: object) -> object:
    if isinstance(held, Absent):
        return held
    if isinstance(held, Mapping):
        return pick(held, value) is not None
    return any(equal(item, value) for item in items_of(held))


def _paired(_run: Looking, pairs: object, one: object, other: object) -> bool:
    for pair in items_of(pairs):
        first, second = items_of(pair)
        if (equal(first, one) and equal(second, other)) or (equal(first, other) and equal(second, one)):
            return True
    return False


def _nearest(_run: Looking, held: object, value: float) -> object:
    numbers = [item for item in items_of(held) if is_number(item)]
    if not numbers:
        return Absent(worded("no width is listed"))
    return min(numbers, key=lambda item: abs(item - value))  # type: ignore[operator]


def _least(_run: Looking, held: object) -> object:
    numbers = [float(str(item)) for item in items_of(list(held) if isinstance(held, Mapping) else held)]
    return min(numbers) if numbers else Absent(worded("nothing is listed"))


def _apart(_run: Looking, one: object, other: object) -> object:
    """The least distance from a figure of the one list to a figure of the other."""
    near = [abs(float(str(a)) - float(str(b))) for a in items_of(one) for b in items_of(other)]
    return min(near) if near else Absent(worded("no width is listed"))


def _number(_run: Looking, value: object) -> object:
    if is_number(value):
        return value
    first = next(iter(items_of(value)), "")
    found = _NUMBER.search(first) if isinstance(first, str) else None
    return float(found.group()) if found else Absent(worded('"{shown}" holds no number', shown=shown(value)))


@lru_cache(maxsize=64)
def _mark(mark: str) -> re.Pattern[str]:
    """A mark as people write it: capitals do not matter, and a space in it may be a hyphen."""
    return re.compile("[-_\\s]+".join(re.escape(piece) for piece in mark.split(" ")), re.IGNORECASE)


def _before(_run: Looking, text: object, mark: str) -> str:
    return _mark(mark).split(str(text), 1)[0].strip()


def _after(_run: Looking, text: object, mark: str) -> str:
    return next(iter(_mark(mark).split(str(text), 1)[1:]), "").strip()


def _starts(_run: Looking, text: object, beginning: str) -> bool:
    return same_words(str(text)).startswith(same_words(beginning))


def _joined(_run: Looking, held: object) -> str:
    return ", ".join(shown(item) for item in items_of(held))


def _nothing(_run: Looking) -> Absent:
    return Absent(worded("nothing is said of it"))


def _ceil(_run: Looking, value: float) -> int:
    return ceil(value - SLACK)


def _floor(_run: Looking, value: float) -> int:
    return floor(value + SLACK)


# Words that are handled where they are read, because they may look at what is not known.
KNOWN, LISTED = "known", "listed"

WORDS: Mapping[str, Callable[..., object]] = {
    "row": _row,
    "nearest_below": _nearest_below,
    "nearest_above": _nearest_above,
    "row_between": _row_between,
    "pick": _pick,
    "has": _has,
    "paired": _paired,
    "nearest": _nearest,
    "least": _least,
    "apart": _apart,
    "number": _number,
    "before": _before,
    "after": _after,
    "starts": _starts,
    "joined": _joined,
    "nothing": _nothing,
    "abs": lambda _run, value: abs(value),
    "min": lambda _run, *values: min(values),
    "max": lambda _run, *values: max(values),
    "sqrt": lambda _run, value: sqrt(value),
    "ceil": _ceil,
    "floor": _floor,
}
# Words that take an absent row as it is, instead of passing it on as not known.
TAKES_ABSENT = frozenset({"pick", "has"})


def shown(value: object) -> str:
    """A value in a sentence: 30.0 as 30, 27.2 as 27.2, yes and no in words."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if is_number(value):
        return f"{value:.6g}"
    if isinstance(value, Absent):
        return "not known"
    if isinstance(value, Mapping):
        return ", ".join(str(name) for name in value)
    if isinstance(value, str):
        return value
    if isinstance(value, list | tuple):
        return ", ".join(shown(item) for item in value)
    return row_name("row", value) if value is not None else "not known"
