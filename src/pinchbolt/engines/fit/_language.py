"""The small language of the rules: arithmetic, comparison, looking up rows; a missing fact stays missing.

A rule is data and may be overlaid by a workshop, so nothing here can run code: the text is read into Python's own
syntax tree, every node outside a short list is a fault of the table, and the rest is turned into plain functions.
Values are yes, no or *missing*; `and` and `or` go on where the other side already decides (Kleene's strong logic).
"""

import ast
import re
import warnings
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache
from math import isfinite

from pinchbolt.engines.fit._fit_words import (
    KNOWN,
    LISTED,
    SLACK,
    TAKES_ABSENT,
    WORDS,
    Looking,
    equal,
    is_number,
    shown,
)  # fmt: skip
from pinchbolt.engines.fit._tables import Absent, field_of
from pinchbolt.values.wording import worded

LONGEST = 1500
DEEPEST = 40
GREATEST_POWER = 8
Step = Callable[[Looking], object]


class RuleWrong(Exception):
    """The text of a rule cannot be read or run; the caller adds file, row and field."""


@dataclass(frozen=True, slots=True)
class Missing:
    """Not known: the facts that are missing, and what the tables lack."""

    names: frozenset[str] = frozenset()
    gaps: tuple[str, ...] = ()

    def with_(self, other: "Missing") -> "Missing":
        """Both together."""
        return Missing(self.names | other.names, tuple(dict.fromkeys((*self.gaps, *other.gaps))))


@dataclass(frozen=True, slots=True)
class Expression:
    """A piece of a rule, ready to run; `names` are the facts and steps that it looks at.

    `asked` are those of which it asks whether they are known.
    """

    text: str
    run: Step
    names: frozenset[str]
    asked: frozenset[str] = frozenset()


def _missing(values: Iterable[object]) -> Missing | None:
    found: Missing | None = None
    for value in values:
        gap = Missing(gaps=(value.what,)) if isinstance(value, Absent) else value
        if isinstance(gap, Missing):
            found = gap if found is None else found.with_(gap)
    return found


def _numbers(word: str, values: Iterable[object]) -> None:
    for value in values:
        if not is_number(value):
            raise RuleWrong(worded("does arithmetic ({word}) with {shown!r}", word=word, shown=shown(value)))


