"""Which tests reach which change: a mark is set where each would stand, and every test is run once with the marks in place.

Processes are split off from one that has everything loaded. A mark costs nothing where it is not reached, so this run takes no longer
than the tests themselves.
"""

import ast
import os
import pickle
import resource
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from _pytest.runner import runtestprotocol

from pinchbolt.records.prepared import prepared
from tests.mutate.places import SOURCE, Mutant
from tests.mutate.planting import load, swap

MARK = "__reached__"


@dataclass(slots=True)
class Reached:
    """By place in the sample the tests that reach it; by test its processor seconds, and whether it passes unharmed.

    `anywhere` are tests that pass, but not with marks in place (what they compile takes none): they may reach any change.
    """

    tests: dict[int, set[int]] = field(default_factory=dict)
    seconds: dict[int, float] = field(default_factory=dict)
    failed: set[int] = field(default_factory=set)
    anywhere: set[int] = field(default_factory=set)

    def add(self, other: "Reached") -> None:
        """Put the answer of another process to this one."""
        for place, tests in other.tests.items():
            self.tests.setdefault(place, set()).update(tests)
        self.seconds.update(other.seconds)
        self.failed |= other.failed
        self.anywhere |= other.anywhere


def reach(items: Sequence[pytest.Item], mutants: Sequence[Mutant], jobs: int, folder: Path) -> Reached:
    """Run every item once, a share in each of *jobs* processes, those of one file together: what they share is made once."""
    files = sorted({str(item.path) for item in items})
    share = {file: at % jobs for at, file in enumerate(files)}
    children = []
    for job in range(jobs):
        own = [at for at, item in enumerate(items) if share[str(item.path)] == job]
        kept = folder / f"reached-{job}.pickle"
        child = os.fork()
        if child == 0:
            _twice(items, own, mutants, kept)
        children.append((child, kept))
    found = Reached()
    for child, kept in children:
        os.waitpid(child, 0)
        found.add(pickle.loads(kept.read_bytes()))
    return found


def _twice(items: Sequence[pytest.Item], own: Sequence[int], mutants: Sequence[Mutant], kept: Path) -> None:
    """With marks, and what then fails once more without."""
    silence()
    child = os.fork()
    if child == 0:
        _run(items, own, mutants, kept)
    os.waitpid(child, 0)
    found: Reached = pickle.loads(kept.read_bytes())
    if found.failed:
        child = os.fork()
        if child == 0:
            _run(items, sorted(found.failed), (), kept)
        os.waitpid(child, 0)
        again: Reached = pickle.loads(kept.read_bytes())
        found.anywhere = found.failed - again.failed
        found.failed = again.failed
        found.seconds.update(again.seconds)
        kept.write_bytes(pickle.dumps(found))
    os._exit(0)


def _run(items: Sequence[pytest.Item], own: Sequence[int], mutants: Sequence[Mutant], kept: Path) -> None:
    found, hits = Reached(), set[int]()
    _mark_askings(mutants, hits)
    for path in sorted({mutant.path for mutant in mutants}):
        _set_marks(path, {place: mutant for place, mutant in enumerate(mutants) if mutant.path == path}, hits)
    for at, following in zip(own, [*own[1:], None], strict=True):
        hits.clear()
        before = time.process_time()
        after = None if following is None else items[following]
        reports = runtestprotocol(items[at], nextitem=after, log=False)
        found.seconds[at] = time.process_time() - before
        if any(report.failed for report in reports):
            found.failed.add(at)
        for place in hits:
            found.tests.setdefault(place, set()).add(at)
    kept.write_bytes(pickle.dumps(found))
    os._exit(0)


def _mark_askings(mutants: Sequence[Mutant], hits: set[int]) -> None:
    """A question whose statement was written already is reached by whoever asks it again."""
    places: dict[tuple[str, str], set[int]] = {}
    for place, mutant in enumerate(mutants):
        places.setdefault((mutant.module, mutant.within), set()).add(place)
    statement = prepared._statement

    def asked(question: "prepared[Any]", *told: Any) -> Any:
        of = question.question
        hits.update(places.get((of.__module__, of.__qualname__), ()))
        return statement(question, *told)

    prepared._statement = asked  # type: ignore[method-assign]


def _set_marks(path: str, mutants: dict[int, Mutant], hits: set[int]) -> None:
    """Have every function of this file say when it comes to the statement of a change."""
    module = load(next(iter(mutants.values())))
    text = (SOURCE / path).read_text(encoding="utf-8")
    setattr(module, MARK, hits.add)
    swap(str(module.__file__), text, marked_tree(text, mutants))


def marked_tree(text: str, mutants: dict[int, Mutant]) -> ast.Module:
    """The file's tree with a mark before each statement that holds a change.

    A change of what is worked out when the module loads is reached by every function of the file.
    """
    tree = ast.parse(text)
    nodes = list(ast.walk(tree))
    above = {id(child): (node, child) for node in nodes for child in ast.iter_child_nodes(node)}
    before: dict[int, list[int]] = {}
    for place, mutant in mutants.items():
        if not mutant.within:
            for node in nodes:
                if isinstance(node, ast.FunctionDef):
                    before.setdefault(id(node.body[0]), []).append(place)
            continue
        node = nodes[mutant.node]
        while not isinstance(node, ast.stmt):
            node = above[id(node)][0]
        before.setdefault(id(node), []).append(place)
    for node in nodes:
        for body in _bodies(node):
            body[:] = [
                one
                for statement in body
                for one in (*_marks(before.get(id(statement), ()), statement), statement)
            ]
    return ast.fix_missing_locations(tree)


def _bodies(node: ast.AST) -> Iterator[list[ast.stmt]]:
    for name in ("body", "orelse", "finalbody"):
        body = getattr(node, name, None)
        if isinstance(body, list):
            yield body


def _marks(places: Sequence[int], statement: ast.stmt) -> Iterator[ast.stmt]:
    for place in places:
        call = ast.Expr(ast.Call(ast.Name(MARK, ast.Load()), [ast.Constant(place)], []))
        yield ast.copy_location(call, statement)


def silence() -> None:
    """What tests print in a split-off process goes nowhere."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    for handle in (0, 1, 2):
        os.dup2(nowhere, handle)


def limit(seconds: float) -> None:
    """End this process when it has used so many processor seconds more, however busy the machine is."""
    most = int(time.process_time() + seconds) + 1
    resource.setrlimit(resource.RLIMIT_CPU, (most, most + 5))
