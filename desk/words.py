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
from functools import cache
from pathlib import Path

from pinchbolt.reference.read import SAID
from pinchbolt.values.sheet_words import sheet_messages
from pinchbolt.values.template_words import messages, script_messages
from pinchbolt.values.wording import read_translation

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src" / "pinchbolt"
# A word or a few; what stands together by a point or a line below is a name of the program's own.
_CODE = re.compile(r"[A-Za-z][a-z'’-]*(?:,? [a-z0-9'’-]+){0,6}")
_KEEP_CODES = frozenset(("bench", "engines", "records", "values", "workshop"))
# Steps of the past, and invented data.
_NO_CODES = frozenset(("migrations", "demo"))
_HEAD = """# Sentences of pinchbolt. Written by: python -m desk.words
msgid ""
msgstr ""
"MIME-Version: 1.0\\n"
"Content-Type: text/plain; charset=UTF-8\\n"
"Content-Transfer-Encoding: 8bit\\n"
"""


@cache
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
    elif path.suffix == ".js":
        yield from script_messages(path.read_text(encoding="utf-8"))
    elif path.suffix == ".typ":
        yield from sheet_messages(path.read_text(encoding="utf-8"))
    elif path.suffix == ".toml" and path.parent.name == "tables":
        yield from _said_by_rows(path.read_text(encoding="utf-8"))
    elif path.suffix == ".py":
        text, commands = path.read_text(encoding="utf-8"), path.parent.name == "cli"
        if commands or "worded" in text:
            yield from _said_by_code(ast.parse(text), commands)


def _said_by_code(tree: ast.Module, commands: bool) -> Iterator[tuple[int, str]]:
    """Texts of the calls, and what a command says of itself."""
    yield from _texts_of_calls(tree, "worded")
    for node in ast.walk(tree) if commands else ():
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            told = ast.get_docstring(node)
            if told:
                yield node.lineno, inspect.cleandoc(told)


def _texts_of_calls(tree: ast.Module, of: str) -> Iterator[tuple[int, str]]:
    """Line and text of each call of this name with a text."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == of:
            first = node.args[0]
            if isinstance(first, ast.Constant) and isinstance(first.value, str):
                yield node.lineno, first.value


@cache
def every_code(source: Path = SOURCE) -> dict[str, list[str]]:
    """Return each word that is kept in the records and shown as it is, with the places that name it."""
    found: dict[str, list[str]] = {}
    for path in sorted(source.rglob("*")):
        inside = path.relative_to(source).parts
        if path.suffix == ".py" and inside[0] in _KEEP_CODES and not _NO_CODES & set(inside):
            sports, text = inside[:2] == ("engines", "rides"), path.read_text(encoding="utf-8")
            tree = ast.parse(text)
            for line, code in _texts_of_calls(tree, "as_kept") if "as_kept" in text else ():
                found.setdefault(code, []).append(f"{path.relative_to(source.parents[1]).as_posix()}:{line}")
            told = _codes_of_code(tree, not sports, "Enum" in text or "Choices" in text)
        elif path.suffix == ".toml" and path.parent.name == "tables":
            told = ((1, code) for code in _codes_of_rows(tomllib.loads(path.read_text(encoding="utf-8"))))
        else:
            continue
        for line, code in told:
            if len(code) > 1 and _CODE.fullmatch(code):
                found.setdefault(code, []).append(f"{path.relative_to(source.parents[1]).as_posix()}:{line}")
    return found


def _codes_of_code(tree: ast.Module, constants: bool, enumerations: bool) -> Iterator[tuple[int, str]]:
    """Members of enumerations, and words that a constant lists: what may be chosen, and where it leads.

    Constants of ride files name every sport that a device may have, which nobody is shown.
    """
    for node in ast.walk(tree) if enumerations else ():
        if isinstance(node, ast.ClassDef) and any(
            ast.unparse(base).endswith(("Enum", "Choices")) for base in node.bases
        ):
            yield from _words_in(node)
    for node in tree.body if constants else ():
        value = node.value if isinstance(node, ast.Assign | ast.AnnAssign) else None
        if isinstance(value, ast.Tuple | ast.List) and all(
            isinstance(one, ast.Constant) for one in value.elts
        ):
            yield from _words_in(value)
        elif isinstance(value, ast.Subscript) and ast.unparse(value.value) == "Literal":
            yield from _words_in(value.slice)
        elif isinstance(value, ast.Dict):
            # What stands for a code is said of it: words of a page, or codes again.
            yield from (
                told for one in value.values for told in _words_in(one) if isinstance(one, ast.Constant)
            )


def _words_in(node: ast.AST) -> Iterator[tuple[int, str]]:
    for one in ast.walk(node):
        if (
            isinstance(one, ast.Call)
            and isinstance(one.func, ast.Name)
            and one.func.id in ("worded", "as_kept")
        ):
            continue
        if isinstance(one, ast.Constant) and isinstance(one.value, str):
            yield one.lineno, one.value


def _codes_of_rows(table: dict[str, object]) -> Iterator[str]:
    """Names of kinds and states that have no other name, and the answers of a fact."""
    for name, rows in table.items():
        for row in rows if isinstance(rows, list) else ():
            if isinstance(row, dict) and name in ("kind", "feature", "use", "bike_kind", "fact"):
                yield str(row["id"]) if name != "fact" else ""
                yield from (one for one in row.get("one_of", ()) if isinstance(one, str))


def _said_by_rows(text: str) -> Iterator[tuple[int, str]]:
    at = 0
    for told in _of_rows(tomllib.loads(text)):
        found = text.find(told.split("\n")[0][:40], at)
        at = found if found >= 0 else at
        yield text.count("\n", 0, at) + 1, told


def _of_rows(value: object, said: bool = False) -> Iterator[str]:
    if isinstance(value, dict):
        for name, inner in value.items():
            if name == "complaint":
                yield from (one for row in inner for one in row["said"])
            yield from _of_rows(inner, name in SAID)
    elif isinstance(value, list):
        for inner in value:
            yield from _of_rows(inner, said)
    elif said and isinstance(value, str):
        yield value


def drawn(kept: dict[str, str], kept_codes: dict[str, str] | None = None) -> str:
    """Return the text of a .po file; *kept* and *kept_codes* are what is translated already, by the English text."""
    told = [_entry(text, places, kept.get(text, "")) for text, places in every_message().items()]
    codes = every_code().items()
    told += [
        _entry(code, places, (kept_codes or {}).get(code, ""), 'msgctxt "code"') for code, places in codes
    ]
    return "\n".join([_HEAD, *told])


def _entry(text: str, places: list[str], instead: str, context: str = "") -> str:
    rooms = dict.fromkeys(place.split("/")[2] for place in places)
    lines = [f"#. {', '.join(rooms)}", *(f"#: {place}" for place in places[:6])]
    if re.search(r"\{\w", text):
        lines.append("#, python-brace-format")
    lines += [context, f"msgid {_quoted(text)}", f"msgstr {_quoted(instead)}"]
    return "\n".join(line for line in lines if line) + "\n"


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
    there = list(read_translation(file.read_text(encoding="utf-8") if file.exists() else ""))
    kept, codes = (
        {one.english: one.instead for one in there if one.is_code is code} for code in (False, True)
    )
    file.write_text(drawn(kept, codes), encoding="utf-8")
    left = sum(not kept.get(text) for text in every_message()) + sum(
        not codes.get(code) for code in every_code()
    )
    sys.stdout.write(
        f"{file}: {len(every_message()) + len(every_code()):,} texts, {left:,} still to translate\n"
    )


if __name__ == "__main__":
    main()
