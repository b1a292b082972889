"""A newcomer follows the lists of CONTRIBUTING.md in a copy of the tree: a screen, a sheet, a limit; then what a change must pass."""

import re
import shutil
import subprocess
import sys
from collections.abc import Mapping
from importlib.util import cache_from_source
from pathlib import Path

import pytest

from tests.house.contributing import lists
from tests.house.source import ROOT

SCREEN = '''"""What is spare: parts that wait for a bike."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import screen


@dataclass(frozen=True, slots=True)
class SpareShelfPage(Page):
    """The shelf."""

    title: str


@require_safe
def spare_shelf(request: HttpRequest) -> HttpResponse:
    """Show the shelf."""
    return screen(request, "spare_shelf/spare_shelf.html", SpareShelfPage(title="spare shelf"))
'''
PAGE = """{% extends "base.html" %}
{% block main %}
<h1>Spare shelf</h1>
{% endblock %}
"""
SHEET = '''"""What the spare sheet says: the bike and nothing more."""

from datetime import datetime

from pinchbolt.workshop.acts.lookups import job_by_id, terms


def spare_values(job: int, now: datetime) -> dict[str, object]:
    """Return the values of the spare sheet."""
    bike, shop = job_by_id(job).bike, terms()
    return {"title": f"Spare sheet {bike.tag}, {shop.name}", "shop": shop.name, "words": bike.words}
'''
TEMPLATE = """#let data = json(bytes(sys.inputs.data))
#set document(title: data.title, author: data.shop, description: data.title)
#set text(font: "B612", size: 9pt, lang: "en", region: "GB")
#set page(paper: "a4")
= #data.title
#data.words
"""
LIMIT = """
[[limit]]
id = "stem-crack-invented"
part = "stem"
on = ["stem"]
quantity = "crack beside the clamp"
where = "face plate and steerer clamp"
instrument = "eye"
unit = "yes/no"
direction = "flag"
limit = "yes"
at_limit = "unsafe to ride"
safety = true
source = "invented"
certain = "low"
"""
PROPOSAL = """
[[proposal]]
id = "stem-crack-invented"
limits = ["stem-crack-invented"]
from_verdict = "before it leaves"
operation = "bars-stem"
words = "A cracked stem is not mended."
source = "invented"
certain = "low"
"""


def _edited(text: str, edits: Mapping[str, str]) -> str:
    for old, new in edits.items():
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The tree as it is tracked, in a folder of its own."""
    at = tmp_path_factory.mktemp("newcomer")
    names = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    for name in names.splitlines():
        if (ROOT / name).is_file():
            (at / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, at / name)
            _copy_what_was_made_of(name, at)
    for words in (["init", "-q"], ["add", "-A"]):
        subprocess.run(["git", *words], cwd=at, check=True)
    return at


def _copy_what_was_made_of(name: str, at: Path) -> None:
    """What Python keeps of a module goes with it: it is told by the module's own time and size, and to make it takes seconds."""
    if name.endswith(".py"):
        kept = Path(cache_from_source(str(ROOT / name)))
        folder = (at / name).parent / "__pycache__"
        for one in kept.parent.glob(f"{kept.name.removesuffix('.pyc')}*.pyc"):
            folder.mkdir(exist_ok=True)
            shutil.copy2(one, folder / one.name)


