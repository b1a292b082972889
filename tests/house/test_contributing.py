"""CONTRIBUTING.md says which files a change needs, and is right."""

import ast
import re
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

from pinchbolt.cli.command_door import app
from pinchbolt.reference import load
from tests.house.contributing import lists
from tests.house.source import ROOT, SRC, imported, modules, nodes_of

BENCH, PAPER, CLI = SRC / "bench", SRC / "paper", SRC / "cli"
A_KIND = "a kind of part"
# A row as somebody new would write it, in the files that its list says are always needed and in no other.
PLANTED: Mapping[str, Mapping[str, str]] = {
    "a fact of a part": {
        "part-kinds.toml": """[[fact]]
id = "bell_note"
name = "the bell's note"
ask = "strike it"
one_of = ["high", "low"]
source = "invented"
certain = "low"
[[kind]]
id = "bell"
facts = ["bell_note"]
"""
    },
    "a limit": {
        "limits.toml": """[[limit]]
id = "bell-crack"
part = "bell"
on = ["bell"]
quantity = "crack in the bell"
where = "rim of its cup"
instrument = "eye"
unit = "yes/no"
direction = "flag"
limit = "yes"
at_limit = "next visit"
safety = false
source = "invented"
certain = "low"
"""
    },
    "a joint": {
        "joints.toml": """[[joint]]
id = "bell-band"
name = "band of the bell"
place = "cockpit"
on = ["bell"]
thread = "M4x0.7"
count = 1
drive = ["hex-3"]
low = 0.5
high = 1.0
typical = 0.8
prep = "dry"
pattern = "in one go"
parts = ["bell"]
critical = "C"
recheck = 12
source = "invented"
certain = "low"
"""
    },
    "a sign-off item or a caution": {
        "signoff.toml": """[[item]]
id = "so-bell"
words = "The bell rings"
applies = ["bell"]
proof = "felt"
if_not = "before it leaves"
second = false
source = "invented"
certain = "low"
[[caution]]
id = "bell"
words = "Loud."
when = ["bell"]
source = "invented"
certain = "low"
"""
    },
    "a word for a state of the bike": {
        "part-kinds.toml": """[[feature]]
id = "rings out"
words = "can be heard"
any = ["bell"]
source = "invented"
certain = "low"
"""
    },
    "a fit rule": {
        "rules.toml": """[[rule]]
id = "bell-bar"
name = "bell on bar"
words = "The band must go round the bar."
form = "equal"
needs = ["band", "bar"]
inputs.band = { one_of = ["22.2", "31.8"], name = "the bell's band", ask = "measure it" }
inputs.bar = { one_of = ["22.2", "31.8"], name = "the bar where it sits", ask = "measure it" }
decide = [
  { when = "band == bar", verdict = "fits" },
  { verdict = "does not fit", because = "the band is made for {band}" },
]
cases = [
  { given = { band = "22.2", bar = "22.2" }, verdict = "fits" },
  { given = { band = "31.8", bar = "31.8" }, verdict = "fits" },
  { given = { band = "22.2", bar = "31.8" }, verdict = "does not fit", because = "the band is made for 22.2" },
  { given = { band = "31.8", bar = "22.2" }, verdict = "does not fit", because = "the band is made for 31.8" },
  { given = { band = "22.2" }, verdict = "cannot tell" },
]
source = "invented"
certain = "low"
"""
    },
    "a template or a kind of bike": {
        "templates.toml": """[[template]]
id = "bell-bike"
kind = "city"
plain = "frame, bell and bolts"
speeds = [1]
use = "mixed"
km_a_week = 10
parts = [{ part = "frame" }, { part = "bell" }, { part = "safety bolts" }]
source = "invented"
certain = "low"
"""
    },
}
BY_FILES = ("a screen", "a sheet on paper", "a command")


def test_there_is_a_list_for_each_kind_of_change() -> None:
    """And each list is tried by a test: by a planted row, by the files that are there, or on the whole way of a kind."""
    assert set(lists()) == {A_KIND, *PLANTED, *BY_FILES}


