"""No function is longer or more tangled than a reader can hold: ruff counts branches (C901), this counts lines."""

import ast
from collections.abc import Iterator

import pytest

from tests.house.source import SRC, modules, place

MOST_LINES = 60


def long_functions(tree: ast.Module) -> Iterator[tuple[int, str, int]]:
    """Functions whose own lines, without the head and what the docstring says, are above the mark."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            said = ast.get_docstring(node, clean=False) is not None and len(node.body) > 1
            own = node.body[1:] if said else node.body
            lines = (own[-1].end_lineno or own[-1].lineno) - own[0].lineno + 1
            if lines > MOST_LINES:
                yield node.lineno, node.name, lines


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