def _run(at: Path, *words: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", *words],
        cwd=at,
        env={"PATH": "/usr/bin:/bin", "PYTHONPATH": f"{at / 'src'}:{at}", "HOME": str(at)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, f"{' '.join(words)}\n{done.stdout[-3000:]}{done.stderr[-2000:]}"


def _changed(at: Path) -> set[str]:
    told = subprocess.run(
        ["git", "status", "--porcelain", "-uall"], cwd=at, capture_output=True, text=True, check=True
    ).stdout
    return {line[3:] for line in told.splitlines() if not re.match(r"[A ] ", line) or line[1] != " "}


def test_a_screen_a_sheet_and_a_limit_take_the_files_of_their_lists(copy: Path) -> None:
    """Each is written in the files that its list always asks for; lint, types, rooms, tables and its own tests are green.

    A screen takes three files and its address, a sheet three and its line, a limit its row,
    its place in the walk-round and what a reading past it asks for.
    """
    written = {
        "a screen": {
            "src/pinchbolt/bench/spare_shelf/__init__.py": '"""The spare shelf."""\n',
            "src/pinchbolt/bench/spare_shelf/spare_shelf_screen.py": SCREEN,
            "src/pinchbolt/bench/spare_shelf/spare_shelf.html": PAGE,
        },
        "a sheet on paper": {
            "src/pinchbolt/paper/spare/__init__.py": '"""The spare sheet."""\n',
            "src/pinchbolt/paper/spare/spare_paper.py": SHEET,
            "src/pinchbolt/paper/spare/spare.typ": TEMPLATE,
        },
    }
    edited = {
        "src/pinchbolt/bench/urls.py": {
            "from pinchbolt.bench.swap import": "from pinchbolt.bench.spare_shelf.spare_shelf_screen import spare_shelf\n"
            "from pinchbolt.bench.swap import",
            '    path("sign-in/"': '    path("spare-shelf/", spare_shelf, name="spare_shelf"),\n    path("sign-in/"',
        },
        "src/pinchbolt/paper/render.py": {
            "from pinchbolt.paper.torque_sheet": "from pinchbolt.paper.spare.spare_paper import spare_values\n"
            "from pinchbolt.paper.torque_sheet",
            '    "not-safe": (': '    "spare": ("spare/spare.typ", spare_values),\n    "not-safe": (',
        },
    }
    edited["src/pinchbolt/reference/tables/walk-round.toml"] = {
        'limits = ["bar-slip"': 'limits = ["stem-crack-invented", "bar-slip"'
    }
    for files in written.values():
        for name, text in files.items():
            (copy / name).parent.mkdir(exist_ok=True)
            (copy / name).write_text(text, encoding="utf-8")
    for name, edits in edited.items():
        (copy / name).write_text(_edited((copy / name).read_text(encoding="utf-8"), edits), encoding="utf-8")
    for name, row in (("limits.toml", LIMIT), ("proposals.toml", PROPOSAL)):
        with (copy / "src/pinchbolt/reference/tables" / name).open("a", encoding="utf-8") as table:
            table.write(row)
    _run(copy, "pinchbolt.reference.check")
    sums = subprocess.run(
        [sys.executable, "-m", "pinchbolt.reference.check", "--sums"],
        cwd=copy,
        env={"PATH": "/usr/bin:/bin", "PYTHONPATH": str(copy / "src")},
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    (copy / "tests/reference/column-sums.toml").write_text(sums, encoding="utf-8")

    said = lists()
    always = {
        title: {path.replace("NAME", name) for path in said[title].always}
        for title, name in (("a screen", "spare_shelf"), ("a sheet on paper", "spare"), ("a limit", ""))
    }
    touched = _changed(copy)
    for title, files in always.items():
        # An address stands in one of two lists: the other is for a step of a job.
        missing = files - touched - {"src/pinchbolt/bench/job_urls.py"}
        assert not missing, f"{title}: {sorted(missing)}"
    assert len(touched) == 11, sorted(touched)

    _run(copy, "ruff", "check", "src", "tests")
    _run(copy, "ruff", "format", "--check", "src", "tests")
    _run(copy, "mypy", "-p", "pinchbolt.bench.spare_shelf", "-p", "pinchbolt.paper.spare")
    _run(copy, "pinchbolt.reference.check")
    own = "spare or newcomer or contributing or rooms or floor or editor or every_address or trade_tables"
    tests = (
        "bench/test_every_page.py",
        "bench/test_queries.py",
        "paper/test_render.py",
        "house/test_contributing.py",
    )
    more = ("house/test_import_rules.py", "reference/test_trade_tables.py")
    _run(
        copy,
        "pytest",
        "-q",
        "-x",
        "-p",
        "no:cacheprovider",
        "-k",
        own,
        *(f"tests/{name}" for name in (*tests, *more)),
    )
