"""Runs the tests of each planted change until one fails: in a process split off from a warm one, where that is possible.

A change inside a function is planted into the loaded program of a child, which has Django, the database and all modules already. A
change of what is worked out when a module loads (a constant, a default) needs a process of its own.
"""

import dataclasses
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest
from _pytest.runner import runtestprotocol

from tests.mutate.places import ROOT, Mutant
from tests.mutate.planting import NAME, SECONDS, NotPlanted, plant
from tests.mutate.probes import Reached, limit, silence

KILLED, SURVIVED, NOT_PLANTED = 0, 10, 11
# How much longer than unharmed a run may take, in processor seconds, before it counts as one that never ends.
LONGER, AND_S = 4.0, 10.0
# Rooms of so many tests that only those which reach a change are asked, and the others of their files.
LARGE = ("workshop",)
# Besides, by the clock: a test that waits uses no processor.
BY_THE_CLOCK = 20.0


@dataclass(frozen=True, slots=True)
class Fate:
    """How one mutant ended: killed, too long, survived or never run; by how many tests, of how many."""

    mutant: Mutant
    end: str
    tests: int
    reaching: int


@dataclass(slots=True)
class _Running:
    mutant: Mutant
    chosen: list[int]
    reaching: int
    process: int
    until: float
    own_process: bool


def tests_for(
    place: int, mutant: Mutant, items: Sequence[pytest.Item], reached: Reached, budget: float
) -> tuple[list[int], int]:
    """The tests to try, the quickest first, as many as the budget of processor seconds allows; and how many there are."""
    own = {at for at in reached.seconds if at not in reached.failed and of_room(items[at], mutant.room)}
    exact = reached.tests.get(place, set()) & own
    # What a test of a file worked out and kept, the others of that file take from there: they may see the change as well.
    files = {items[at].path for at in exact}
    waves = [exact, reached.anywhere & own, {at for at in own if items[at].path in files}]
    if not mutant.within or mutant.room not in LARGE:
        # Run when the module loads, or kept beside the tables: whoever came first is not the only one who would see it.
        waves.append(own)
    found: list[int] = []
    for wave in waves:
        found += sorted(wave - set(found), key=reached.seconds.__getitem__)
    chosen, spent = [], 0.0
    for at in found:
        spent += reached.seconds[at]
        if chosen and spent > budget:
            break
        chosen.append(at)
    return chosen, len(found)


def of_room(item: pytest.Item, room: str) -> bool:
    """Whether a test lies in the room's own folder, or among the published figures, which belong to all."""
    folder = item.path.relative_to(ROOT / "tests").as_posix()
    return folder.startswith((f"{room}/", "published/"))


class Hunt:
    """Keeps *jobs* processes busy until every mutant has its fate."""

    def __init__(self, items: Sequence[pytest.Item], reached: Reached, folder: Path, budget: float) -> None:
        self.items, self.reached, self.folder, self.budget = items, reached, folder, budget
        self.running: list[_Running] = []
        self.fates: list[Fate] = []

    def run(self, mutants: Sequence[Mutant], jobs: int, told: Callable[[Fate], None]) -> list[Fate]:
        """The fate of each mutant, told as it becomes known."""
        waiting = list(reversed(list(enumerate(mutants))))
        while waiting or self.running:
            while waiting and len(self.running) < jobs:
                self._start(*waiting.pop(), told)
            if self.running:
                self._wait(told)
        return self.fates

    def _start(self, place: int, mutant: Mutant, told: Callable[[Fate], None]) -> None:
        chosen, reaching = tests_for(place, mutant, self.items, self.reached, self.budget)
        if not chosen:
            self._end(Fate(mutant, "never run", 0, 0), told)
            return
        seconds = LONGER * sum(self.reached.seconds[at] for at in chosen) + AND_S
        apart = not mutant.within
        if apart:
            process = self._apart(mutant, chosen, seconds + 30)
        else:
            process = os.fork()
            if process == 0:
                self._in_child(mutant, chosen, seconds)
        until = time.monotonic() + BY_THE_CLOCK * (seconds + 30)
        self.running.append(_Running(mutant, chosen, reaching, process, until, apart))

    def _in_child(self, mutant: Mutant, chosen: list[int], seconds: float) -> None:
        silence()
        code = NOT_PLANTED
        try:
            plant(mutant)
            limit(seconds)
            code = SURVIVED
            for at, following in zip(chosen, [*chosen[1:], None], strict=True):
                after = None if following is None else self.items[following]
                if any(
                    report.failed for report in runtestprotocol(self.items[at], nextitem=after, log=False)
                ):
                    code = KILLED
                    break
        except NotPlanted:
            pass
        except BaseException:  # whatever breaks the run itself was broken by the change
            code = KILLED
        os._exit(code)

    def _apart(self, mutant: Mutant, chosen: list[int], seconds: float) -> int:
        words = self.folder / f"{mutant.id}.args"
        words.write_text("".join(f"{self.items[at].nodeid}\n" for at in chosen), encoding="utf-8")
        command = [sys.executable, "-m", "pytest", "-x", "-q", "--no-header", "-p", "tests.mutate.planted"]
        command += ["-p", "no:cacheprovider", "-p", "no:xdist", "--hypothesis-profile=mutants", f"@{words}"]
        around = {
            **os.environ,
            NAME: json.dumps(dataclasses.asdict(mutant)),
            SECONDS: str(seconds),
            "PYTHONDONTWRITEBYTECODE": "1",
        }
        with (self.folder / f"{mutant.id}.log").open("w") as log:
            return subprocess.Popen(command, cwd=ROOT, env=around, stdout=log, stderr=log).pid

    def _wait(self, told: Callable[[Fate], None]) -> None:
        for one in list(self.running):
            done, status = os.waitpid(one.process, os.WNOHANG)
            if not done and time.monotonic() > one.until:
                os.kill(one.process, signal.SIGKILL)
                done, status = os.waitpid(one.process, 0)
            if done:
                self.running.remove(one)
                end = self._fate(one, status)
                self._end(Fate(one.mutant, end, len(one.chosen), one.reaching), told)
                return
        time.sleep(0.02)

    def _fate(self, one: _Running, status: int) -> str:
        if os.WIFSIGNALED(status):
            return "too long"
        code = os.WEXITSTATUS(status)
        if code == NOT_PLANTED:
            return "no change"
        if one.own_process:
            return "survived" if code == 0 else "killed"
        return "survived" if code == SURVIVED else "killed"

    def _end(self, fate: Fate, told: Callable[[Fate], None]) -> None:
        self.fates.append(fate)
        told(fate)
