"""Writes down every sentence for people, for a translator: python -m desk.words de.po

A file that is there keeps what is translated: new sentences come in empty, those that nobody says any more go. Without a file the
empty list (a gettext .pot) is printed. `docs/style-of-words.md` says how a translation is used.
"""

import argparse
import ast
import inspect
import re
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

from pinchbolt.reference.read import SAID
from pinchbolt.values.sheet_words import sheet_messages
from pinchbolt.values.template_words import messages
from pinchbolt.values.wording import read_translation

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src" / "pinchbolt"
_HEAD = """# Sentences of pinchbolt. Written by: python -m desk.words
msgid ""
msgstr ""
"MIME-Version: 1.0\\n"
"Content-Type: text/plain; charset=UTF-8\\n"
"Content-Transfer-Encoding: 8bit\\n"
"""


def every_message(source: Path = SOURCE) -> dict[str, list[str]]:
    """Return each English text with the places that say it, as src/file:line, in the order of the files."""
    found: dict[str, list[str]] = {}
    for path in sorted(source.rglob("*")):
        for line, text in _said_in(path):
            if text.strip():
                found.setdefault(text, []).append(f"{path.relative_to(source.parents[1]).as_posix()}:{line}")
    return found


def _said_in(path: Path) -> Iterator[tuple[int, str]]:
    if path.suffix == ".html":
        yield from messages(path.read_text(encoding="utf-8"))
    elif path.suffix == ".typ":
        yield from sheet_messages(path.read_text(encoding="utf-8"))
    elif path.suffix == ".toml" and path.parent.name == "tables":
        yield from _said_by_rows(path.read_text(encoding="utf-8"))
    elif path.suffix == ".py":
        yield from _said_by_code(ast.parse(path.read_text(encoding="utf-8")), path.parent.name == "cli")


def _said_by_code(tree: ast.Module, commands: bool) -> Iterator[tuple[int, str]]:
    """Texts of the calls, and what a command says of itself."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "worded":
            first = node.args[0]
            if isinstance(first, ast.Constant) and isinstance(first.value, str):
                yield node.lineno, first.value
        elif commands and isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            told = ast.get_docstring(node)
            if told:
                yield node.lineno, inspect.cleandoc(told)


def _said_by_rows(text: str) -> Iterator[tuple[int, str]]:
    at = 0
    for told in _of_rows(tomllib.loads(text)):
        found = text.find(told.split("\n")[0][:40], at)
        at = found if found >= 0 else at
        yield text.count("\n", 0, at) + 1, told


def _of_rows(value: object, said: bool = False) -> Iterator[str]:
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from _of_rows(inner, name in SAID)
    elif isinstance(value, list):
        for inner in value:
            yield from _of_rows(inner, said)
    elif said and isinstance(value, str):
        yield value


def drawn(kept: dict[str, str]) -> str:
    """Return the text of a .po file; *kept* is what is translated already, by its English text."""
    told = [_HEAD]
    for text, places in every_message().items():
        rooms = dict.fromkeys(place.split("/")[2] for place in places)
        lines = [f"#. {', '.join(rooms)}", *(f"#: {place}" for place in places[:6])]
        if re.search(r"\{\w", text):
            lines.append("#, python-brace-format")
        told.append("\n".join([*lines, f"msgid {_quoted(text)}", f"msgstr {_quoted(kept.get(text, ''))}"]) + "\n")
    return "\n".join(told)


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\t", "\\t")
    return f'"{escaped}"'


def main() -> None:
    """Write the file that was named, or print the empty list."""
    asked = argparse.ArgumentParser(prog="words", description=__doc__)
    asked.add_argument("file", type=Path, nargs="?")
    file = asked.parse_args().file
    if file is None:
        sys.stdout.write(drawn({}))
        return
    there = file.read_text(encoding="utf-8") if file.exists() else ""
    kept = {one.english: one.instead for one in read_translation(there)}
    file.write_text(drawn(kept), encoding="utf-8")
    left = sum(not kept.get(text) for text in every_message())
    sys.stdout.write(f"{file}: {len(every_message()):,} sentences, {left:,} still to translate\n")


if __name__ == "__main__":
    main()
