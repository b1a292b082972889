"""What numba compiles is compiled by one process of a test run: others that come to it at once wait, and load what was kept.

On a new checkout the wear law takes half a minute of a processor to compile, and two processes come to it within the same second.
"""

import os
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, PathFinder
from pathlib import Path
from types import ModuleType
from typing import Any

_COMPILER = "numba.core.dispatcher"
# Whoever compiles holds this folder: nothing is left behind, and a process that dies lets go of it.
_HELD = Path(__file__).resolve().parent
_own = threading.RLock()
_opened: list[int] = []


def compile_one_at_a_time() -> None:
    """Have every compiling of this process wait for that of any other on this checkout; numba is loaded when it is asked for."""
    if sys.platform == "win32":
        return
    if _COMPILER in sys.modules:
        _hold(sys.modules[_COMPILER])
    else:
        sys.meta_path.insert(0, _Compiler())


@contextmanager
def _alone() -> Iterator[None]:
    """No other process compiles in the block; what compiles one function comes to those that it calls, so it may be nested."""
    import fcntl

    with _own:
        _opened.append(os.open(_HELD, os.O_RDONLY))
        try:
            if len(_opened) == 1:
                fcntl.flock(_opened[0], fcntl.LOCK_EX)
            yield
        finally:
            os.close(_opened.pop())


def _hold(compiler: ModuleType) -> None:
    dispatcher: Any = compiler.Dispatcher
    if not hasattr(dispatcher.compile, "__wrapped__"):
        dispatcher.compile = _held(dispatcher.compile)


def _held(compiling: Callable[..., Any]) -> Callable[..., Any]:
    def alone(of: Any, signature: Any) -> Any:
        with _alone():
            return compiling(of, signature)

    alone.__wrapped__ = compiling  # type: ignore[attr-defined]
    return alone


class _Compiler(MetaPathFinder):
    """Stands before Python's own finders until numba is loaded, and changes one method of it."""

    def find_spec(self, fullname: str, path: Any, target: ModuleType | None = None) -> ModuleSpec | None:
        """The compiler's own module, loaded as ever, and held after that."""
        if fullname != _COMPILER:
            return None
        sys.meta_path.remove(self)
        spec = PathFinder.find_spec(fullname, path, target)
        if spec is not None and spec.loader is not None:
            loader: Any = spec.loader
            run = loader.exec_module

            def loaded(module: ModuleType) -> None:
                run(module)
                _hold(module)

            loader.exec_module = loaded
        return spec
