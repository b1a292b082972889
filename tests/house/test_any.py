"""Where a type can stand, one stands: `Any` is left to what no static type says shorter."""

import ast

from tests.house.source import SRC, modules, nodes_of

MOST = 40


def test_any_stays_rare() -> None:
    """A table row or JSON object has one name for it (`Json`); made at run time are bodies of the JSON door and readers of rows."""
    uses = {
        str(path.relative_to(SRC)): sum(node.id == "Any" for node in nodes_of(tree, ast.Name))
        for path, tree in modules(SRC)
        if "migrations" not in path.parts
    }
    assert sum(uses.values()) < MOST, {name: count for name, count in uses.items() if count}
