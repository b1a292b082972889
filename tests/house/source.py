"""What the house tests read: tracked files, and the syntax tree of each module."""

import ast
import subprocess
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import TypeVar

ROOT = Path(__file__).resolve().parents[2]
SRC = ROOT / "src" / "pinchbolt"
ENGINES = SRC / "engines"
Node = TypeVar("Node", bound=ast.AST)


@cache
def tracked() -> tuple[Path, ...]:
    """Files that git tracks and that are there; without git, all files that no cache or environment holds."""
    try:
        listed = subprocess.run(
            ["git", "ls-files", "-z"], cwd=ROOT, check=True, capture_output=True, text=True
        ).stdout
        found = [ROOT / name for name in listed.split("\0") if name]
    except (OSError, subprocess.CalledProcessError):
        aside = {".git", "__pycache__", "build", "dist", "node_modules"}
        found = [path for path in ROOT.rglob("*") if not aside & set(path.relative_to(ROOT).parts)]
        found = [path for path in found if not path.relative_to(ROOT).parts[0].startswith(".venv")]
    return tuple(sorted(path for path in found if path.is_file()))


def modules(folder: Path) -> Iterator[tuple[Path, ast.Module]]:
    """Every module below *folder*, migrations left out, with its syntax tree."""
    for path in sorted(folder.rglob("*.py")):
        if "migrations" not in path.parts:
            yield path, tree_of(path)


@cache
def tree_of(path: Path) -> ast.Module:
    """A module's syntax tree, read once: thirty tests look at each, and none changes it."""
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def nodes_of(tree: ast.AST, kind: type[Node] = ast.AST) -> tuple[Node, ...]:  # type: ignore[assignment]
    """The nodes of a tree, or those of one kind, in the order of `ast.walk`: walked through once, since no test changes a tree.

    What says only whether a name is read or written is left out.
    """
    return _by_kind(tree).get(kind, ())  # type: ignore[return-value]


@cache
def _by_kind(tree: ast.AST) -> dict[type[ast.AST], tuple[ast.AST, ...]]:
    found = [node for node in ast.walk(tree) if not isinstance(node, ast.expr_context)]
    kinds: dict[type[ast.AST], list[ast.AST]] = {ast.AST: found}
    for node in found:
        kinds.setdefault(type(node), []).append(node)
    return {of: tuple(nodes) for of, nodes in kinds.items()}


def place(path: Path, line: int) -> str:
    """How a finding is named: file and line, from the root of the project."""
    return f"{path.relative_to(ROOT).as_posix()}:{line}"


def dotted(node: ast.AST) -> str:
    """`a.b.c` for a name or an attribute of a name, else an empty word."""
    if isinstance(node, ast.Name):
        return node.id
    if isinstance(node, ast.Attribute):
        before = dotted(node.value)
        return f"{before}.{node.attr}" if before else ""
    return ""


@cache
def imported(tree: ast.Module) -> tuple[tuple[int, str, bool], ...]:
    """Line and full name of everything imported, and whether that happens as soon as the module is loaded."""
    at_load = {id(node) for node in _at_load(tree)}
    found = [
        (node.lineno, alias.name, id(node) in at_load)
        for node in nodes_of(tree, ast.Import)
        for alias in node.names
    ]
    found += [
        (node.lineno, f"{node.module}.{alias.name}", id(node) in at_load)
        for node in nodes_of(tree, ast.ImportFrom)
        if node.module and not node.level
        for alias in node.names
    ]
    return tuple(found)


def _at_load(node: ast.AST) -> Iterator[ast.AST]:
    for child in ast.iter_child_nodes(node):
        # No expression imports anything.
        if not isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.expr):
            yield child
            yield from _at_load(child)
