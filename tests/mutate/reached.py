"""Which tests reach which line: every test run once, in processes split off from one that has everything loaded."""

import os
import pickle
import resource
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import coverage
import pytest
from _pytest.runner import runtestprotocol

from tests.mutate.places import SOURCE

MEASURED = [str(SOURCE / "pinchbolt")]


@dataclass(slots=True)
class Reached:
    """By file below src: the tests that run each line; by test: processor seconds, and whether it passes."""

    lines: dict[str, dict[int, set[int]]] = field(default_factory=dict)
    seconds: dict[int, float] = field(default_factory=dict)
    failed: set[int] = field(default_factory=set)

    def add(self, other: "Reached") -> None:
        """Put the answer of another process to this one."""
        for path, lines in other.lines.items():
            own = self.lines.setdefault(path, {})
            for line, tests in lines.items():
                own.setdefault(line, set()).update(tests)
        self.seconds.update(other.seconds)
        self.failed |= other.failed

    def tests_of(self, path: str, first: int, last: int) -> set[int]:
        """Tests that run one of these lines."""
        lines = self.lines.get(path, {})
        return set().union(*(lines.get(line, set()) for line in range(first, last + 1)))

    def tests_of_file(self, path: str) -> set[int]:
        """Tests that run anything of this file."""
        return set().union(*self.lines.get(path, {}).values())


def reach(items: Sequence[pytest.Item], jobs: int, folder: Path) -> Reached:
    """Run every item once, a share in each of *jobs* processes, neighbours together."""
    # Whole files go together, so that what a module shares is made once.
    files = sorted({str(item.path) for item in items})
    share = {file: at % jobs for at, file in enumerate(files)}
    children = []
    for job in range(jobs):
        own = [at for at, item in enumerate(items) if share[str(item.path)] == job]
        kept = folder / f"reached-{job}.pickle"
        child = os.fork()
        if child == 0:
            _measure(items, own, kept)
        children.append((child, kept))
    found = Reached()
    for child, kept in children:
        os.waitpid(child, 0)
        found.add(pickle.loads(kept.read_bytes()))
    return found


def _measure(items: Sequence[pytest.Item], own: Sequence[int], kept: Path) -> None:
    silence()
    found = Reached()
    measured = coverage.Coverage(data_file=None, source=MEASURED, config_file=False)
    measured.start()
    for at, following in zip(own, [*own[1:], None], strict=True):
        measured.switch_context(str(at))
        before = time.process_time()
        reports = runtestprotocol(
            items[at], nextitem=None if following is None else items[following], log=False
        )
        found.seconds[at] = time.process_time() - before
        if any(report.failed for report in reports):
            found.failed.add(at)
    measured.stop()
    data = measured.get_data()
    for file in data.measured_files():
        path = Path(file).relative_to(SOURCE).as_posix()
        found.lines[path] = {
            line: {int(name) for name in names if name}
            for line, names in data.contexts_by_lineno(file).items()
            if any(names)
        }
    kept.write_bytes(pickle.dumps(found))
    os._exit(0)


def silence() -> None:
    """What tests print in a split-off process goes nowhere."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    for handle in (0, 1, 2):
        os.dup2(nowhere, handle)


def limit(seconds: float) -> None:
    """End this process when it has used so many processor seconds more, however busy the machine is."""
    used = time.process_time()
    most = int(used + seconds) + 1
    resource.setrlimit(resource.RLIMIT_CPU, (most, most + 5))
