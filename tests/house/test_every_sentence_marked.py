"""Every sentence for people stands in `worded(...)`, so that a translation can say it otherwise (docs/style-of-words.md)."""

import ast
import re
from collections.abc import Iterator, Mapping
from functools import cache
from string import Formatter

import pytest

from desk.words import every_code
from tests.house.source import SRC, dotted, modules, nodes_of, place

ROOMS = (
    "api",
    "bench",
    "cli",
    "drawing",
    "engines",
    "paper",
    "records",
    "reference",
    "serving",
    "values",
    "workshop",
)
# Files with words that are no sentences for people, each with its reason.
NOT_FOR_PEOPLE = {
    "drawing/bike_shape.py": "names of pieces",
    "records/filled.py": "statements of the database and the head of a file that a program reads",
    "records/laid.py": "statements of the database and the head of a file that a program reads",
    "records/prepared.py": "said to whoever writes a question, never to a person at the bench",
    "reference/sums.py": "the head of a file that a program reads",
    "reference/check.py": "said to whoever changes the tables of the source",
    "serving/rights_guard.py": "a code of who may do what",
    "serving/settings.py": "how a line of the log is put together",
    "values/wording.py": "said before there is a language to say it in",
    "workshop/acts/records_away.py": "pieces of what a database says",
    "workshop/keeping/list_columns.py": "how columns are called in lists of others, in six languages",
    "workshop/questions/of_bike.py": "which field of a question is which fact of a build",
    "workshop/questions/part_by_hand.py": "words that people type for a kind of part",
}
_FAULTS = (
    "FrozenInstanceError",
    "AttributeError",
    "TypeError",
    "RuntimeError",
    "AssertionError",
    "NotImplementedError",
    "LookupError",
    "ImproperlyConfigured",
)
_PROGRAM = (
    "compile", "search", "sub", "fullmatch", "match", "execute", "info", "warning", "error", "exception", "debug", "startswith", "replace",
    "removeprefix", "split", "getattr", "write", "writelines",
)  # fmt: skip
_WORD = re.compile(r"[^\W\d_](?:[^\W\d_]|['’-])+")
_STATEMENT = re.compile(
    r"^\s*(?:SELECT|PRAGMA|CREATE|INSERT|DELETE|UPDATE|ANALYZE|DROP|NOT EXISTS|EXISTS|WHERE|ORDER BY|AND|OR)\b"
)
_MARKUP = re.compile(
    r"</?[a-z]|[a-z-]+=\"|charset=|^[a-z-]+ '|\{\"|\\S|\\d|\(\?|^PRODID|^from |\w\[|^M\{|^void\(|abcdefg|@£"
)


