"""Who may import whom. The table stands in pyproject.toml, in words in docs/architecture.md."""

import ast
import subprocess
import sys
import tomllib
from collections import Counter
from functools import cache
from importlib import import_module
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path

from tests.house.source import ENGINES, ROOT, SRC, imported, modules, place

DOORS = ("bench", "paper", "api", "cli")
WORKSHOP = SRC / "workshop"
ROOMS = {path.stem for path in SRC.iterdir() if path.is_dir() or path.suffix == ".py"} - {
    "__init__",
    "__pycache__",
    "py",
}


def test_every_room_keeps_to_the_import_rules():
    """All contracts of pyproject.toml are kept, imports inside functions counted."""
    linter = Path(sys.executable).with_name("lint-imports")
    told = subprocess.run([str(linter), "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stdout[-3000:] + told.stderr[-1000:]
    assert " 0 broken" in told.stdout


def test_what_lies_behind_an_engines_door_is_private():
    """Outside of an engine only its door is imported, and by screens, sheets, JSON and command line only its types."""
    broken = []
    for path, tree in modules(SRC):
        inside = path.relative_to(SRC).parts
        for line, name, _ in imported(tree):
            parts = name.split(".")
            if parts[:2] != ["pinchbolt", "engines"] or inside[:2] == ("engines", parts[2]):
                continue
            if len(parts) > 4 or parts[3] not in _door(parts[2]):
                broken.append(f"{place(path, line)} goes past the door: {name}")
            elif inside[0] in DOORS and not parts[3][0].isupper():
                broken.append(f"{place(path, line)} calls an engine; doors call the workshop: {name}")
    assert broken == []


def test_what_a_room_of_the_workshop_keeps_to_itself_is_private():
    """A file with a leading underscore is imported within its room alone; a file without one is used from outside."""
    wide: set[str] = set()
    broken = []
    for path, tree in modules(SRC):
        inside = path.relative_to(SRC).parts
        for line, name, _ in imported(tree):
            parts = name.split(".")
            if (
                parts[:2] != ["pinchbolt", "workshop"]
                or inside[:2] == ("workshop", parts[2])
                or len(parts) < 4
            ):
                continue
            wide.add("/".join(parts[2:4]))
            if parts[3].startswith("_"):
                broken.append(f"{place(path, line)} goes past the door: {name}")
    assert broken == []
    files = {
        f"{path.parent.name}/{path.stem}" for path in WORKSHOP.glob("*/*.py") if path.parent.name != "demo"
    }
    unused = {file for file in files - wide if not file.partition("/")[2].startswith("_")}
    assert unused == set(), "only its own room needs it: give it a leading underscore"


def test_every_room_of_the_workshop_has_its_floor():
    """A room that stands in no layer of pyproject.toml could import whatever it likes; no file stands in the hall."""
    layers = [
        layer
        for contract in tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"][
            "importlinter"
        ]["contracts"]
        for layer in contract.get("layers", ())
    ]
    placed = {name.strip().rpartition(".")[2] for layer in layers for name in layer.split("|")}
    assert placed == {path.parent.name for path in WORKSHOP.glob("*/__init__.py")}
    assert [path.name for path in WORKSHOP.glob("*.py")] == ["__init__.py"]


@cache
def _door(engine: str) -> frozenset[str]:
    return frozenset(import_module(f"pinchbolt.engines.{engine}").__all__)


def test_no_import_hides_from_the_linter():
    """Modules are imported by name: nothing is imported by a string, and no import is relative."""
    broken = []
    for path, tree in modules(SRC):
        broken += [
            place(path, line)
            for line, name, _ in imported(tree)
            if name.split(".")[0] == "importlib"
            and not name.startswith(("importlib.resources", "importlib.metadata"))
        ]
    assert broken == []


def test_the_architecture_page_names_every_room():
    """The tree in docs/architecture.md is the tree in src, room for room and engine for engine."""
    page = (ROOT / "docs" / "architecture.md").read_text(encoding="utf-8")
    engines = {path.name for path in ENGINES.iterdir() if (path / "__init__.py").exists()}
    missing = [room for room in sorted(ROOMS) if f"{room}/" not in page and f"{room}.py" not in page]
    missing += [
        f"workshop/{path.parent.name}"
        for path in WORKSHOP.glob("*/__init__.py")
        if f"{path.parent.name}/" not in page
    ]
    missing += [f"engines/{engine}" for engine in sorted(engines) if f"{engine}/" not in page]
    assert missing == []


def test_an_editor_tab_tells_which_file_it_is():
    """No two files of the program have one name, but those that Python and Django name themselves."""
    count = Counter(path.name for path in SRC.rglob("*.py") if "migrations" not in path.parts)
    assert {name for name, times in count.items() if times > 1} == {"__init__.py", "urls.py"}


def test_no_class_name_stands_twice():
    """One name, one thing: a record, a row of the tables and what an engine takes of both are told apart."""
    count = Counter(
        node.name
        for path, tree in modules(SRC)
        if "migrations" not in path.parts
        for node in tree.body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    )
    assert {name for name, times in count.items() if times > 1} == set()


def test_the_picture_of_the_rooms_is_that_of_today():
    """docs/pictures/rooms.svg is what its command draws from the contracts and the imports."""
    spec = spec_from_file_location("draw_rooms", ROOT / "docs" / "pictures" / "draw_rooms.py")
    assert spec is not None and spec.loader is not None
    draw_rooms = module_from_spec(spec)
    spec.loader.exec_module(draw_rooms)
    assert draw_rooms.PICTURE.read_text(encoding="utf-8") == draw_rooms.picture(), draw_rooms.__doc__
