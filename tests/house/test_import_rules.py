"""Who may import whom. The table stands in pyproject.toml, in words in docs/architecture.md."""

import subprocess
import sys
from functools import cache
from importlib import import_module
from pathlib import Path

from tests.house.source import ENGINES, ROOT, SRC, imported, modules, place

DOORS = ("bench", "paper", "api", "cli")
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
    missing += [f"engines/{engine}" for engine in sorted(engines) if f"{engine}/" not in page]
    assert missing == []
