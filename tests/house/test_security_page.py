"""The page on security names every line of the standard that it is held against, and tests that are there."""

import ast
import re
from collections.abc import Iterator
from datetime import timedelta
from importlib import import_module

import pytest

from tests.house.source import ROOT, SRC

PAGE = (ROOT / "docs" / "security.md").read_text(encoding="utf-8")
ROWS = re.findall(r"^\| (\d+\.\d+\.\d+) \| (\S+) \| (.+) \|$", PAGE, re.MULTILINE)
# OWASP ASVS 5.0.0: 70 requirements of level 1 and 183 of level 2; chapters 10 and 17 hold 29 and 7 of them.
LINES = 70 + 183 - 29 - 7
LIMITS = re.findall(r"^\| .+ \| (\d[\d, ]*(?: s)?) \| `([\w/]+\.py)` (\w+) \|$", PAGE, re.MULTILINE)
# Of what is shown, drawn, kept or worked out: nobody sends it.
NOT_SENT = {
    "serving/demo_beside.py": {"_LONGEST_LOOK_S"},
    "eye/_looking.py": {"MOST_CUTS"},
    "eye/eye_process.py": {"MOST_SAID"},
    "workshop/came_up/job_parts.py": {"_MOST_BINS", "_MOST_READ"},
    "workshop/parts/check_fit.py": {"_MOST_JUDGED"},
    "workshop/came_up/photos.py": {"MOST_SIDE", "MOST_KEPT"},
    "workshop/day/_ical_lines.py": {"_MOST_OCTETS"},
    "workshop/leaving/back_said.py": {"MOST_ASKED"},
    "workshop/leaving/call_back.py": {"_MOST_DAYS", "MOST_CALL_BACKS"},
    "workshop/looks/_bike_past.py": {"MOST_LOG"},
    "workshop/markings/read_photo.py": {"_MOST_SIDE"},
    "workshop/ordering/_instead.py": {"_MOST"},
    "workshop/owners/find.py": {"MOST", "_MOST_OWNERS"},
    "workshop/parts/stocktake.py": {"_MOST"},
    "workshop/parts/which_part.py": {"MOST_IN_BINS"},
    "workshop/proof/claim_sheet.py": {"MOST_ROWS", "MOST_PHOTOS"},
    "workshop/proof/keep_photo.py": {"MOST"},
    "workshop/proof/proof_photos.py": {"PRINTED_MOST"},
    "workshop/rides/_ride_places.py": {"_LONGEST_DAYS"},
    "workshop/settings/change_words.py": {"SHOWN_AT_MOST"},
    "workshop/settings/row_effects.py": {"NAMED_AT_MOST"},
    "workshop/settings/row_views.py": {"SHOWN_AT_MOST"},
    "workshop/stays/promise.py": {"_AHEAD"},
    "workshop/tools/tool_board.py": {"MOST_CLICKS"},
    "workshop/wheels/_wheel_past.py": {"MOST"},
}


def limits() -> Iterator[tuple[str, str]]:
    """File and name of every figure of the program that is called a most."""
    for room in ("serving", "api", "eye", "workshop"):
        for path in sorted((SRC / room).rglob("*.py")):
            for node in ast.parse(path.read_text(encoding="utf-8")).body:
                # Names of several figures stand in one line.
                targets = (
                    [one for to in node.targets for one in ast.walk(to)]
                    if isinstance(node, ast.Assign)
                    else []
                )
                for one in targets:
                    if isinstance(one, ast.Name) and re.search(r"MOST|LARGEST|LONGEST|_MAX_|_AHEAD$", one.id):
                        yield path.relative_to(SRC).as_posix(), one.id


def figures(value: object) -> list[float]:
    """The figures of a limit; a length of time in days."""
    if isinstance(value, dict):
        return [float(one) for one in value.values()]
    return [value / timedelta(days=1) if isinstance(value, timedelta) else float(str(value))]


def test_every_line_of_both_levels_stands_there_once() -> None:
    """None is left out, and each is met, not applicable or open."""
    numbers = [number for number, *_ in ROWS]
    assert len(numbers) == len(set(numbers)) == LINES
    assert {state for _, state, _ in ROWS} <= {"met", "n.a.", "open"}


def test_what_is_named_is_there() -> None:
    """A test that was renamed or removed proves nothing."""
    named = {path for *_, words in ROWS for path in re.findall(r"`((?:tests|docs|desk)/[^`]+)`", words)}
    assert [path for path in sorted(named) if not (ROOT / path).exists()] == []
    assert len(named) > 40


@pytest.mark.parametrize(("said", "path", "name"), LIMITS)
def test_a_limit_is_what_the_program_holds(said: str, path: str, name: str) -> None:
    """The figure on the page is the one that is asked."""
    held = getattr(import_module("pinchbolt." + path.removesuffix(".py").replace("/", ".")), name)
    assert [float(one) for one in re.sub(r"(?<=\d),(?=\d)| s$", "", said).split(", ")] == figures(held)


def test_no_limit_is_left_out() -> None:
    """What is new stands on the page, or among what nobody sends."""
    here = set(limits())
    told = {(path, name) for _, path, name in LIMITS}
    not_sent = {(path, name) for path, names in NOT_SENT.items() for name in names}
    assert here - told == not_sent
    assert len(told) == len(LIMITS) > 60
