"""What an engine's door promises: each function says what it takes, in which unit, where it holds and by which source."""

import doctest
import importlib
import inspect
import re
import tomllib
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from functools import cache
from importlib.resources import files

import pytest

import pinchbolt.values
from tests.house.source import ENGINES

PARTS = ("Args:", "Returns:", "Raises:", "Valid for:", "Example:", "Source:")
# What every door has; the others stand where there is something to say.
ALWAYS = ("Returns:", "Source:")
UNIT = re.compile(r"\[[^\[\]]+\]")


def doors() -> list[Callable[..., object]]:
    """Every function named in the door of an engine."""
    found = []
    for folder in sorted(path for path in ENGINES.iterdir() if (path / "__init__.py").exists()):
        door = importlib.import_module(f"pinchbolt.engines.{folder.name}")
        found += [thing for name in door.__all__ if inspect.isfunction(thing := getattr(door, name))]
    return found


@cache
def tables() -> dict[str, object]:
    """The trade's rules and interfaces as an engine is given them."""
    folder = files("pinchbolt") / "reference" / "tables"
    rules, interfaces = (
        tomllib.loads((folder / name).read_text(encoding="utf-8"))
        for name in ("rules.toml", "interfaces.toml")
    )
    return {"rules": {row["id"]: row for row in rules["rule"]}, "interfaces": interfaces}


def part(words: str, title: str) -> str:
    """The text below one title of a docstring, up to the next title."""
    titles = "|".join(re.escape(one) for one in PARTS)
    found = re.search(rf"^\s*{re.escape(title)}(.*?)(?=^\s*(?:{titles})|\Z)", words, re.DOTALL | re.MULTILINE)
    return found.group(1) if found else ""


def entries(text: str) -> list[str]:
    """The entries of an Args or Returns part: deeper lines belong to the entry above them."""
    lines = [line for line in text.splitlines() if line.strip()]
    if not lines:
        return []
    least = min(len(line) - len(line.lstrip()) for line in lines)
    joined: list[str] = []
    for line in lines:
        if len(line) - len(line.lstrip()) == least:
            joined.append(line.strip())
        else:
            joined[-1] += " " + line.strip()
    return joined


def name_of(function: Callable[..., object]) -> str:
    """`engine.function`, as the tests are named."""
    return f"{function.__module__.split('.')[2]}.{function.__name__}"


@pytest.mark.parametrize("function", doors(), ids=name_of)
def test_a_door_says_what_it_takes_and_where_it_holds(function):
    """A first sentence; every argument by name and what is returned, each with a unit in brackets; and the source."""
    words = inspect.getdoc(function) or ""
    wrong = [f"no {title}" for title in ALWAYS if title not in words]
    told = entries(part(words, "Args:"))
    for argument in inspect.signature(function).parameters:
        mine = [entry for entry in told if re.match(rf"\*{{0,2}}{argument}\b", entry)]
        if not mine:
            wrong.append(f"argument {argument} is not told of")
        elif not UNIT.search(mine[0]):
            wrong.append(f"argument {argument} has no unit: end its line in one, or in [-]")
    if not UNIT.search(part(words, "Returns:")):
        wrong.append("what is returned has no unit")
    if not words.splitlines()[0].rstrip("`").endswith((".", "]", "?")):
        wrong.append("the first line is no sentence")
    assert wrong == [], name_of(function)


@pytest.mark.parametrize("function", doors(), ids=name_of)
def test_the_example_of_a_door_is_true(function):
    """The example is run as it stands, with the engine, plain values, dates, decimals and the trade tables at hand."""
    door = importlib.import_module(".".join(function.__module__.split(".")[:3]))
    home = importlib.import_module(function.__module__)
    hand = {
        **vars(pinchbolt.values),
        **vars(home),
        **vars(door),
        "date": date,
        "Decimal": Decimal,
        "tables": tables(),
    }
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE)
    printed: list[str] = []
    for example in doctest.DocTestFinder(recurse=False).find(function, name_of(function), globs=hand):
        runner.run(example, out=printed.append)
    assert runner.summarize(verbose=False).failed == 0, "".join(printed)
