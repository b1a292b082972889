"""Every module of the program loads on this Python, also those that only one command ever needs."""

import importlib
import pkgutil

import pytest

import pinchbolt

# Loaded by Django with settings of its own, or starts something as soon as it is loaded.
ASIDE = ("pinchbolt.records.migrations", "pinchbolt.serving.wsgi", "pinchbolt.serving.settings")
MODULES = [
    module.name
    for module in pkgutil.walk_packages(pinchbolt.__path__, "pinchbolt.")
    if not module.name.startswith(ASIDE) and not module.name.endswith("__main__")
]


@pytest.mark.parametrize("folder", sorted({".".join(name.split(".")[:3]) for name in MODULES}))
def test_every_module_loads_on_this_python(folder: str) -> None:
    """What a version of Python or of a library no longer has is missed here, and not by the one command that needs it."""
    below = [name for name in MODULES if f"{name}.".startswith(f"{folder}.")]
    assert [importlib.import_module(name).__name__ for name in below] == below
