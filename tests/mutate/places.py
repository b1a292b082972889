"""Where a small change of the program can be planted, and a sample of such changes that stays the same when files move.

Five kinds of change: a comparison at its edge, a number, a sign, a guard, a flag. One change a line. What no behaviour hangs on is
left alone: annotations, decorators, docstrings, text that is put together, and switches such as `strict=`.
"""

import ast
import copy
import dataclasses
import hashlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src"
# The environment that names the folder of a hunt.
FOLDER = "PINCHBOLT_MUTANTS"
ROOMS = ("engines", "workshop", "reference", "values")
# The invented workshop is data that happens to be written in Python.
ASIDE = ("demo",)

EDGES = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
SIGNS = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}
SWITCHES = {"strict", "frozen", "slots", "kw_only", "maxsize", "repr", "compare", "copy", "cache"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change: node number *node* of the file's tree, the *way*-th thing that can be done to it."""

    path: str  # below src
    line: int
    last: int
    node: int
    way: int
    kind: str
    change: str
    within: str  # the function, or nothing where the change is made when the module loads
    rank: str  # what the sample is drawn by
    asked: str = (
        ""  # the room of the workshop that was asked for by itself, whose own tests alone are to see it
    )

    @property
    def id(self) -> str:
        """What names it on the command line."""
        return self.rank[:8]

    @property
    def module(self) -> str:
        """The module's name."""
        return self.path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")

    @property
    def folder(self) -> str:
        """Its folder, two deep: engines/torque, workshop/stays, reference/checks."""
        return "/".join(self.path.split("/")[1:-1][:2])

    @property
    def room(self) -> str:
        """Whose tests should see it: engines/torque, workshop (or one room of it), reference, values."""
        if self.asked:
            return self.asked
        parts = self.path.split("/")[1:]
        return "/".join(parts[:2]) if parts[0] == "engines" else parts[0]


def files(rooms: Sequence[str] = ROOMS) -> Iterator[Path]:
    """Every module of these rooms, wherever it lies in them."""
    for room in rooms:
        for path in sorted((SOURCE / "pinchbolt" / room).rglob("*.py")):
            if not set(ASIDE) & set(path.parts):
                yield path


def sample(count: int, seed: int, rooms: Sequence[str] = ROOMS) -> list[Mutant]:
    """*count* lines and one change in each, by a number that hangs on function and text alone, not on where the file lies.

    Code that is left as it is keeps its mutants, so that two reports can be compared.
    """
    drawn: dict[tuple[str, int], Mutant] = {}
    for room in rooms:
        asked = room if room.startswith("workshop/") else ""
        for path in files([room]):
            text, name = path.read_text(encoding="utf-8"), path.relative_to(SOURCE).as_posix()
            for mutant in mutants(text, name, seed):
                place = (mutant.path, mutant.line)
                if place not in drawn or mutant.rank < drawn[place].rank:
                    drawn[place] = dataclasses.replace(mutant, asked=asked)
    # A line with many places is as likely as one with few.
    by_line = sorted(drawn.values(), key=lambda mutant: (_hash(mutant.rank.split("-")[1]), mutant.path))
    return by_line[:count]


def mutants(text: str, path: str, seed: int) -> Iterator[Mutant]:
    """Every change of one file, in the order of its tree."""
    tree = ast.parse(text)
    number = {id(node): at for at, node in enumerate(ast.walk(tree))}
    lines = text.splitlines()
    twins: dict[str, int] = {}
    seen: dict[tuple[str, int], str] = {}
    for node, within in _places(tree, ""):
        for way, (kind, _) in enumerate(ways(node)):
            words = f"{within}|{lines[node.lineno - 1].strip()}"
            if (words, node.lineno) not in seen:
                twins[words] = twins.get(words, -1) + 1
                seen[words, node.lineno] = f"{seed}|{words}|{twins[words]}"
            of_line = seen[words, node.lineno]
            changed = copy.deepcopy(node)
            ways(changed)[way][1](changed)
            said = f"{_short(node)} -> {_short(changed)}"
            yield Mutant(
                path,
                node.lineno,
                node.end_lineno or node.lineno,
                number[id(node)],
                way,
                kind,
                said,
                within,
                f"{_hash(f'{of_line}|{node.col_offset}|{said}')}-{_hash(of_line)}",
            )


def changed_tree(text: str, mutant: Mutant) -> ast.Module:
    """The file's tree with the change in it, every line where it was."""
    tree = ast.parse(text)
    node = list(ast.walk(tree))[mutant.node]
    ways(node)[mutant.way][1](node)
    return ast.fix_missing_locations(tree)


Way = tuple[str, Callable[[ast.AST], None]]


def ways(node: ast.AST) -> list[Way]:
    """What can be done to this node: kind, and the doing."""
    match node:
        case ast.Compare():
            return [("comparison", _edge(at)) for at, op in enumerate(node.ops) if type(op) in EDGES]
        case ast.Constant(value=bool()):
            return [("flag", _set("value", not node.value))]
        case ast.Constant(value=int() | float()):
            return [("number", _set("value", _another(node.value)))]
        case ast.BinOp() if type(node.op) in SIGNS and not (_is_text(node.left) or _is_text(node.right)):
            return [("sign", _set("op", SIGNS[type(node.op)]()))]
        case ast.UnaryOp(op=ast.USub()):
            return [("sign", _set("op", ast.UAdd()))]
        case ast.BoolOp():
            return [("guard", _set("op", ast.Or() if isinstance(node.op, ast.And) else ast.And()))]
        case ast.UnaryOp(op=ast.Not()):
            return [("guard", _set("operand", ast.UnaryOp(ast.Not(), node.operand)))]
        case ast.If() | ast.IfExp() if not isinstance(node.test, ast.BoolOp | ast.Compare | ast.UnaryOp):
            return [("guard", _set("test", ast.UnaryOp(ast.Not(), node.test)))]
    return []


def _set(field: str, value: object) -> Callable[[ast.AST], None]:
    return lambda node: setattr(node, field, value)


def _edge(at: int) -> Callable[[ast.AST], None]:
    def change(node: ast.AST) -> None:
        assert isinstance(node, ast.Compare)
        node.ops[at] = EDGES[type(node.ops[at])]()

    return change


def _another(value: int | float) -> int | float:
    if isinstance(value, int):
        return value + 1
    return value * 1.1 or 1.0


def _is_text(node: ast.AST) -> bool:
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "worded":
        return True
    return isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Constant) and isinstance(node.value, str))