def unmarked(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Line and text of each string of three words and more that a person may read and no translation reaches."""
    for node, above in _with_above(tree):
        text = _text(node, above)
        if len(_WORD.findall(text)) >= 3 and text.count(" ") >= 2 and not _for_the_program(text, above):
            yield node.lineno, text


def _with_above(tree: ast.Module) -> Iterator[tuple[ast.expr, list[ast.AST]]]:
    waiting: list[tuple[ast.AST, list[ast.AST]]] = [(tree, [])]
    while waiting:
        node, above = waiting.pop()
        if isinstance(node, ast.expr):
            yield node, above
        waiting += [(child, [node, *above]) for child in ast.iter_child_nodes(node)]


def _text(node: ast.expr, above: list[ast.AST]) -> str:
    """The text of a string that is no documentation and no piece of an f-string, each gap as {}."""
    if (
        isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and not isinstance(above[0], ast.JoinedStr | ast.Expr)
    ):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(str(one.value) if isinstance(one, ast.Constant) else "{}" for one in node.values)
    return ""


def _for_the_program(text: str, above: list[ast.AST]) -> bool:
    if (
        text in every_code()
        or text in _kinds_of_act()
        or text.isupper()
        or _STATEMENT.search(text)
        or _MARKUP.search(text)
    ):
        return True
    first = above[0]
    if isinstance(first, ast.Compare | ast.Set | ast.Subscript | ast.keyword) and not _said_by_name(first):
        return True
    if isinstance(first, ast.Attribute) and first.attr == "split":
        return True
    for node in above:
        name = _called(node)
        if name in _FAULTS or (node is first and name in (*_PROGRAM, "worded")):
            return True
        if isinstance(node, ast.Subscript) and dotted(node.value) == "Literal":
            return True
    return False


def _called(node: ast.AST) -> str:
    """The last name of what is called."""
    if not isinstance(node, ast.Call):
        return ""
    return node.func.attr if isinstance(node.func, ast.Attribute) else dotted(node.func)


def _said_by_name(node: ast.AST) -> bool:
    """A value that is handed on by a name may be a sentence; by these it is none."""
    return isinstance(node, ast.keyword) and node.arg not in (
        "kind",
        "key",
        "content_type",
        "prog",
        "name",
        "id",
    )


@cache
def _kinds_of_act() -> frozenset[str]:
    tree = ast.parse((SRC / "workshop" / "acts" / "kinds_of_act.py").read_text(encoding="utf-8"))
    tables = nodes_of(tree, ast.Dict)
    return frozenset(
        str(key.value) for table in tables for key in table.keys if isinstance(key, ast.Constant)
    )


@cache
def _found(room: str) -> list[str]:
    told = []
    for path, tree in modules(SRC / room):
        inside = path.relative_to(SRC)
        if inside.as_posix() not in NOT_FOR_PEOPLE and "demo" not in inside.parts:
            keys = {
                key.value
                for node in nodes_of(tree, ast.Dict)
                for key in node.keys
                if isinstance(key, ast.Constant)
            }
            told += [f"{place(path, line)}: {text[:90]}" for line, text in unmarked(tree) if text not in keys]
    return told


@pytest.mark.parametrize("room", ROOMS)
def test_every_sentence_is_marked(room: str) -> None:
    """What a person reads stands in the call that a translation answers."""
    assert _found(room) == []


def unmarked_in_script(text: str) -> list[str]:
    """Strings of three words and more of a page's program that no call says; what stands behind // is for whoever reads it."""
    bare = re.sub(r"\bworded\(\"(?:[^\"\\]|\\.)*\"", "", re.sub(r"^\s*//.*$", "", text, flags=re.MULTILINE))
    found = re.findall(r"\"([\w ,.;:'?()-]+)\"", bare)
    return [one for one in found if len(_WORD.findall(one)) >= 3 and one.count(" ") >= 2]


def test_programs_of_pages_mark_their_sentences_too() -> None:
    """The worker alone has no page to bring it another language; docs/style-of-words.md says so."""
    scripts = sorted((SRC / "bench" / "static" / "bench").glob("*.js"))
    assert len(scripts) > 6
    told = {path.name: unmarked_in_script(path.read_text(encoding="utf-8")) for path in scripts}
    assert told.pop("worker.js")
    assert {name: found for name, found in told.items() if found} == {}
    assert unmarked_in_script('a = "no answer from here"; b = worded("no answer from here");') == [
        "no answer from here"
    ]


def test_every_exception_is_needed() -> None:
    """A reason that is past is taken off the list."""
    needless = []
    for file, reason in NOT_FOR_PEOPLE.items():
        assert len(reason) > 10
        tree = ast.parse((SRC / file).read_text(encoding="utf-8"))
        if not list(unmarked(tree)):
            needless.append(file)
    assert needless == []


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ('said = "Read it out to the owner."', ["Read it out to the owner."]),
        ('said = f"{tag} is on stand {stand}."', ["{} is on stand {}."]),
        ('said = worded("Read it out to the owner.")', []),
        ('"""Read it out to the owner."""', []),
        ('raise TypeError(f"{name} is no plain value here")', []),
        ('raise InputRefused(f"{name} is no plain value here")', ["{} is no plain value here"]),
        ('asked = text == "read off the part again"', []),
        ('row.execute("SELECT name FROM bench WHERE tag = 1")', []),
        ('said = worded("{a} is here", a="not on any stand today" if b else c)', ["not on any stand today"]),
    ],
)
def test_the_question_itself_finds_what_is_planted(source: str, found: list[str]) -> None:
    """It can fail; documentation, faults of the program, statements and what is compared are no sentences."""
    assert [text for _, text in unmarked(ast.parse(source))] == found


