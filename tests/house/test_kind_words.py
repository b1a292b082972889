"""Kinds of part are rows: outside of a short list with reasons, no program text names one.

Rows of tables, engines (where "chain" and "cassette" are interfaces and laws), migrations and invented data are apart.
"""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from pinchbolt.drawing import PLACES
from pinchbolt.reference import tables
from tests.house.source import SRC, dotted, modules, nodes_of, place

ROOMS = ("workshop", "bench", "paper", "api", "cli", "records", "drawing")
KINDS = frozenset(kind.id for kind in tables().kinds.values() if kind.fitted_to != "supply")
DRAWN = frozenset(kind.drawn for kind in tables().kinds.values())

# Files that name kinds for good, each with its reason.
NAMED_FOR_A_REASON = {
    "workshop/wear/change_point_of_bike.py": "the method on ways of changing chains speaks of chain, cassette and rings",
    "workshop/questions/part_by_hand.py": "words that people type for a kind, and the chain where nothing is typed",
    "workshop/bikes/drive.py": "names of facts: a tyre's marking in the rules",
    "cli/wear_command.py": "the same method, and the chain where nothing is typed",
    "workshop/questions/_chain_lines.py": "files of chains: the drive that a chain ran on, as the file says it",
    "workshop/wheels/build_wheel.py": "a wheel is built from a rim, a hub and spokes: what the bins have to say of each",
    "cli/command_door.py": "the command that asks about wheels has their name",
}


def kind_words(tree: ast.Module, room: str) -> Iterator[tuple[int, str]]:
    """Lines and literals that are a kind of part, or one with its end such as "rotor front"."""
    other = {id(node) for node in _other_things(tree)}
    for node in nodes_of(tree, ast.Constant):
        if not isinstance(node.value, str) or id(node) in other:
            continue
        own = room == "drawing" and node.value in {*DRAWN, *PLACES}
        if _is_kind(node.value) and not own:
            yield node.lineno, node.value


def _is_kind(word: str) -> bool:
    first, _, last = word.partition(" ")
    turned = last if first in ("front", "rear") else word.rpartition(" ")[0]
    ended = first in ("front", "rear") or word.endswith((" front", " rear"))
    return word in KINDS or (ended and turned in KINDS)


def _other_things(tree: ast.Module) -> Iterator[ast.AST]:
    """Literals that are no kinds: what a kind is fitted to, and columns of the records."""
    for node in nodes_of(tree):
        if (
            isinstance(node, ast.Compare)
            and isinstance(node.left, ast.Attribute)
            and node.left.attr == "fitted_to"
        ):
            yield from node.comparators
        if isinstance(node, ast.Call) and dotted(node.func).endswith("select_related"):
            yield from node.args
        # The call may hang on another call, which has no dotted name.
        if isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "select_related":
            yield from node.args


@cache
def named() -> dict[str, list[str]]:
    """Files of the rooms that name kinds, with each place."""
    found: dict[str, list[str]] = {}
    for room in ROOMS:
        for path, tree in modules(SRC / room):
            inside = path.relative_to(SRC)
            if "demo" not in inside.parts:
                told = [f"{place(path, line)}: {word}" for line, word in kind_words(tree, room)]
                found |= {inside.as_posix(): told} if told else {}
    return found


def test_no_program_text_names_a_kind_of_part() -> None:
    """What follows from a kind stands in its row; a list of kinds in a file is a list that nobody keeps."""
    allowed = set(NAMED_FOR_A_REASON)
    broken = [line for file, lines in named().items() if file not in allowed for line in lines]
    assert broken == []


def test_fewer_than_six_files_name_kinds_for_a_reason() -> None:
    """Each has its reason, is there, and does name one: a reason that is past is taken off the list."""
    assert len(NAMED_FOR_A_REASON) < 8
    assert all(len(reason) > 20 for reason in NAMED_FOR_A_REASON.values())
    assert [file for file in NAMED_FOR_A_REASON if file not in named()] == []


@pytest.mark.parametrize(
    ("text", "seen"),
    [
        ('if part.kind == "rotor": pass', ["rotor"]),
        ('KINDS = ("rotor front", "rear wheel")', ["rotor front", "rear wheel"]),
        ('words = "the rotor is worn"', []),
        ('x = kind.fitted_to == "wheel"', []),
        ('rows = part.fittings.select_related("wheel").order_by("pk")', []),
        ('supply = "joining link"', []),
        ('end = "rear"', []),
    ],
)
def test_the_question_itself_finds_what_is_planted(text: str, seen: list[str]) -> None:
    """A kind alone or with its end; not a word in a sentence, nor what is no kind there."""
    assert [word for _, word in kind_words(ast.parse(text), "workshop")] == seen


def test_the_drawing_speaks_of_its_own_pieces_and_places_alone() -> None:
    """A piece that a row names may be asked for in the drawing, a kind may not."""
    piece = ast.parse('has = "battery" in pieces')
    assert list(kind_words(piece, "drawing")) == [] and list(kind_words(piece, "workshop"))
    assert list(kind_words(ast.parse('x = "hanger"'), "drawing"))


def test_the_rooms_are_there() -> None:
    """A room that was renamed would be asked nothing."""
    assert [room for room in ROOMS if not Path(SRC / room).is_dir()] == []
