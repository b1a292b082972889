"""Sentences keep the rules of docs/style-of-words.md, as far as the source tells; drawn pages and sheets have tests of their own."""

import ast
import re
from collections.abc import Iterator

import pytest

from tests.house.source import SRC, dotted, modules, nodes_of, place

# What is said to a person, and by whom.
SPEAK = ("bench", "paper", "cli", "api", "workshop", "drawing", "engines")
# One word for one thing: what must not be said, and what is said instead. Whole sentences are looked at, not names and codes.
DOUBLES = {
    r"stands? open": "to do",
    r"8 in 10|four[ -](?:cases )?in[ -]five": "likely",
    r"pairs? of eyes": "second look, by somebody else",
    r"say so once more": "save it again",
    r"gain ratio": "metres ridden per metre of pedal",
    r"15 % drop": "flattens by about a seventh",
    r"light of the page": "screen",
    r"\bvouche?d? for\b": "trust",
    r"safety part is called": "act at",
    r"branch and bound closed": "nothing: no proof is said",
    r"run(?:ning)? chain, cassette and rings out": "use until they slip",
    r"\banew\b": "again",
    r"\breckoned\b": "taken as, we allow for",
    r"\bdone value\b": "torque saved",
    r"\bbegun\b": "started",
    r"\bnot met\b": "not right",
    r"\bwindow\b": "range",
    r"(?:speeds|sprockets) behind": "rear sprockets",
    r"\bto (?:its|their) torque\b": "a torque tool for it",
    r"\{\} (?:in|of|out of) (?:10|100)\b": "odds_words, often_words or chance_words",
}
_FORMATTED = re.compile(r"\{(\w+):([^{}]*)\}")
_GAP = re.compile(r"\{[^{}]*\}")
_CHANCE = re.compile(r"chance|odds|risk|likel|prob|sure", re.IGNORECASE)


def sentences(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Line and text of each string of three words and more that is no documentation: f-strings with their gaps left out."""
    told = {id(node.value) for node in nodes_of(tree, ast.Expr)}
    inside = {id(part) for node in nodes_of(tree, ast.JoinedStr) for part in node.values}
    inside |= {id(node.args[0]) for node in nodes_of(tree, ast.Call) if dotted(node.func) == "worded"}
    for node in (*nodes_of(tree, ast.Constant), *nodes_of(tree, ast.Call), *nodes_of(tree, ast.JoinedStr)):
        if id(node) in told or id(node) in inside:
            continue
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = node.value
        elif isinstance(node, ast.Call) and dotted(node.func) == "worded":
            # A marked sentence has names in its gaps.
            text = _GAP.sub("{}", str(getattr(node.args[0], "value", "")))
        elif isinstance(node, ast.JoinedStr):
            text = "".join(
                part.value if isinstance(part, ast.Constant) and isinstance(part.value, str) else "{}"
                for part in node.values
            )
        else:
            continue
        if text.count(" ") >= 2:
            yield node.lineno, text


def chances_as_figures(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Places where a chance is said as a per cent, in a sentence or on its way into one."""
    for node in nodes_of(tree):
        if isinstance(node, ast.FormattedValue):
            asked = ast.unparse(node.value)
            spec = ast.unparse(node.format_spec) if node.format_spec is not None else ""
            if _CHANCE.search(asked) and "%" in spec:
                yield node.lineno, asked
        if isinstance(node, ast.Call) and dotted(node.func) == "worded":
            for gap, spec in _FORMATTED.findall(str(getattr(node.args[0], "value", ""))):
                asked = next((ast.unparse(one.value) for one in node.keywords if one.arg == gap), "")
                if "%" in spec and _CHANCE.search(f"{gap} {asked}"):
                    yield node.lineno, asked
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "percent":
            asked = ast.unparse(node)
            if _CHANCE.search(asked):
                yield node.lineno, asked


def reads_sentences(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Places where code looks for words in a sentence that was made for people."""
    spoken = {"sentence", "missing", "refused", "refusal", "words"}
    for node in nodes_of(tree):
        if isinstance(node, ast.Compare) and any(isinstance(op, ast.In | ast.NotIn) for op in node.ops):
            left, right = node.left, node.comparators[-1]
            if (
                isinstance(left, ast.Constant)
                and isinstance(left.value, str)
                and " " in left.value
                and isinstance(right, ast.Attribute)
                and right.attr in spoken
            ):
                yield node.lineno, left.value
        if (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Attribute)
            and node.func.attr in ("startswith", "endswith")
            and isinstance(node.func.value, ast.Attribute)
            and node.func.value.attr in spoken
            and node.args
            and isinstance(node.args[0], ast.Constant)
        ):
            yield node.lineno, str(node.args[0].value)


@pytest.mark.parametrize("room", SPEAK)
def test_one_thing_has_one_word(room: str) -> None:
    """No sentence says a double of a word that has been chosen."""
    broken = [
        f"{place(path, line)}: {found.group(0)}: say {use}"
        for path, tree in modules(SRC / room)
        for line, text in sentences(tree)
        for pattern, use in DOUBLES.items()
        if (found := re.search(pattern, text))
    ]
    assert broken == []


@pytest.mark.parametrize("room", SPEAK)
def test_a_chance_is_said_in_words(room: str) -> None:
    """No chance is put into a sentence as a per cent."""
    broken = [
        f"{place(path, line)}: {asked}"
        for path, tree in modules(SRC / room)
        for line, asked in chances_as_figures(tree)
    ]
    assert broken == []


@pytest.mark.parametrize("room", SPEAK)
def test_no_code_reads_a_sentence(room: str) -> None:
    """What a program goes by has a code: a sentence may be said otherwise tomorrow."""
    broken = [
        f"{place(path, line)}: {words}"
        for path, tree in modules(SRC / room)
        for line, words in reads_sentences(tree)
    ]
    assert broken == []


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ('f"past it with a chance of {chance:.0%}"', 1),
        ('worded("past it with a chance of {so:.0%}", so=chance)', 1),
        ('worded("{odds:.0%} likely", odds=here)', 1),
        ('worded("{share:.0%} worn", share=share)', 0),
        ('f"{percent(one.chance)} likely"', 1),
        ("chance = percent(best.chance)", 1),
        ('f"{percent(tool.deviation)} out"', 0),
        ('f"{chance_words(chance, what)}"', 0),
    ],
)
def test_the_question_of_chances_finds_what_is_planted(source: str, found: int) -> None:
    """It can fail."""
    assert len(list(chances_as_figures(ast.parse(source)))) == found


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ('"say so once more" in form.refusal.sentence', 1),
        ('item.missing.endswith("no second look yet.")', 1),
        ("isinstance(form.refusal, AsksSure)", 0),
        ('"front" in part.place', 0),
    ],
)
def test_the_question_of_sentences_finds_what_is_planted(source: str, found: int) -> None:
    """It can fail too."""
    assert len(list(reads_sentences(ast.parse(source)))) == found


def test_the_question_of_doubles_reads_sentences_alone() -> None:
    """Documentation and names are no sentences; an f-string is one."""
    tree = ast.parse('"""It stands open here."""\nx = f"{n} things stand open"\ny = "stand open"')
    assert [text for _, text in sentences(tree)] == ["{} things stand open"]
