"""How hard screens, sheets and sentences are to read: the school grade of each file that speaks, by a library that others use."""

import ast
import re
import tomllib
from collections.abc import Iterator
from statistics import median

import pytest

from tests.house.source import SRC, modules
from tests.house.test_style_of_words import SPEAK, sentences
from tests.sentences import as_prose, blocks_of_page, grade, too_long

MEDIAN_GRADE, WORST_GRADE = 6.0, 9.0
FEWEST_WORDS = 30
"""Less than this is no text to be graded."""
MOST_WORDS_ON_PAPER = 20
# What the tables say to whoever works: what to look at, how, what to beware of, why it is proposed.
SHOWN_OF_TABLES = frozenset(
    (
        "ask",
        "because",
        "care",
        "caution",
        "check",
        "conflict",
        "do",
        "how",
        "next",
        "pattern",
        "quantity",
        "stop",
        "words",
    )
)
KINDS = ("pages", "sheets", "tables", *SPEAK, "values", "serving")


def pages() -> Iterator[tuple[str, str]]:
    """Each template with what it says; a value is one word."""
    for path in sorted((SRC / "bench").rglob("*.html")):
        text = re.sub(
            r"\{%\s*comment.*?endcomment\s*%\}|\{#.*?#\}",
            "",
            path.read_text(encoding="utf-8"),
            flags=re.DOTALL,
        )
        text = re.sub(
            r"\{\{.*?\}\}", "it", re.sub(r"\{%.*?%\}", "<br>", text, flags=re.DOTALL), flags=re.DOTALL
        )
        yield path.relative_to(SRC).as_posix(), as_prose(blocks_of_page(f"<main>{text}</main>"))


def said_on_paper(text: str) -> list[str]:
    """What a sheet says in words of its own, each value one word."""
    bare = re.sub(r"//.*", "", text)
    told = re.findall(r"\[([^\[\]]*)\]", bare)
    return [re.sub(r"#[\w.]+(?:\([^)]*\))?", "it", one) for one in told if re.search(r"[a-z]{3}", one)]


def sheets() -> Iterator[tuple[str, str]]:
    """Each sheet."""
    for path in sorted((SRC / "paper").rglob("*.typ")):
        yield path.relative_to(SRC).as_posix(), as_prose(said_on_paper(path.read_text(encoding="utf-8")))


def rows() -> Iterator[tuple[str, str]]:
    """What the rows of each trade table say."""
    for path in sorted((SRC / "reference" / "tables").glob("*.toml")):
        said = [
            text
            for table in tomllib.loads(path.read_text(encoding="utf-8")).values()
            for row in (table if isinstance(table, list) else ())
            if isinstance(row, dict)
            for name, text in row.items()
            if name in SHOWN_OF_TABLES and isinstance(text, str)
        ]
        yield path.relative_to(SRC).as_posix(), as_prose(said)


def spoken(room: str) -> Iterator[tuple[str, str]]:
    """The sentences of each module of a room: refusals, reasons, what an owner is told."""
    for path, tree in modules(SRC / room):
        yield path.relative_to(SRC).as_posix(), as_prose(_whole(tree))


def _whole(tree: ast.Module) -> list[str]:
    """Those that begin as a sentence does; a gap is one word."""
    return [
        text.replace("{}", "it") for _, text in sentences(tree) if text[:1].isupper() or text.startswith("{}")
    ]


def grades(told: Iterator[tuple[str, str]]) -> dict[str, float]:
    """The school grade of each that says enough."""
    return {name: grade(prose) for name, prose in told if len(prose.split()) >= FEWEST_WORDS}


def told(what: str) -> Iterator[tuple[str, str]]:
    """The texts of the pages, of the sheets, or of a room."""
    of_files = {"pages": pages, "sheets": sheets, "tables": rows}
    return of_files[what]() if what in of_files else spoken(what)


def table() -> str:
    """Kind of text, how many, median and worst grade: the table of docs/style-of-words.md."""
    found = {what: grades(told(what)) for what in KINDS}
    rows = (
        f"| {what} | {len(all_)} | {median(all_.values()):.1f} | {max(all_.values()):.1f} |"
        for what, all_ in found.items()
    )
    return "\n".join(rows)


@pytest.mark.parametrize("what", KINDS)
def test_a_pupil_of_twelve_can_read_it(what: str) -> None:
    """Half of each kind is understood in the sixth year at school, and none needs more than the ninth."""
    found = grades(told(what))
    assert median(found.values()) <= MEDIAN_GRADE
    assert {name: one for name, one in found.items() if one > WORST_GRADE} == {}


def test_no_sentence_of_a_sheet_is_long() -> None:
    """Twenty words, with a value as one."""
    long = {
        path.name: found
        for path in sorted((SRC / "paper").rglob("*.typ"))
        if (found := too_long(said_on_paper(path.read_text(encoding="utf-8")), MOST_WORDS_ON_PAPER))
    }
    assert long == {}


def test_the_grade_tells_easy_from_hard() -> None:
    """It can fail."""
    easy = "The gauge drops in. Change the chain now. It is worn out and it will slip."
    hard = "Notwithstanding considerable uncertainty, the probabilistic determination necessitates additional instrumentation."
    assert grade(easy) < MEDIAN_GRADE < WORST_GRADE < grade(hard)


@pytest.mark.parametrize(
    ("page", "blocks"),
    [
        ("<main><p>One. <b>Two</b> words</p><p>three</p></main>", ["One. Two words", "three"]),
        ("<nav>aside</nav><main><button>save</button> it<script>no</script></main>", ["save", "it"]),
        ("<main><label>a <input value='b'> c</label><svg><text>9</text></svg></main>", ["a", "c"]),
    ],
)
def test_blocks_are_read_as_they_stand(page: str, blocks: list[str]) -> None:
    """What is inside main, block by block, without drawings."""
    assert blocks_of_page(page) == blocks
