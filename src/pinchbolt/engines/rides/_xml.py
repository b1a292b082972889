"""XML read element by element, whatever its prefixes; entities and document types are refused, a cut is said."""

import re
from codecs import getincrementaldecoder
from collections.abc import Callable
from datetime import datetime
from math import isfinite
from xml.parsers import expat

from pinchbolt.engines.rides._points import seconds_of
from pinchbolt.errors import InputRefused
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

Start = Callable[[str, dict[str, str], str], None]
End = Callable[[str, str, str], None]
_DEEPEST = 200
_HEAD = 200
_STEP = 1 << 20
# A lone comma with three digits after it, and one to three before it that begin with no 0: a decimal comma, or thousands.
_IN_DOUBT = re.compile(r"\s*[+-]?[1-9]\d{0,2},\d{3}\s*")
_ENCODING = re.compile(rb"<\?xml[^>]*encoding=[\"']([\w.-]+)")


def walk_xml(name: str, data: bytes, start: Start, end: End) -> str:
    """Call *start* (name, attributes, parent) and *end* (name, text, parent) for each element.

    Returns:
        Where and how the file broke off, or an empty word. [-]

    Raises:
        InputRefused: The file brings a document type or entities along.
    """
    latin = _is_latin(data)
    parser = expat.ParserCreate("iso-8859-1") if latin else expat.ParserCreate()
    parser.buffer_text = True
    path = [""]
    text: list[str] = []

    def opened(tag: str, attributes: dict[str, str]) -> None:
        local = tag.rpartition(":")[2]
        if len(path) > _DEEPEST:
            raise _TooDeep
        start(local, attributes, path[-1])
        path.append(local)
        text.clear()

    def closed(tag: str) -> None:
        local = path.pop()
        end(local, "".join(text).strip(), path[-1])
        text.clear()

    def refuse(*_: object) -> None:
        sentence = worded(
            "{name} brings a document type along: plain ride files have none, so nothing of it "
            "was read. Export it again.",
            name=name,
        )
        raise InputRefused(sentence)

    parser.StartElementHandler = opened
    parser.EndElementHandler = closed
    parser.CharacterDataHandler = text.append
    parser.StartDoctypeDeclHandler = refuse
    parser.EntityDeclHandler = refuse
    try:
        # Some exporters write blanks before the declaration, which XML does not allow.
        parser.Parse(data.lstrip(b" \t\r\n"), True)
    except (expat.ExpatError, _TooDeep, ValueError, LookupError):
        return worded(
            "breaks off at line {currentlinenumber}", currentlinenumber=figure_text(parser.CurrentLineNumber)
        )
    return ""


def _is_latin(data: bytes) -> bool:
    """Whether letters are there that no UTF-8 is, though the file declares nothing else: an older exporter's habit."""
    head = data[:_HEAD]
    declared = _ENCODING.search(head)
    if b"\0" in head[:64] or (declared and declared.group(1).lower() not in (b"utf-8", b"utf8")):
        return False
    decoder = getincrementaldecoder("utf-8")()
    try:
        for at in range(0, len(data), _STEP):
            decoder.decode(data[at : at + _STEP])
    except UnicodeDecodeError:
        return True
    return False


class _TooDeep(Exception):
    """Elements within elements without end."""


def has_zone(text: str) -> bool:
    """Whether a time says its zone: Z, or hours from Greenwich behind its clock."""
    return text[-1:] in ("Z", "z") or "+" in text[10:] or "-" in text[10:]


def number(text: str) -> float:
    """A number as a file gives it, with a point or the comma of an exporter's own language; NaN where it is none.

    12,345 may be twelve and a bit or twelve thousand: which of them is not said, so it is none. 0,345 and 1234,567 are clear.
    """
    return float("nan") if _IN_DOUBT.fullmatch(text) else degrees(text)


def degrees(text: str) -> float:
    """The same where it cannot be thousands, such as a latitude."""
    try:
        value = float(text.replace(",", ".") if text.count(",") == 1 and "." not in text else text)
    except ValueError:
        return float("nan")
    return value if isfinite(value) and "_" not in text else float("nan")


def seconds(text: str) -> float:
    """A time as a file gives it, in seconds since 1970, NaN where it is none."""
    # Almost all times of ride files look like 2026-05-01T08:00:00Z or with a fraction.
    try:
        return seconds_of(datetime.fromisoformat(text))
    except (ValueError, OverflowError):
        return float("nan")
