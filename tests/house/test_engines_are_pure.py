"""Engines compute: same question, same answer, on any day and any machine."""

import ast

import pytest

from tests.house.source import ENGINES, SRC, dotted, imported, modules, nodes_of, place

PURE = [ENGINES, SRC / "values", SRC / "drawing"]

# What reaches the clock, the disk, the web, chance or the keyboard.
FOREIGN = set(
    "os sys io pathlib shutil tempfile glob subprocess socket http urllib requests sqlite3 time random secrets logging "
    "threading asyncio multiprocessing locale getpass platform uuid django ninja typer platformdirs".split()
)
# Pictures and fonts lie beside the drawing that uses them.
ALLOWED = {("drawing", "pathlib")}
CALLS = {"open", "input", "print", "exec", "eval", "__import__"}
CLOCKS = {"today", "now", "utcnow", "fromtimestamp"}
LEGACY_CHANCE = {
    "seed",
    "rand",
    "randn",
    "randint",
    "random",
    "normal",
    "uniform",
    "choice",
    "shuffle",
    "permutation",
}


@pytest.mark.parametrize("folder", PURE, ids=lambda folder: folder.name)
def test_nothing_reaches_outside(folder):
    """No module of the clock, disk, web or chance is imported, and none of their built-in calls is made."""
    broken = []
    for path, tree in modules(folder):
        room = path.relative_to(SRC).parts[0]
        for line, name, _ in imported(tree):
            first = name.split(".")[0]
            if first in FOREIGN and (room, first) not in ALLOWED:
                broken.append(f"{place(path, line)} imports {name}")
        for node in nodes_of(tree, ast.Call):
            if impure(node):
                broken.append(f"{place(path, node.lineno)} calls {dotted(node.func)}")
    assert broken == []


def impure(call: ast.Call) -> bool:
    """Whether a call asks the clock, the disk, the keyboard, or chance without a seed."""
    name = dotted(call.func)
    last = name.rsplit(".", 1)[-1]
    if name in CALLS or (last in CLOCKS and "." in name):
        return True
    if ".random." in f".{name}." and last in LEGACY_CHANCE:
        return True
    return last == "default_rng" and not call.args and not call.keywords


@pytest.mark.parametrize(
    ("code", "wrong"),
    [
        ("date.today()", True),
        ("datetime.datetime.now()", True),
        ("open('x')", True),
        ("np.random.default_rng()", True),
        ("np.random.normal(0, 1)", True),
        ("np.random.default_rng(7)", False),
        ("draw.normal(0, 1)", False),
        ("today(date)", False),
    ],
)
def test_the_question_itself_sees_what_is_impure(code, wrong):
    """The rule above is tried on planted lines, so that it can fail."""
    assert impure(ast.parse(code, mode="eval").body) is wrong


def test_nothing_slow_is_loaded_before_it_is_needed():
    """scipy.stats is loaded nowhere at import (2 s), scipy.optimize and pandas only inside the function that needs them."""
    slow = ("scipy.stats", "scipy.optimize", "pandas", "matplotlib", "lifelines", "pint", "numba")
    broken = [
        f"{place(path, line)} loads {name}"
        for path, tree in modules(SRC)
        for line, name, at_load in imported(tree)
        if at_load and name.startswith(slow)
    ]
    assert broken == []
