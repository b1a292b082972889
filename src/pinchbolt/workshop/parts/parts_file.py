"""A file of parts as its writer keeps it: columns laid on our names, each line read or refused with its reason."""

import csv
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from typing import Protocol

from pinchbolt.errors import InputRefused
from pinchbolt.workshop.bikes.typed_facts import Value, of_a_part, parse_part_fact
from pinchbolt.workshop.common.checks import short

# What a part has besides facts; those with a star are needed.
COLUMNS = {
    "number": "number of the part, the workshop's or the supplier's *",
    "kind": "kind of part, such as cassette *",
    "words": "what it is, in words *",
    "price": "price of one, with tax *",
    "place": "front or rear, where it matters",
    "minutes": "minutes to fit it",
    "bin": "bin in which it lies",
    "count": "how many lie there; 0 is to order",
    "meets": "words of what a rule asks for, such as 1.85 mm spacer",
}
NEEDED = tuple(name for name, words in COLUMNS.items() if words.endswith("*"))
MOST_LINES, MOST_LETTERS = 20_000, 5_000_000
_PLACES = ("", "front", "rear")


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
    meets: str = ""
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


def header_of(text: str) -> tuple[str, ...]:
    """Return the columns of a file.

    Raises:
        InputRefused: The file is empty, too large, or two of its columns have one name.
    """
    if len(text) > MOST_LETTERS:
        raise InputRefused(
            f"The file has {len(text):,} letters: {MOST_LETTERS:,} are allowed. Send it in pieces."
        )
    first = next((line for line in text.splitlines() if line.strip()), "")
    header = tuple(name.strip() for name in next(csv.reader([first], delimiter=_apart(text)), []))
    if not any(header):
        raise InputRefused(
            "The file is empty: a first line with the names of the columns is needed. Send another file."
        )
    twice = {name for name in header if name and header.count(name) > 1}
    if twice:
        sentence = (
            f'The column "{min(twice)[:40]}" is there twice: each once. Rename one and send the file again.'
        )
        raise InputRefused(sentence, {"text": sentence})
    return header


def parts_of(text: str, columns: Mapping[str, str] | None = None) -> PartsFileRead:
    """Return every part of a file. *columns* says ours = theirs; a column of our own name needs no saying.

    Raises:
        InputRefused: The file cannot be read, or a needed column is nowhere.
    """
    text = text.removeprefix("\ufeff").replace("\x00", "")
    header = header_of(text)
    used = _laid(header, columns or {})
    rows = csv.reader(text.splitlines(keepends=True), delimiter=_apart(text))
    parts: list[PartRead] = []
    refused: list[LineRefused] = []
    seen: dict[str, int] = {}
    for line, cells in _lines(rows):
        told = {
            ours: cells[header.index(theirs)].strip() if header.index(theirs) < len(cells) else ""
            for ours, theirs in used.items()
        }
        number = told["number"][:60]
        try:
            if len(cells) > len(header):
                sentence = f"{len(cells)} cells under {len(header)} columns: put cells that hold the divider in quotes."
                raise InputRefused(sentence, {"line": sentence})
            part = _part(line, told)
            if part.number in seen:
                sentence = (
                    f'number "{part.number}" stands in line {seen[part.number]} already: each part once.'
                )
                raise InputRefused(sentence, {"number": sentence})
        except InputRefused as no:
            refused.append(LineRefused(line, number, no.errors or {"line": no.sentence}))
            continue
        seen[part.number] = line
        parts.append(part)
    unused = tuple(name for name in header if name and name not in used.values())
    return PartsFileRead(tuple(parts), tuple(refused), used, unused)


class _Rows(Protocol):
    """What is asked of a reader of the csv module."""

    line_num: int

    def __next__(self) -> list[str]:
        """The next line."""


def _lines(rows: _Rows) -> Iterator[tuple[int, list[str]]]:
    """Every line below the first that holds something, with its number in the file."""
    begun = False
    while True:
        try:
            cells = next(rows)
        except StopIteration:
            return
        except csv.Error as wrong:
            raise InputRefused(
                f"The file cannot be read: {wrong}. Save it as CSV in UTF-8 and send it again."
            ) from None
        if not any(cell.strip() for cell in cells):
            continue
        if begun:
            yield rows.line_num, cells
        begun = True
        if rows.line_num > MOST_LINES:
            raise InputRefused(f"The file has more than {MOST_LINES:,} lines. Send it in pieces.")


def _apart(text: str) -> str:
    """The divider: whichever of comma, semicolon and tab stands most often in the first line."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    return max(",;\t", key=first.count)


def _laid(header: Sequence[str], columns: Mapping[str, str]) -> dict[str, str]:
    """Ours = theirs for every column that is used."""
    for ours, theirs in columns.items():
        if ours not in COLUMNS and not of_a_part(ours):
            sentence = f'"{ours[:40]}" is no column of ours: {", ".join(COLUMNS)}, or a fact such as cassette. Name one.'
            raise InputRefused(sentence, {"columns": sentence})
        if theirs and theirs not in header:
            sentence = f'The file has no column "{theirs[:40]}": {", ".join(name for name in header if name)[:300]}. Name one.'
            raise InputRefused(sentence, {"columns": sentence})
    used = {name: name for name in header if name in COLUMNS or of_a_part(name)}
    used |= {ours: theirs for ours, theirs in columns.items() if theirs}
    for ours in [ours for ours, theirs in columns.items() if not theirs]:
        used.pop(ours, None)
    missing = [name for name in NEEDED if name not in used]
    if missing:
        sentence = (
            f"No column gives {' and '.join(missing)}: each part has a {', '.join(NEEDED)}. "
            f"Say which of these it is: {', '.join(name for name in header if name)[:300]}."
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
    if wrong:
        raise InputRefused(next(iter(wrong.values())), wrong)
    return PartRead(line=line, facts=facts, **taken)  # type: ignore[arg-type]


def _cell(name: str, cell: str) -> object:
    if name == "price":
        return _money(cell)
    if name in ("minutes", "count"):
        if not cell:
            return None if name == "minutes" else 0
        most = 10_000 if name == "minutes" else 1_000_000
        if not cell.isdecimal() or int(cell) > most:
            sentence = f'{name} is "{cell[:20]}": a whole number, 0 to {most:,}. Correct the line.'
            raise InputRefused(sentence, {name: sentence})
        return int(cell)
    if name == "place":
        if cell.lower() not in _PLACES:
            sentence = f'place is "{cell[:20]}": front, rear or nothing. Correct the line.'
            raise InputRefused(sentence, {"place": sentence})
        return cell.lower()
    most = {"words": 200, "meets": 120, "bin": 40}.get(name, 60)
    return short(cell, name, name, most, needed=name in NEEDED)


def _money(cell: str) -> Decimal:
    """An amount as it is typed: 12.50, 12,50, 1,234.50, with or without its sign."""
    plain = "".join(cell.split()).strip("£€$")
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
        sentence = f'price is "{cell[:20]}": an amount such as 45 or 45.50, not below 0. Correct the line.'
        raise InputRefused(sentence, {"price": sentence})
    return amount.quantize(Decimal("0.01"))
