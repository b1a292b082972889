"""Tests about tests: each says what it promises, names what it refuses, and passes on any day."""

import ast

from tests.house.source import ROOT, dotted, modules, nodes_of, place

TESTS = ROOT / "tests"
CLOCKS = {
    "date.today",
    "datetime.now",
    "datetime.today",
    "datetime.utcnow",
    "datetime.date.today",
    "time.time",
}
TOO_WIDE = {"Exception", "BaseException"}


def every_test():
    """Every test function with its file."""
    for path, tree in modules(TESTS):
        for node in nodes_of(tree, ast.FunctionDef):
            if node.name.startswith("test_"):
                yield path, node


def test_every_test_says_what_it_promises():
    """A test is a sentence about the trade, with a line below that says what is promised."""
    broken = [
        f"{place(path, node.lineno)} {node.name}"
        for path, node in every_test()
        if not ast.get_docstring(node)
    ]
    broken += [
        f"{place(path, node.lineno)} {node.name}" for path, node in every_test() if node.name.count("_") < 3
    ]
    assert broken == []


def test_no_test_accepts_any_error():
    """A refusal is tested by its class and sentence, never by 'something went wrong'."""
    broken = []
    for path, tree in modules(TESTS):
        for node in nodes_of(tree, ast.Call):
            if dotted(node.func) == "pytest.raises" and node.args:
                broken += [place(path, node.lineno)] if dotted(node.args[0]) in TOO_WIDE else []
    assert broken == []


def test_no_test_depends_on_the_day_or_on_luck():
    """The clock is frozen and chance has a seed."""
    broken = []
    for path, tree in modules(TESTS):
        for node in nodes_of(tree, ast.Call):
            name = dotted(node.func)
            unseeded = name.endswith("default_rng") and not node.args and not node.keywords
            if name in CLOCKS or unseeded:
                broken.append(f"{place(path, node.lineno)} {name}()")
    assert broken == []


def test_every_test_can_fail():
    """A test asserts something, expects a refusal, or leaves it to a function that is named for it."""
    broken = []
    for path, node in every_test():
        words = [
            dotted(call.func).rsplit(".", 1)[-1] for call in ast.walk(node) if isinstance(call, ast.Call)
        ]
        # A refusal that is caught by its class leaves every other one to fail the test.
        asserts = any(isinstance(inner, ast.Assert | ast.Try) for inner in ast.walk(node))
        named = any(
            word.startswith(("assert", "expect", "check", "raises", "fail", "warns")) for word in words
        )
        if not (asserts or named):
            broken.append(f"{place(path, node.lineno)} {node.name}")
    assert broken == []


def test_no_test_module_changes_the_program_by_being_loaded():
    """Whoever imports it for one word would have the stand-in too, in every test after: a stand-in waits to be called."""
    broken = []
    for path, tree in modules(TESTS):
        names = imported(tree)
        for node in tree.body:
            targets = node.targets if isinstance(node, ast.Assign) else []
            broken += [
                place(path, node.lineno)
                for target in targets
                if isinstance(target, ast.Attribute) and dotted(target).split(".")[0] in names
            ]
    assert broken == []


def imported(tree: ast.Module) -> set[str]:
    """The names that a module takes from others."""
    return {
        (alias.asname or alias.name).split(".")[0]
        for node in tree.body
        if isinstance(node, ast.Import | ast.ImportFrom)
        for alias in node.names
    }