def _places(node: ast.AST, within: str) -> Iterator[tuple[ast.expr | ast.If, str]]:
    """Nodes that run, with the function that they run in; what is worked out when a function is made runs outside it."""
    if isinstance(node, ast.If) and _never_run(node.test):
        return
    if isinstance(node, ast.expr | ast.If) and ways(node):
        yield node, within
    for name, value in ast.iter_fields(node):
        if name in ("decorator_list", "annotation", "returns", "format_spec", "type_params", "bases"):
            continue
        inside = within
        if isinstance(node, ast.FunctionDef) and name == "body":
            inside = f"{within}.{node.name}".lstrip(".")
        for child in value if isinstance(value, list) else [value]:
            if not isinstance(child, ast.AST) or (isinstance(child, ast.keyword) and child.arg in SWITCHES):
                continue
            yield from _places(child, inside)


def _never_run(test: ast.expr) -> bool:
    return ast.unparse(test) in ("TYPE_CHECKING", "__name__ == '__main__'")


def _short(node: ast.AST) -> str:
    shown = ast.unparse(node.test if isinstance(node, ast.If) else node)
    return shown if len(shown) <= 70 else f"{shown[:67]}..."


def _hash(words: str) -> str:
    return hashlib.sha256(words.encode()).hexdigest()[:16]
