"""Each dependency is declared, used, and has its reason on docs/dependencies.md."""

import re
import sys
import tomllib
from functools import cache

import pytest

from tests.house.source import ROOT, SRC, imported, modules

# Where the name that is imported is not the name that is installed.
NAMES = {
    "ninja": "django-ninja",
    "argon2": "argon2-cffi",
    "axes": "django-axes",
    "zoneinfo": "tzdata",
    "pydantic_core": "pydantic",
    "PIL": "pillow",
    "cv2": "opencv-python",
}
# Used by name in settings, or by another package, never imported by us.
UNIMPORTED = {"django-axes", "argon2-cffi", "whitenoise", "tzdata", "django-htmx"}


@cache
def declared() -> dict[str, list[str]]:
    """Names of the packages by where they are declared."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    groups = {
        "shop": project["project"]["dependencies"],
        **project["project"]["optional-dependencies"],
        **project["dependency-groups"],
    }
    return {
        group: [re.split(r"[\[<>=;~! ]", line)[0].lower() for line in lines]
        for group, lines in groups.items()
    }


@pytest.mark.parametrize("group", ["shop", "postgres", "markings", "install", "dev"])
def test_every_dependency_has_its_reason(group):
    """No package comes in without a line that says why."""
    page = (ROOT / "docs" / "dependencies.md").read_text(encoding="utf-8").lower()
    assert [name for name in declared()[group] if not re.search(rf"\b{re.escape(name)}\b", page)] == []


def outside() -> set[str]:
    """Packages that the program imports and that are neither ours nor Python's."""
    found = set()
    for _, tree in modules(SRC):
        for _, name, _ in imported(tree):
            first = name.split(".")[0]
            if first != "pinchbolt" and first not in sys.stdlib_module_names:
                found.add(NAMES.get(first, first.replace("_", "-")).lower())
    return found


def test_the_program_imports_only_what_is_declared():
    """What works by luck, because another package brought it, is declared or not used."""
    known = {*declared()["shop"], *declared()["postgres"], *declared()["markings"]}
    assert outside() - known == set()


def test_nothing_is_declared_and_not_used():
    """A package that nothing imports is taken out, or stands on the list above with its reason."""
    assert set(declared()["shop"]) - outside() - UNIMPORTED == set()


def test_the_version_is_stated_once():
    """`pinchbolt.__version__` is the version; the project file reads it from there."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert project["project"]["dynamic"] == ["version"]
    assert project["tool"]["hatch"]["version"]["path"] == "src/pinchbolt/__init__.py"