# Constants that are compared in spite of it: both sides are said by one process, and neither is kept or sent.
OF_ONE_PROCESS = {"_OVER", "EYES", "ROUNDED", "MARK"}


def compared(trees: Mapping[str, ast.Module]) -> Iterator[tuple[str, int, str]]:
    """Module, line and name of each constant that is a sentence of the language, or lists one, and that code compares."""
    of = {module: set(_said_constants(tree)) for module, tree in trees.items()}
    for module, tree in trees.items():
        here = {name: name for name in of[module]}
        for node in nodes_of(tree, ast.ImportFrom):
            here |= {
                one.asname or one.name: one.name
                for one in node.names
                if one.name in of.get(node.module or "", ())
            }
        for compare in nodes_of(tree, ast.Compare):
            for one in ast.walk(compare):
                if isinstance(one, ast.Name) and one.id in here:
                    yield module, compare.lineno, here[one.id]


def _said_constants(tree: ast.Module) -> Iterator[str]:
    for node in tree.body:
        if isinstance(node, ast.Assign) and any(
            isinstance(one, ast.Call) and dotted(one.func) == "worded" for one in _listed(node.value)
        ):
            yield from (
                one.id for target in node.targets for one in ast.walk(target) if isinstance(one, ast.Name)
            )


def _listed(value: ast.expr) -> list[ast.expr]:
    return value.elts if isinstance(value, ast.Tuple | ast.List | ast.Set) else [value]


def test_nothing_that_is_compared_is_a_sentence_of_the_language() -> None:
    """What records keep or a form sends is `as_kept`: in another language a wheel that was hit must be found by the same words."""
    trees = {
        ".".join(("pinchbolt", *path.relative_to(SRC).with_suffix("").parts)): tree
        for path, tree in modules(SRC)
    }
    found = {(module, line, name) for module, line, name in compared(trees) if name not in OF_ONE_PROCESS}
    assert found == set()


def test_a_comparison_with_a_sentence_is_found_where_it_is_planted() -> None:
    """Its own constant, one that was imported under another name, one in a list; what is kept is none."""
    one = ast.parse(
        'HIT = worded("it was hit")\nKEPT = as_kept("it was hit")\nALL = ("no", worded("it was hit"))\na = b == HIT'
    )
    other = ast.parse(
        "from one import ALL, HIT as THEIRS, KEPT\na = b in ALL\nc = b == THEIRS\nd = b == KEPT"
    )
    found = list(compared({"one": one, "other": other}))
    assert found == [("one", 4, "HIT"), ("other", 2, "ALL"), ("other", 3, "HIT")]


def test_a_marked_sentence_stands_there_as_it_is() -> None:
    """A text that is put together first has no name that a translator could find; where rows and templates are said, it has one already."""
    said_elsewhere = {"reference/read.py", "bench/said_pages.py", "paper/press.py", "cli/command_door.py"}
    broken = [
        place(path, node.lineno)
        for path, tree in modules(SRC)
        if path.relative_to(SRC).as_posix() not in said_elsewhere
        for node in nodes_of(tree, ast.Call)
        if dotted(node.func) == "worded"
        and not (isinstance(node.args[0], ast.Constant) and isinstance(node.args[0].value, str))
    ]
    assert broken == []


def test_every_gap_has_its_value() -> None:
    """A gap without a value would fail at the bench, where the sentence is said; a value without a gap is said to nobody."""
    broken = []
    for path, tree in modules(SRC):
        for node in nodes_of(tree, ast.Call):
            if dotted(node.func) == "worded" and node.keywords:
                text = str(getattr(node.args[0], "value", ""))
                gaps = {name for _, name, _, _ in Formatter().parse(text) if name is not None}
                values = {one.arg for one in node.keywords}
                broken += (
                    [f"{place(path, node.lineno)}: {sorted(map(str, gaps ^ values))}"]
                    if gaps ^ values
                    else []
                )
    assert broken == []