_ARITHMETIC: dict[type[ast.operator], tuple[str, Callable[[float, float], float]]] = {
    ast.Add: ("+", lambda a, b: a + b),
    ast.Sub: ("-", lambda a, b: a - b),
    ast.Mult: ("*", lambda a, b: a * b),
    ast.Div: ("/", lambda a, b: a / b),
    ast.FloorDiv: ("//", lambda a, b: a // b),
    ast.Mod: ("%", lambda a, b: a % b),
    ast.Pow: ("**", lambda a, b: float(a) ** b),
}
_ORDER: dict[type[ast.cmpop], Callable[[float, float], bool]] = {
    ast.Lt: lambda a, b: a < b - SLACK,
    ast.LtE: lambda a, b: a <= b + SLACK,
    ast.Gt: lambda a, b: a > b + SLACK,
    ast.GtE: lambda a, b: a >= b - SLACK,
}


def _compute(word: str, work: Callable[..., object], values: list[object]) -> object:
    missing = _missing(values)
    if missing is not None:
        return missing
    _numbers(word, values)
    if word == "**" and abs(values[1]) > GREATEST_POWER:  # type: ignore[arg-type]
        raise RuleWrong(worded("raises to the power {shown}", shown=shown(values[1])))
    try:
        result = work(*values)
        sound = not isinstance(result, complex) and isfinite(result)  # type: ignore[arg-type]
    except (ArithmeticError, ValueError, TypeError):
        sound = False
    if not sound:
        raise RuleWrong(
            worded(
                "has no result for {values} ({word})",
                values=worded(" and ").join(shown(value) for value in values),
                word=word,
            )
        )
    return result


def _compare(kind: type[ast.cmpop], one: object, other: object) -> object:
    missing = _missing((one, other))
    if missing is not None:
        return missing
    if kind in (ast.Eq, ast.NotEq):
        return equal(one, other) is (kind is ast.Eq)
    if kind in (ast.In, ast.NotIn):
        return WORDS["has"](None, other, one) is (kind is ast.In)
    _numbers("comparison", (one, other))
    return _ORDER[kind](one, other)  # type: ignore[arg-type]


def truth(value: object) -> bool | Missing:
    """A condition's value: yes, no or missing; anything else is a fault of the rule."""
    if isinstance(value, Absent):
        return Missing(gaps=(value.what,))
    if isinstance(value, bool | Missing):
        return value
    raise RuleWrong(worded("asks whether {shown!r} is so, and that is no yes or no", shown=shown(value)))


class _Reader:
    """Turns a syntax tree into functions; keeps the names it meets."""

    def __init__(self) -> None:
        self.names: set[str] = set()
        self.asked: set[str] = set()
        self.depth = 0

    def read(self, node: ast.AST) -> Step:
        reader = getattr(self, f"_{type(node).__name__.lower()}", None)
        if reader is None:
            raise RuleWrong(worded("uses {name}, which rules do not have", name=type(node).__name__.lower()))
        self.depth += 1
        if self.depth > DEEPEST:
            raise RuleWrong(worded("is nested deeper than {deepest}", deepest=DEEPEST))
        step: Step = reader(node)
        self.depth -= 1
        return step

    def _constant(self, node: ast.Constant) -> Step:
        value = node.value
        if not isinstance(value, bool | int | float | str):
            raise RuleWrong(worded("holds {value!r}, which is no number, text or yes and no", value=value))
        if is_number(value) and not (isfinite(value) and abs(value) < 1e12):  # type: ignore[arg-type]
            raise RuleWrong(worded("holds a number without end"))
        return lambda run: value

    def _name(self, node: ast.Name) -> Step:
        name = node.id
        if name in ("true", "false"):
            return lambda run: name == "true"
        if name == "rule":
            return lambda run: run.rule
        self.names.add(name)
        lacking = Missing(frozenset({name}))
        return lambda run: run.names.get(name, lacking)

    def _attribute(self, node: ast.Attribute) -> Step:
        if node.attr.startswith("_"):
            raise RuleWrong(worded("asks for the field {attr}, which no row has", attr=node.attr))
        base, name = self.read(node.value), node.attr

        def step(run: Looking) -> object:
            row = base(run)
            if isinstance(row, Missing | Absent):
                return row
            value = field_of(row, name)
            return (
                Absent(worded("the table gives no {name} there", name=name.replace("_", " ")))
                if value in (None, "")
                else value
            )

        return step

    def _list(self, node: ast.List) -> Step:
        items = [self.read(item) for item in node.elts]

        def step(run: Looking) -> object:
            values = tuple(item(run) for item in items)
            return _missing(values) or values

        return step

    _tuple = _list

    def _binop(self, node: ast.BinOp) -> Step:
        if type(node.op) not in _ARITHMETIC:
            raise RuleWrong(
                worded("uses {name}, which rules do not have", name=type(node.op).__name__.lower())
            )
        word, work = _ARITHMETIC[type(node.op)]
        left, right = self.read(node.left), self.read(node.right)
        return lambda run: _compute(word, work, [left(run), right(run)])

    def _unaryop(self, node: ast.UnaryOp) -> Step:
        inner = self.read(node.operand)
        if isinstance(node.op, ast.USub):
            return lambda run: _compute("-", lambda value: -value, [inner(run)])
        if not isinstance(node.op, ast.Not):
            raise RuleWrong(worded("uses a sign that rules do not have"))

        def step(run: Looking) -> object:
            value = truth(inner(run))
            return value if isinstance(value, Missing) else not value

        return step

    def _boolop(self, node: ast.BoolOp) -> Step:
        parts = [self.read(part) for part in node.values]
        decides = isinstance(node.op, ast.Or)

        def step(run: Looking) -> object:
            missing: Missing | None = None
            for part in parts:
                value = truth(part(run))
                if isinstance(value, Missing):
                    missing = value if missing is None else missing.with_(value)
                elif value is decides:
                    return decides
            return (not decides) if missing is None else missing

        return step

    def _compare(self, node: ast.Compare) -> Step:
        kinds = [type(op) for op in node.ops]
        if any(kind not in (*_ORDER, ast.Eq, ast.NotEq, ast.In, ast.NotIn) for kind in kinds):
            raise RuleWrong(worded("compares in a way that rules do not have"))
        sides = [self.read(side) for side in (node.left, *node.comparators)]

        def step(run: Looking) -> object:
            values = [side(run) for side in sides]
            answer: object = True
            for kind, one, other in zip(kinds, values, values[1:], strict=False):
                result = _compare(kind, one, other)
                if result is False:
                    return False
                if isinstance(result, Missing):
                    answer = result if not isinstance(answer, Missing) else answer.with_(result)
            return answer

        return step

    def _ifexp(self, node: ast.IfExp) -> Step:
        test, yes, no = self.read(node.test), self.read(node.body), self.read(node.orelse)

        def step(run: Looking) -> object:
            value = truth(test(run))
            if isinstance(value, Missing):
                first, second = yes(run), no(run)
                return first if _missing((first, second)) is None and equal(first, second) else value
            return yes(run) if value else no(run)

        return step

    def _call(self, node: ast.Call) -> Step:
        word = node.func.id if isinstance(node.func, ast.Name) else ""
        if word in (KNOWN, LISTED):
            return self._looked_at(word, node)
        if word not in WORDS:
            raise RuleWrong(
                worded(
                    'uses the word "{word}", which rules do not have; they have {words}',
                    word=word,
                    words=", ".join(WORDS),
                )
            )
        work = WORDS[word]
        values = [self.read(value) for value in node.args]
        named: dict[str, Step] = {str(pair.arg): self.read(pair.value) for pair in node.keywords if pair.arg}
        if len(named) != len(node.keywords):
            raise RuleWrong(worded("unpacks a mapping, which rules do not do"))

        def step(run: Looking) -> object:
            given = [value(run) for value in values]
            by_name = {name: value(run) for name, value in named.items()}
            everything = (*given, *by_name.values())
            looked_at = [x for x in everything if not (word in TAKES_ABSENT and isinstance(x, Absent))]
            missing = _missing(looked_at)
            if missing is not None:
                return missing
            try:
                return work(run, *given, **by_name)
            except (TypeError, ValueError, ArithmeticError) as wrong:
                raise RuleWrong(
                    worded('gives the word "{word}" what it cannot take ({wrong})', word=word, wrong=wrong)
                ) from None

        return step

    def _looked_at(self, word: str, node: ast.Call) -> Step:
        if len(node.args) != 1 or node.keywords:
            raise RuleWrong(worded("{word} looks at one thing", word=word))
        before = set(self.names)
        self.names.clear()
        inner = self.read(node.args[0])
        if word == KNOWN:
            self.asked |= self.names
        self.names |= before
        if word == KNOWN:
            return lambda run: not isinstance(inner(run), Missing | Absent)

        def step(run: Looking) -> object:
            value = inner(run)
            return value if isinstance(value, Missing) else not isinstance(value, Absent)

        return step


def _tree(text: str, mode: str) -> ast.AST:
    if len(text) > LONGEST:
        raise RuleWrong(
            worded("is {text} characters long, and {longest} is the most", text=len(text), longest=LONGEST)
        )
    try:
        with warnings.catch_warnings():
            # What Python only frowns at (2or 3) is no rule either.
            warnings.simplefilter("error", SyntaxWarning)
            return ast.parse(text.strip(), mode=mode)
    except (SyntaxError, ValueError, RecursionError, MemoryError) as wrong:
        raise RuleWrong(
            worded("cannot be read ({getattr})", getattr=getattr(wrong, "msg", None) or worded("too deep"))
        ) from None


@lru_cache(maxsize=4096)
def expression(text: str) -> Expression:
    """One expression, read once and kept."""
    tree = _tree(text, "eval")
    assert isinstance(tree, ast.Expression)
    reader = _Reader()
    step = reader.read(tree.body)
    return Expression(text, step, frozenset(reader.names), frozenset(reader.asked))


@lru_cache(maxsize=512)
def steps(text: str) -> tuple[tuple[str, Expression], ...]:
    """The steps of an `expression` field: `name = expression`, one after another, divided by semicolons."""
    tree = _tree(text, "exec")
    assert isinstance(tree, ast.Module)
    found = []
    for line in tree.body:
        if (
            not isinstance(line, ast.Assign)
            or len(line.targets) != 1
            or not isinstance(line.targets[0], ast.Name)
        ):
            raise RuleWrong(worded("is no list of steps such as step = rotor - native"))
        found.append((line.targets[0].id, expression(ast.unparse(line.value))))
    return tuple(found)


_PLACE = re.compile(r"\{([^{}:]+)(?::(\+?\.\d[f]))?\}")


@lru_cache(maxsize=4096)
def _filled_parts(text: str) -> tuple[str | tuple[Expression, str], ...]:
    parts: list[str | tuple[Expression, str]] = []
    at = 0
    for found in _PLACE.finditer(text):
        parts.append(text[at : found.start()])
        parts.append((expression(found.group(1)), found.group(2) or ""))
        at = found.end()
    parts.append(text[at:])
    if any("{" in part or "}" in part for part in parts if isinstance(part, str)):
        raise RuleWrong(worded("has a brace that is not closed, or a form of number that rules do not have"))
    return tuple(parts)


def filled(text: str, run: Looking) -> str:
    """A sentence of the table with its {places} filled."""
    out = []
    for part in _filled_parts(text):
        if isinstance(part, str):
            out.append(part)
            continue
        value = part[0].run(run)
        if isinstance(value, Missing):
            out.append("not known")
        else:
            out.append(format(value, part[1]) if part[1] and is_number(value) else shown(value))
    return "".join(out)


def places(text: str) -> frozenset[str]:
    """The names that a sentence of the table looks at."""
    names: frozenset[str] = frozenset()
    for part in _filled_parts(text):
        if not isinstance(part, str):
            names |= part[0].names
    return names
