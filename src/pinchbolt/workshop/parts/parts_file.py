"""A file of parts as its writer keeps it: columns laid on our names, each line read or refused with its reason."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation

from pinchbolt.engines.stock import gtin_of
from pinchbolt.errors import InputRefused
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.typed_facts import Value, of_a_part, parse_part_fact
from pinchbolt.workshop.common.checks import short
from pinchbolt.workshop.parts._parts_records import Layout, Record, layout_of, records_of

# What a part has besides facts.
COLUMNS = {
    "number": worded("number of the part, the workshop's or the supplier's"),
    "kind": worded("kind of part, such as cassette"),
    "words": worded("what it is, in words"),
    "price": worded("price of one, with tax"),
    "place": worded("front or rear, where it matters"),
    "minutes": worded("minutes to fit it"),
    "bin": worded("bin in which it lies"),
    "count": worded("how many lie there when the part is new here; 0 is to order"),
    "counted_today": worded("how many were counted today: the book is put right by it"),
    "meets": worded("words of what a rule asks for, such as 1.85 mm spacer"),
    "gtin": worded("number under its bar code: 8, 12, 13 or 14 figures"),
    "supplier": worded("who sells it to us"),
    "supplier_number": worded("their number of it"),
    "cost": worded("what one costs us there, without tax"),
    "pack": worded("how many come in a pack there"),
}
NEEDED = ("number", "kind", "words", "price")
MOST_PARTS, MOST_LETTERS = 50_000, 20_000_000
# A price may name its currency before or behind; figures are figures, and no power of ten.
_CURRENCY = re.compile(r"^(?:[A-Za-z]{3}|[£€$¥])|(?:[A-Za-z]{3}|[£€$¥])$")
_AMOUNT = re.compile(r"[\d.,]+(?:[.,]?-{1,2})?")
_AT_LEAST = re.compile(r"[>≥]\s*(\d+)|(\d+)\s*\+")
_PLACES = ("", "front", "rear")
# Whole numbers: what an empty cell means, and the most.
_WHOLE: Mapping[str, tuple[int | None, int]] = {
    "minutes": (None, 10_000), "count": (0, 1_000_000), "counted_today": (None, 1_000_000), "pack": (1, 1_000),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class PartRead:
    """One part as a line gives it."""

    line: int
    number: str
    kind: str
    words: str
    price: Decimal
    place: str = ""
    minutes: int | None = None
    bin: str = ""
    count: int = 0
    counted_today: int | None = None
    meets: str = ""
    gtin: str = ""
    supplier: str = ""
    supplier_number: str = ""
    cost: Decimal | None = None
    pack: int = 1
    facts: Mapping[str, Value] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class LineRefused:
    """A line that cannot be taken: which, and each sentence by the name of its column."""

    line: int
    number: str
    why: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class PartsFileRead:
    """The lines of a file, read and refused; which of its columns are used for what, and which are not."""

    parts: tuple[PartRead, ...]
    refused: tuple[LineRefused, ...]
    used: Mapping[str, str]
    unused: tuple[str, ...]


def text_of_bytes(told: bytes) -> str:
    """Return a file's text: UTF-8, or the Western alphabet in which spreadsheets of old save, where that is what it is.

    Raises:
        InputRefused: It is no text at all.
    """
    if b"\0" in told[:4096] or told[:2] in (b"\xff\xfe", b"\xfe\xff"):
        sentence = worded(
            "The file is not in UTF-8, nor in the Western letters of older spreadsheets: save it "
            "as CSV in UTF-8 and send it again."
        )
        raise InputRefused(sentence, {"text": sentence})
    try:
        return told.decode("utf-8-sig")
    except UnicodeDecodeError:
        return told.decode("cp1252", "replace")


def header_of(text: str) -> tuple[str, ...]:
    """Return the columns of a file.

    Raises:
        InputRefused: The file is empty, too large, or two of its columns have one name.
    """
    return _layout(text, _is_ours).header


def _layout(text: str, is_ours: Callable[[str], bool]) -> Layout:
    if len(text) > MOST_LETTERS:
        raise InputRefused(
            worded(
                "The file has {text} letters: {most_letters} are allowed. Send it in pieces.",
                text=figure_text(len(text)),
                most_letters=figure_text(MOST_LETTERS),
            )
        )
    return layout_of(text, is_ours)


def _is_ours(name: str) -> bool:
    return name in COLUMNS or bool(name and of_a_part(name))


def parts_of(text: str, columns: Mapping[str, str] | None = None) -> PartsFileRead:
    """Return every part of a file. *columns* says ours = theirs; a column of our own name needs no saying.

    Raises:
        InputRefused: The file cannot be read, or a needed column is nowhere.
    """
    theirs = frozenset((columns or {}).values())
    layout = _layout(text, lambda name: name in theirs or _is_ours(name))
    used = _laid(layout.header, columns or {})
    places = {ours: layout.header.index(name) for ours, name in used.items()}
    parts: list[PartRead] = []
    refused: list[LineRefused] = []
    seen: dict[str, int] = {}
    for record in records_of(layout):
        told = {
            ours: record.cells[at].strip() if at < len(record.cells) else "" for ours, at in places.items()
        }
        number = " ".join(told["number"].split())[:60]
        try:
            part = _believed(record, told, layout)
            if part.number in seen:
                sentence = worded(
                    'number "{number}" stands in line {seen} already: each part once.',
                    number=part.number,
                    seen=seen[part.number],
                )
                raise InputRefused(sentence, {"number": sentence})
            if len(parts) >= MOST_PARTS:
                raise InputRefused(
                    worded(
                        "The file has more than {most_parts} parts. Send it in pieces.",
                        most_parts=figure_text(MOST_PARTS),
                    )
                )
        except InputRefused as no:
            if len(parts) >= MOST_PARTS:
                raise
            refused.append(LineRefused(record.line, number, no.errors or {"line": no.sentence}))
            continue
        seen[part.number] = record.line
        parts.append(part)
    unused = tuple(name for name in layout.header if name and name not in used.values())
    return PartsFileRead(tuple(parts), tuple(refused), used, unused)


def _believed(record: Record, told: Mapping[str, str], layout: Layout) -> PartRead:
    """The part of a record, or the refusal that says why it is not taken."""
    wrong = record.wrong
    if not wrong and len(record.cells) > len(layout.header):
        wrong = worded(
            "{cells} cells under {header} columns: put cells that hold the divider in quotes",
            cells=len(record.cells),
            header=len(layout.header),
        )
    if wrong:
        raise InputRefused(f"{wrong}.", {"line": f"{wrong}."})
    return _part(record.line, told)


def _laid(header: Sequence[str], columns: Mapping[str, str]) -> dict[str, str]:
    """Ours = theirs for every column that is used."""
    for ours, theirs in columns.items():
        if ours not in COLUMNS and not of_a_part(ours):
            sentence = worded(
                '"{ours}" is no column of ours: {columns}, or a fact such as cassette. Name one.',
                ours=ours[:40],
                columns=", ".join(COLUMNS),
            )
            raise InputRefused(sentence, {"columns": sentence})
        if theirs and theirs not in header:
            sentence = worded(
                'The file has no column "{theirs}": {header}. Name one.',
                theirs=theirs[:40],
                header=", ".join(name for name in header if name)[:300],
            )
            raise InputRefused(sentence, {"columns": sentence})
    used = {name: name for name in header if name in COLUMNS or of_a_part(name)}
    used |= {ours: theirs for ours, theirs in columns.items() if theirs}
    for ours in [ours for ours, theirs in columns.items() if not theirs]:
        used.pop(ours, None)
    missing = [name for name in NEEDED if name not in used]
    if missing:
        sentence = worded(
            "No column gives {missing}: each part has a {needed}. Say which of these it is: {header}.",
            missing=worded(" and ").join(missing),
            needed=", ".join(NEEDED),
            header=", ".join(name for name in header if name)[:300],
        )
        raise InputRefused(sentence, {"columns": sentence})
    return used


def _part(line: int, told: Mapping[str, str]) -> PartRead:
    """One part; every fault of its line in one refusal."""
    wrong: dict[str, str] = {}
    taken: dict[str, object] = {}
    facts: dict[str, Value] = {}
    for name, cell in told.items():
        try:
            if name in COLUMNS:
                taken[name] = _cell(name, cell)
            elif (value := parse_part_fact(name, cell)) is not None:
                facts[name] = value
        except InputRefused as no:
            wrong |= no.errors
    if taken.get("cost") is not None and not taken.get("supplier"):
        wrong["supplier"] = worded(
            "A cost without a supplier says nothing: name who sells it. Correct the line."
        )
    if wrong:
        raise InputRefused(next(iter(wrong.values())), wrong)
    return PartRead(line=line, facts=facts, **taken)  # type: ignore[arg-type]


def _cell(name: str, cell: str) -> object:
    if name in ("price", "cost"):
        return None if name == "cost" and not cell else _money(cell, name)
    if name == "gtin":
        return _bar_code(cell)
    if name in _WHOLE:
        empty, most = _WHOLE[name]
        if not cell:
            return empty
        # Of a supplier's ">10" and "10+" ten are certain.
        if name == "count" and (some := _AT_LEAST.fullmatch(cell)):
            cell = some[1] or some[2]
        if not cell.isdecimal() or int(cell) > most:
            sentence = worded(
                '{name} is "{cell}": a whole number, 0 to {most}. Correct the line.',
                name=name,
                cell=cell[:20],
                most=figure_text(most),
            )
            raise InputRefused(sentence, {name: sentence})
        return max(int(cell), 1) if name == "pack" else int(cell)
    if name == "place":
        if cell.lower() not in _PLACES:
            sentence = worded('place is "{cell}": front, rear or nothing. Correct the line.', cell=cell[:20])
            raise InputRefused(sentence, {"place": sentence})
        return cell.lower()
    most = {"words": 200, "meets": 120, "bin": 40, "supplier": 120}.get(name, 60)
    return short(cell, name, name, most, needed=name in NEEDED)


def _bar_code(cell: str) -> str:
    """A number that holds, in 14 figures. A spreadsheet may have taken zeros off its front: they are put back."""
    if not cell:
        return ""
    try:
        return gtin_of(cell.zfill(12) if cell.isdecimal() and 8 < len(cell) < 12 else cell)
    except InputRefused:
        sentence = worded(
            'gtin is "{cell}": 8, 12, 13 or 14 figures whose last one fits. Correct the line, or '
            "leave it empty.",
            cell=cell[:20],
        )
        raise InputRefused(sentence, {"gtin": sentence}) from None


def _money(cell: str, name: str) -> Decimal:
    """An amount as it is typed: 12.50, 12,50, 1,234.50, EUR 12,50, with or without its sign."""
    plain = _CURRENCY.sub("", "".join(cell.split()).replace("\u2019", "").replace("'", ""))
    if not _AMOUNT.fullmatch(plain):
        plain = worded("no amount")
    plain = plain.rstrip("-").rstrip(".,") if plain.endswith("-") else plain
    whole, comma, rest = plain.rpartition(",")
    plain = (
        f"{whole.replace('.', '')}.{rest}"
        if comma and len(rest) <= 2 and "." not in rest
        else plain.replace(",", "")
    )
    try:
        amount = Decimal(plain)
    except InvalidOperation:
        amount = Decimal("NaN")
    if not amount.is_finite() or not 0 <= amount < 1_000_000 or amount != round(amount, 2):
        sentence = worded(
            '{name} is "{cell}": an amount such as 45 or 45.50, not below 0. Correct the line.',
            name=name,
            cell=cell[:20],
        )
        raise InputRefused(sentence, {name: sentence})
    return amount.quantize(Decimal("0.01"))
