"""How much of what people read a translation reaches, measured with an invented language that puts each message in brackets.

PYTHONPATH=src:. python -c "from tests.bench.test_in_brackets import table; print(table())"
"""

import json
import os
import re
import subprocess
import sys
from collections import Counter
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from desk.words import drawn, every_code, every_message
from tests.bench.brackets import counted, shares

ROOT = Path(__file__).resolve().parents[2]
# At most this share of the words stands outside of every message, and is no name, unit or day.
MOST_OUTSIDE = {"page": 0.03, "paper": 0.03, "refused": 0.005, "command": 0.125}
_GAP = re.compile(r"\{[^{}]*\}")


def in_brackets(text: str) -> str:
    """Return a message in brackets; what stands in its gaps has to bring its own."""
    return "⟦" + _GAP.sub(r"⟧\g<0>⟦", text) + "⟧"


@cache
def measured() -> dict[str, tuple[int, Counter[str]]]:
    """Words in brackets and words outside, by sort of what is read; drawn by a process that speaks the language of brackets."""
    with TemporaryDirectory(prefix="pinchbolt-brackets-") as name:
        po, out = Path(name) / "brackets.po", Path(name) / "drawn.json"
        messages = {text: in_brackets(text) for text in every_message()}
        po.write_text(drawn(messages, {code: in_brackets(code) for code in every_code()}), encoding="utf-8")
        around = {
            **os.environ,
            "PINCHBOLT_LANGUAGE": str(po),
            "PINCHBOLT_DRAWN": str(out),
            "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
        }
        words = [
            sys.executable,
            "-m",
            "pytest",
            "-q",
            "-p",
            "no:cacheprovider",
            "tests/bench/drawn_in_brackets.py",
        ]
        told = subprocess.run(words, cwd=ROOT, env=around, capture_output=True, text=True, check=False)
        assert told.returncode == 0, told.stdout[-3000:]
        found = json.loads(out.read_text(encoding="utf-8"))
    return shares(found["told"], found["data"])


def table() -> str:
    """Return the shares as the page on style has them."""
    lines = ["| what is read | words in messages | words outside | share outside |", "|---|---|---|---|"]
    for sort, (inside, outside) in measured().items():
        count = sum(outside.values())
        lines.append(f"| {sort} | {inside:,} | {count:,} | {count / (inside + count):.1%} |")
    return "\n".join(lines)


@pytest.mark.parametrize("sort", MOST_OUTSIDE)
def test_a_translation_reaches_what_people_read(sort: str) -> None:
    """A page that says something no translator can find is seen by its words."""
    inside, outside = measured()[sort]
    count = sum(outside.values())
    assert inside > 1000
    assert count / (inside + count) <= MOST_OUTSIDE[sort], outside.most_common(60)


@pytest.mark.parametrize(
    ("text", "inside", "outside"),
    [
        ("<p>⟦Ask ⟧Ada⟦ first.⟧</p>", 2, []),
        ("<p>⟦Ask ⟧the owner⟦ first.⟧</p>", 2, ["the", "owner"]),
        ('<p title="ask first">⟦Nothing yet.⟧</p><script>let said = "no";</script>', 2, ["ask", "first"]),
        ("<p>12 km on Mon 3 Nov, see http://bench.local/day/</p>", 0, ["on", "see"]),
        ("⟦range ⟧⟦4 to 5⟧⟦ N·m⟧", 2, []),
    ],
)
def test_the_measure_counts_what_is_planted(text: str, inside: int, outside: list[str]) -> None:
    """Names of the record, units, days and addresses are no translator's; a value in a gap brings its own brackets."""
    found, left = counted(text, ["Ada Fenwick"])
    assert (found, sorted(left.elements())) == (inside, sorted(outside))
