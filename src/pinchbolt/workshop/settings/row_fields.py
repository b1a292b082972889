"""Which rows of the tables can be changed on a screen, by which fields, and what a field may hold."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import Enum
from functools import lru_cache
from typing import Literal

from pinchbolt import reference
from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.reference import Tables
from pinchbolt.reference.rows.base import Row
from pinchbolt.reference.rows.condition import Condition
from pinchbolt.values import Verdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.table_words import code_in_words

Sort = Literal["figure", "whole", "money", "minutes", "words", "lines", "yes", "pick"]


@dataclass(frozen=True, slots=True)
class RowField:
    """A field of a row: its key in the file, what people call it, and what it holds. `softer`: which way is less careful, "any" either way."""

    name: str
    words: str
    sort: Sort = "figure"
    softer: Literal["", "up", "down", "any"] = ""
    options: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RowTable:
    """A table whose rows can be changed: where `Tables` keeps it, what it is called, its fields and the fields of its name."""

    name: str
    attribute: str
    words: str
    fields: tuple[RowField, ...]
    called: tuple[str, ...]
    unit: str = ""


_PAIR = 2
_VERDICTS = tuple(verdict.value for verdict in Verdict)
_LIMIT = (
    RowField("warn", worded("watch from")),
    RowField("limit", "limit"),
    RowField("danger", worded("not ridden from")),
    RowField("warn_low", worded("watch below")),
    RowField("warn_high", worded("watch above")),
    RowField("limit_low", worded("limit below")),
    RowField("limit_high", worded("limit above")),
    RowField("danger_low", worded("not ridden below")),
    RowField("danger_high", worded("not ridden above")),
    RowField("at_limit", worded("verdict at the limit"), "pick", "down", _VERDICTS),
    RowField("how", worded("how it is read"), "words"),
)
TABLES: Mapping[str, RowTable] = {
    one.name: one
    for one in (
        RowTable("limit", "limits", worded("limits: when a part must go"), _LIMIT, ("part", "quantity", "end")),
        RowTable("joint", "joints", worded("joints: what each takes"), (
            RowField("low", "least", softer="down"), RowField("high", "greatest", softer="up"), RowField("typical", "usual"),
            RowField("recheck", worded("tried again after, months"), "whole", "up"), RowField("note", "note", "words"),
        ), ("name", "end"), "N·m"),
        RowTable("item", "signoff", worded("safety list"), (
            RowField("words", "words", "words"), RowField("proof", worded("what proves it"), "words"),
            RowField("second", worded("second look"), "yes", "down"),
        ), ("words",)),
        RowTable("instrument", "instruments", worded("gauges: their usual error"), (
            RowField("bias", worded("reads too much by"), softer="any"), RowField("sd", "spread", softer="down"),
            RowField("check_every_months", worded("checked every, months"), "whole", "up"),
        ), ("name",)),
        RowTable("operation", "operations", "operations", (
            RowField("minutes", worded("minutes, low, usual, high"), "minutes"),
            RowField("fixed_price", worded("fixed price of the labour"), "money"),
            RowField("offered", worded("we offer this"), "yes"), RowField("nights", worded("nights until it can be checked"), "whole", "down"),
            RowField("name", worded("name on papers"), "words"),
            RowField("steps", worded("steps, one a line"), "lines"),
            RowField("tax_class", worded("tax class"), "pick", options=("standard", "reduced", "zero")),
        ), ("name",)),
        RowTable("price", "prices", worded("shelf prices"), (
            RowField("price", worded("price of one"), "money"), RowField("name", worded("name on papers"), "words"),
            RowField("tax_class", worded("tax class"), "pick", options=("standard", "reduced", "zero")),
        ), ("name",)),
    )
}  # fmt: skip


def row_table(name: str) -> RowTable:
    """Return a table whose rows can be changed on a screen.

    Raises:
        NotFound: No such table.
    """
    found = TABLES.get(name)
    if found is None:
        raise NotFound(
            worded(
                'No rows of "{name}" are changed here: {tables}. Choose one.',
                name=name[:20],
                tables=", ".join(TABLES),
            )
        )
    return found


def row_in(tables: Tables, table: str, id: str) -> Row | None:
    """Return a row of a version of the tables, None where it has none of this name."""
    rows: Mapping[str, Row] = getattr(tables, row_table(table).attribute)
    return rows.get(id)


def row_name(table: str, row: Row) -> str:
    """Return what people call a row; where rows share a name, what tells this one apart stands behind it."""
    name = _called(table, row)
    apart = (
        "; ".join(_condition_words(one) for one in getattr(row, "when", ())) if name in _shared(table) else ""
    )
    return f"{name} ({apart})" if apart else name


def _called(table: str, row: Row) -> str:
    told = [str(getattr(row, name, "")) for name in row_table(table).called]
    return ", ".join(one for one in told if one)


@lru_cache(maxsize=16)
def _shared(table: str) -> frozenset[str]:
    """Names that several rows of the trade table have, such as "chain, wear"."""
    rows: Mapping[str, Row] = getattr(reference.tables(), row_table(table).attribute)
    counted = Counter(_called(table, row) for row in rows.values())
    return frozenset(name for name, count in counted.items() if count > 1)


def _condition_words(one: Condition) -> str:
    """A condition as people say it: "9 or 10-speed", "no rim brake"."""
    if not one.fact:
        return worded("no {what}", what=one.what) if one.negated else one.what
    if one.fact == "sprockets_behind":
        ends = (one.words[0], one.words[-1])
        if ends == ("1", "1"):
            return worded("single speed")
        return f"{(ends[0] if len(one.words) == 1 else ends[0] + (' or ' if len(one.words) == _PAIR else worded(' to ')) + ends[1])}-speed"
    fact = reference.tables().facts[one.fact]
    words = " or ".join(code_in_words(one.fact, word) or word for word in one.words)
    return f"{fact.name}: {(worded('not ') if one.negated else '')}{words} {fact.unit}".strip()


def unit_of(table: str, row: Row, one: RowField) -> str:
    """Return the unit of a field; empty where it has none."""
    if one.name in type(row).in_unit:
        # A chain gauge reads over so many pitches, in percent of elongation.
        return str(getattr(row, "unit", "")) or ("percent" if getattr(row, "span_pitches", None) else "")
    return row_table(table).unit if one.sort == "figure" else "minutes" if one.sort == "minutes" else ""


def fields_on(table: str, row: Row) -> tuple[RowField, ...]:
    """Return the fields that this row can have: a limit that is read as yes or no has no figures, a band has both ends."""
    direction = getattr(row, "direction", "")
    banded = direction == "band" and getattr(row, "limit_low", None) is not None
    found = []
    for one in row_table(table).fields:
        is_end = one.name.endswith(("_low", "_high"))
        if table == "limit" and one.sort == "figure":
            if direction == "flag" or (is_end != banded and direction == "band"):
                continue
            if direction != "band" and is_end:
                continue
        found.append(one)
    return tuple(found)


def as_typed(value: object) -> str:
    """Return a value of a row as it is typed into its field."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, tuple | list):
        return ("\n" if any(isinstance(one, str) for one in value) else " ").join(str(one) for one in value)
    return str(value)


def as_plain(one: RowField, text: str) -> object:
    """Return what was typed as the tables' files keep it.

    Raises:
        InputRefused: It can't be read; the sentence stands at the field.
    """
    typed = text.strip()
    try:
        if one.sort == "figure":
            value = float(typed)
            return int(value) if value == int(value) else value
        if one.sort == "whole":
            return int(typed)
        if one.sort == "minutes":
            return [int(part) for part in typed.split()]
        if one.sort == "money":
            return f"{Decimal(typed).quantize(Decimal('0.01')):f}"
    except (ValueError, ArithmeticError):
        what = {"money": worded("a sum of money"), "minutes": worded("three whole numbers of minutes")}.get(
            one.sort, "a number"
        )
        sentence = worded(
            '{words} is "{typed}": {what} is expected. Type it again.',
            words=one.words,
            typed=typed[:20],
            what=what,
        )
        raise InputRefused(sentence, {one.name: sentence}) from None
    if one.sort == "yes":
        return typed == "yes"
    if one.sort == "lines":
        return [line.strip() for line in typed.splitlines() if line.strip()]
    return " ".join(typed.split())[:400]
