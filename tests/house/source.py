"""What the house tests read: tracked files, and the syntax tree of each module."""

import ast
import subprocess
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SRC = ROOT / "src" / "pinchbolt"
ENGINES = SRC / "engines"


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


def imported(tree: ast.Module) -> Iterator[tuple[int, str, bool]]:
    """Line and full name of everything imported, and whether that happens as soon as the module is loaded."""
    at_load = {id(node) for node in _at_load(tree)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield node.lineno, alias.name, id(node) in at_load
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            for alias in node.names:
                yield node.lineno, f"{node.module}.{alias.name}", id(node) in at_load


def _at_load(node: ast.AST) -> Iterator[ast.AST]:
    for child in ast.iter_child_nodes(node):
        if not isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            yield child
            yield from _at_load(child)
