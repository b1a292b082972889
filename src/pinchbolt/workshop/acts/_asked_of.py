"""What an answer hangs on: which rows a statement to the records asks for, and which it adds."""

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

Rows = tuple[str, str]
"""Rows of a table: (table, "") any of it; (table, column) those in which that column names something; (table, "=found") acts of
that kind."""
ALL: Rows = ("", "")
"""Whatever there is: asked for, or changed, in a way that is not told apart here."""

_FROM = re.compile(r'\bFROM "?(\w+)"?(?: (\w+) WHERE \2\.(\w+) = \w+\."id")?')
_JOIN = re.compile(r'\bJOIN "(\w+)"(?: \w+)? ON \(\S+ = (?:"\w+"|\w+)\."(\w+)"(?:\)| AND)')
_ANY_JOIN = re.compile(r"\bJOIN\b")
_INSERT = re.compile(r'INSERT INTO "(\w+)" \(([^)]*)\) VALUES')
# A mark in a transaction, and its end: neither changes a row. Going back to it does.
_CHANGES_NOTHING = ("SAVEPOINT", "RELEASE SAVEPOINT")
# Acts are told apart by their kind where the question names it, once and without any "or" and "not".
_ACTS, _KIND = "records_event", "kind"
_OF_KIND = re.compile(r'"records_event"\."kind" (?:= %s|IN \(((?:%s, )*%s)\))')
_UNDOING = re.compile(r"NOT EXISTS \(SELECT 1 FROM records_event undoing")
_OR_NOT = re.compile(r"\b(?:OR|NOT|EXISTS|UNION)\b")


class _Asked(NamedTuple):
    """The rows that a question hangs on whatever it is told, and where among its values the kinds of acts stand."""

    rows: frozenset[Rows]
    kinds: slice | None


def asked_for(sql: str, told: object) -> frozenset[Rows]:
    """Return the rows of which a new one could change the answer to a question.

    What is joined by its own number is not among them: it was there before whatever names it. A table that names what is
    asked for is, by the column that does.
    """
    rows, kinds = _asked(sql)
    if kinds is None or not isinstance(told, Sequence):
        return rows
    return rows - {(_ACTS, "")} | {(_ACTS, f"={kind}") for kind in told[kinds]}


@lru_cache(maxsize=4096)
def _asked(sql: str) -> _Asked:
    joins = _JOIN.findall(sql)
    if len(joins) != len(_ANY_JOIN.findall(sql)):
        return _Asked(frozenset({ALL}), None)
    joined = {(table, column) for table, column in joins if column != "id"}
    found = {(table, column) for table, _, column in _FROM.findall(sql)}
    return _Asked(frozenset(joined | found), _kinds_in(sql) if (_ACTS, "") in found else None)


def _kinds_in(sql: str) -> slice | None:
    """Where the kinds stand to which a question keeps; None where it may be about other acts too."""
    named = list(_OF_KIND.finditer(sql))
    plain = _UNDOING.sub("", sql)
    if len(named) != 1 or _OR_NOT.search(plain) or plain.count(f'FROM "{_ACTS}"') != 1:
        return None
    first = sql.count("%s", 0, named[0].start())
    return slice(first, first + named[0].group().count("%s"))


def added(sql: str, told: object, many: bool) -> frozenset[Rows]:
    """Return what a statement adds, `ALL` where it does anything but add rows; nothing for a question."""
    word = sql.lstrip()
    if word[:6].upper() == "SELECT" or word.startswith(_CHANGES_NOTHING):
        return frozenset()
    found = _INSERT.match(word)
    if found is None or many or not isinstance(told, Sequence):
        return frozenset({ALL})
    table, columns = found.group(1), [one.strip(' "') for one in found.group(2).split(",")]
    if not told or len(told) % len(columns):
        return frozenset({ALL})
    values = {column: told[at :: len(columns)] for at, column in enumerate(columns)}
    names = {column for column, each in values.items() if any(value is not None for value in each)}
    kinds = {f"={kind}" for kind in values[_KIND]} if table == _ACTS else set()
    return frozenset({(table, ""), *((table, one) for one in names | kinds)})