def test_every_file_that_a_list_names_is_there() -> None:
    """A path with a gap is asked of what is there, below."""
    named = {path for one in lists().values() for path in (*one.always, *one.where) if "NAME" not in path}
    assert sorted(path for path in named if not (ROOT / path).exists()) == []
    assert len(named) > 20


@pytest.mark.parametrize("title", PLANTED)
def test_the_files_of_a_list_are_enough(title: str, tmp_path: Path) -> None:
    """The row is written in those files alone; the tables are sound with it, and it is there."""
    files = PLANTED[title]
    assert set(files) == lists()[title].tables_always
    for name, text in files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    own = {one.id for one in load(tmp_path).overlaid if not one.field}
    assert own >= set(
        re.findall(r'^id = "(bell-\w+|so-bell|rings out|bell_note)"', "".join(files.values()), re.M)
    )
    assert own


def test_a_screen_has_the_files_that_its_list_says() -> None:
    """Every screen folder: its view, and its line among the addresses."""
    view, urls, job_urls = lists()["a screen"].always
    addresses = "".join((ROOT / path).read_text(encoding="utf-8") for path in (urls, job_urls))
    # What went wrong is a page of no address: every refusal leads to it.
    screens = sorted({path.parent.name for path in BENCH.glob("*/*_screen.py")} - {"refusals"})
    assert len(screens) > 20
    for name in screens:
        assert (ROOT / view.replace("NAME", name)).is_file()
        assert f"pinchbolt.bench.{name}" in addresses, f"{name} has no address"
    pages = {path.parent.name for path in BENCH.glob("*/*.html")} - {"templates", "refusals"}
    assert pages <= set(screens)


def test_every_style_is_linked() -> None:
    """A style without its line would do nothing, and nobody would see why."""
    linked = "".join(path.read_text(encoding="utf-8") for path in (BENCH / "templates").glob("*.html"))
    styles = sorted(path.name for path in (BENCH / "static" / "bench").glob("*.css"))
    assert len(styles) > 20
    assert [name for name in styles if f"bench/{name}" not in linked] == []
    assert [name for name in re.findall(r"bench/(\w+\.css)", linked) if name not in styles] == []


def test_a_sheet_has_the_files_that_its_list_says() -> None:
    """Every folder of the paper room: values, template, line."""
    values, template, door = lists()["a sheet on paper"].always
    lines = (ROOT / door).read_text(encoding="utf-8")
    sheets = sorted(path.parent.name for path in PAPER.glob("*/*.typ"))
    assert len(sheets) > 5
    for name in sheets:
        for path in (values, template):
            assert (ROOT / path.replace("NAME", name)).is_file()
        assert f"pinchbolt.paper.{name}.{name}_paper" in lines and f'"{name}/{name}.typ"' in lines


def test_a_command_has_the_files_that_its_list_says() -> None:
    """Every module of the command line is one, or is used by one; and every command is run by a test."""
    command, door, tests = lists()["a command"].always
    used = {
        name for _, tree in modules(CLI) for _, name, _ in imported(tree) if name.startswith("pinchbolt.cli.")
    }
    for path in sorted(CLI.glob("*.py")):
        if path.name not in ("__init__.py", Path(door).name):
            assert any(one.startswith(f"pinchbolt.cli.{path.stem}.") for one in used), (
                f"nobody uses {path.stem}"
            )
    written = [one.removeprefix("pinchbolt.cli.").split(".")[0] for one in used]
    commands = {stem.removesuffix("_command") for stem in written if stem.endswith("_command")}
    assert all((ROOT / command.replace("NAME", name)).is_file() for name in commands)
    assert len(commands) > 20
    run = {word.split(" ")[0] for _, tree in modules(ROOT / tests) for word in _typed(tree)}
    names = [
        one.name or one.callback.__name__.replace("_", "-") for one in app.registered_commands if one.callback
    ]
    names += [str(group.name) for group in app.registered_groups]
    assert len(names) > 20
    assert [name for name in names if name not in run] == []


def _typed(tree: ast.Module) -> Iterator[str]:
    """Texts in a test that are no description of it."""
    said = {id(node.value) for node in nodes_of(tree, ast.Expr)}
    for node in nodes_of(tree, ast.Constant):
        if isinstance(node.value, str) and id(node) not in said:
            yield node.value
