"""No function is longer or more tangled than a reader can hold.

Ruff counts branches and loops (C901, at most 12). Here lines are counted, and in the screens all that decides: also `and`, `or`,
a choice inside an expression and each gathering of a list, since a page's builder is tangled by these.
"""

import ast
from collections.abc import Iterator

import pytest

from tests.house.source import SRC, modules, nodes_of, place

MOST_LINES, MOST_DECIDED = 60, 12


def long_functions(tree: ast.Module) -> Iterator[tuple[int, str, int]]:
    """Functions whose own lines, without the head and what the docstring says, are above the mark."""
    for node in nodes_of(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            said = ast.get_docstring(node, clean=False) is not None and len(node.body) > 1
            own = node.body[1:] if said else node.body
            lines = (own[-1].end_lineno or own[-1].lineno) - own[0].lineno + 1
            if lines > MOST_LINES:
                yield node.lineno, node.name, lines


_ONE = (ast.If, ast.For, ast.While, ast.ExceptHandler, ast.IfExp, ast.Assert, ast.match_case)


def decided(function: ast.AST) -> int:
    """How much a function decides, with one for itself; what it defines inside is counted there."""
    found, waiting = 1, list(ast.iter_child_nodes(function))
    while waiting:
        node = waiting.pop()
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            continue
        found += isinstance(node, _ONE)
        found += len(node.values) - 1 if isinstance(node, ast.BoolOp) else 0
        found += 1 + len(node.ifs) if isinstance(node, ast.comprehension) else 0
        waiting += ast.iter_child_nodes(node)
    return found


def tangled(tree: ast.Module) -> Iterator[tuple[int, str, int]]:
    """Functions that decide more than the mark."""
    for node in nodes_of(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and decided(node) > MOST_DECIDED:
            yield node.lineno, node.name, decided(node)


def test_no_function_of_the_screens_decides_more_than_a_reader_can_hold() -> None:
    """What follows from a page's fields stands there as a property with its name."""
    found = [
        f"{place(path, line)} {name}: {count}"
        for path, tree in modules(SRC / "bench")
        for line, name, count in tangled(tree)
    ]
    assert found == []


@pytest.mark.parametrize(
    ("body", "count"),
    [
        ("pass", 1),
        ("if a and b or c: pass", 4),
        ("x = a if b else c", 2),
        ("x = [one for one in a if one if b]", 4),
        ("for one in a:\n        assert one", 3),
        ("def g():\n        if a: pass", 1),
    ],
)
def test_what_decides_is_counted(body: str, count: int) -> None:
    """Each word that splits the way, and none of an inner function."""
    assert decided(ast.parse(f"def f():\n    {body}\n").body[0]) == count


def test_no_function_has_more_lines_than_a_screen() -> None:
    """What is longer holds two ideas."""
    found = [
        f"{place(path, line)} {name}: {lines} lines"
        for path, tree in modules(SRC)
        for line, name, lines in long_functions(tree)
    ]
    assert found == []


@pytest.mark.parametrize(("lines", "found"), [(MOST_LINES, []), (MOST_LINES + 1, ["f"])])
def test_the_question_itself_counts_the_lines(lines: int, found: list[str]) -> None:
    """The docstring and the head are no lines of it."""
    text = "def f(\n    x: int,\n) -> None:\n    '''Said\n\n    of it.\n    '''\n" + "    x += 1\n" * lines
    assert [name for _, name, _ in long_functions(ast.parse(text))] == found
