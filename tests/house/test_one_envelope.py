"""The shape of a refusal in JSON is written in one place."""

import ast

from tests.house.source import SRC


def test_the_shape_of_a_refusal_is_written_once() -> None:
    """A dict with "error" and "errors" stands in errors.py alone: whoever refuses asks for it there."""
    found = {
        path.relative_to(SRC).as_posix()
        for path in SRC.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Dict)
        and {"error", "errors"} <= {key.value for key in node.keys if isinstance(key, ast.Constant)}
    }
    assert found == {"errors.py"}
