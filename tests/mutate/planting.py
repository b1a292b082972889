"""Plants a change: into functions of a running process, or into a module before it is loaded."""

import ast
import functools
import gc
import importlib
import importlib.abc
import importlib.machinery
import os
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import CodeType, FunctionType, ModuleType

from tests.mutate.places import SOURCE, Mutant, changed_tree

# The environment that names a change to a process of its own.
NAME = "PINCHBOLT_MUTANT"
# And how many processor seconds it may take.
SECONDS = "PINCHBOLT_MUTANT_SECONDS"


class NotPlanted(Exception):
    """No function that runs would be another one: the change is made where a module loads."""


def plant(mutant: Mutant) -> None:
    """Give every function of this process that the change touches its other code, and forget all that was kept.

    Raises:
        NotPlanted: No function has changed code: what the change does is done already, or does nothing.
    """
    file = str(load(mutant).__file__)
    text = Path(file).read_text(encoding="utf-8")
    if not swap(file, text, changed_tree(text, mutant)):
        raise NotPlanted(mutant.id)
    forget()


def load(mutant: Mutant) -> ModuleType:
    """The module of a change."""
    return importlib.import_module(mutant.module)


def swap(file: str, text: str, tree: ast.Module) -> int:
    """Give living functions of *file* the code that they have in *tree*; return how many have another one now."""
    before = _by_name(compile(text, file, "exec", dont_inherit=True))
    after = _by_name(compile(tree, file, "exec", dont_inherit=True))
    changed = 0
    # A run of tests leaves what lasts out of its searches, and so out of what is named here.
    gc.unfreeze()
    for living in gc.get_objects():
        if isinstance(living, FunctionType) and living.__code__.co_filename == file:
            name = _name(living.__code__)
            if before.get(name) != after.get(name):
                living.__code__ = after[name]
                changed += 1
    return changed


def forget() -> None:
    """Empty every cache of ours: what is in it was worked out before the change."""
    # Not before a change that is planted into a module before it is loaded.
    from pinchbolt.records.prepared import prepared

    for living in gc.get_objects():
        ours = isinstance(living, functools._lru_cache_wrapper) and living.__module__
        if ours and str(living.__module__).startswith(("pinchbolt", "tests")):
            living.cache_clear()
        elif isinstance(living, prepared):
            vars(living._kept).clear()


def _by_name(code: CodeType) -> dict[tuple[str, int], CodeType]:
    return {_name(inner): inner for inner in _inner(code)}


def _inner(code: CodeType) -> Iterator[CodeType]:
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield constant
            yield from _inner(constant)


def _name(code: CodeType) -> tuple[str, int]:
    return code.co_qualname, code.co_firstlineno


class _Planted(importlib.machinery.SourceFileLoader):
    """Loads one module with the change in it."""

    def __init__(self, fullname: str, path: str, mutant: Mutant) -> None:
        super().__init__(fullname, path)
        self.mutant = mutant

    def get_code(self, fullname: str) -> CodeType:
        """Compiled anew; nothing is read from the compiled files beside it, and nothing is left there."""
        text = Path(self.path).read_text(encoding="utf-8")
        return compile(changed_tree(text, self.mutant), self.path, "exec", dont_inherit=True)


class Planter(importlib.abc.MetaPathFinder):
    """Stands before Python's own finders and answers for one module."""

    def __init__(self, mutant: Mutant) -> None:
        self.mutant = mutant

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        """The changed module, or nothing for any other."""
        if fullname != self.mutant.module:
            return None
        spec = importlib.machinery.PathFinder.find_spec(fullname, path, target)
        if spec and spec.origin:
            spec.loader = _Planted(fullname, spec.origin, self.mutant)
        return spec


def plant_before_loading(mutant: Mutant) -> None:
    """Have the module loaded with the change; it must not be loaded yet."""
    assert mutant.module not in sys.modules and (SOURCE / mutant.path).exists()
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    sys.meta_path.insert(0, Planter(mutant))
