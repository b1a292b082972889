"""Two processes of a test run that come to the same compiled function at once: one compiles, the other loads."""

import json
import os
import subprocess
import sys
from pathlib import Path

from tests.house.source import ROOT

LAW = """
import numba

@numba.njit(cache=True)
def wide(of):
    return of * of + 1.0

@numba.njit(cache=True)
def law(of):
    # Nested: what compiles this one comes to the other.
    found = 0.0
    for one in range(10):
        found += wide(of + one)
    return found
"""
ASKS = """
import json, sys
from tests.compiled_once import compile_one_at_a_time
compile_one_at_a_time()
from law import law, wide
print("ready", flush=True)
sys.stdin.readline()
found = law(2.0)
missed = [sum(one.stats.cache_misses.values()) for one in (law, wide)]
print(json.dumps({"found": found, "missed": missed}))
"""


def test_one_process_compiles_and_the_other_waits_for_it(tmp_path: Path) -> None:
    """Both are let go at one moment: each function was missing once among the two, and both find the same."""
    (tmp_path / "law.py").write_text(LAW, encoding="utf-8")
    paths = os.pathsep.join([str(tmp_path), str(ROOT / "src"), str(ROOT)])
    around = {**os.environ, "PYTHONPATH": paths, "NUMBA_CACHE_DIR": str(tmp_path / "kept")}
    two = [
        subprocess.Popen(
            [sys.executable, "-c", ASKS], env=around, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE
        )
        for _ in range(2)
    ]
    for one in two:
        assert one.stdout is not None and one.stdout.readline() == "ready\n"
    for one in two:
        assert one.stdin is not None
        one.stdin.write("go\n")
        one.stdin.flush()
    told = [json.loads(one.communicate()[0]) for one in two]
    # By hand: the squares of 2 to 11 are 505, and ten ones.
    assert [one["found"] for one in told] == [515.0, 515.0]
    assert sorted(one["missed"] for one in told) == [[0, 0], [1, 1]]
