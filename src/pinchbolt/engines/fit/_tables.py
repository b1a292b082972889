"""How this engine looks into the tables it is given: typed rows and plain mappings alike, read only."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from weakref import WeakKeyDictionary

from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.values.wording import worded

_MAPPINGS: dict[type, bool] = {}
FILE_RULES = "rules.toml"
FILE_INTERFACES = "interfaces.toml"
_NAME_FIELDS = (
    "id", "cassette", "body", "chain", "drive", "hub", "frame", "rotor", "caliper", "mount", "lever", "brake",
    "shell", "native", "end", "mm", "inner", "section", "diameter",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Absent:
    """What a table does not hold: no such row, or a row without that field. `what` says which, for people."""

    what: str


def table_fault(rule: str, field: str, wrong: str, allowed: str) -> InputRefused:
    """The refusal for a rule that cannot be run as it is written: file, row, field, what is wrong, what is allowed."""
    sentence = worded(
        '{file_rules}, row "{rule}", field "{field}" {wrong}: {allowed}. Correct the file and start again.',
        file_rules=FILE_RULES,
        rule=rule,
        field=field,
        wrong=wrong,
        allowed=allowed,
    )
    return InputRefused(sentence, {f"{FILE_RULES}/{rule}/{field}": sentence})


def is_mapping(row: object) -> bool:
    """Whether a row is a mapping; found out once a type, since that takes longer than looking a field up."""
    kind = type(row)
    found = _MAPPINGS.get(kind)
    if found is None:
        found = _MAPPINGS[kind] = issubclass(kind, Mapping)
    return found


def field_of(row: object, name: str) -> object:
    """The field *name* of a typed row or a mapping; None where it is absent. `with` and `with_` are one name."""
    plain = name.removesuffix("_")
    if is_mapping(row):
        found = row.get(plain)  # type: ignore[attr-defined]
        # Asked some hundred thousand times a search: the other writing is made up only where this one is not there.
        return row.get(plain + "_") if found is None and plain not in row else found  # type: ignore[attr-defined, operator]
    value = getattr(row, plain, None)
    return getattr(row, plain + "_", None) if value is None else value


def text_of(row: object, name: str) -> str:
    """The field *name* as text; empty where it is absent."""
    value = field_of(row, name)
    return "" if value is None else str(value)


def items_of(value: object) -> tuple[object, ...]:
    """A list of the tables as a tuple; empty where it is absent."""
    if value is None:
        return ()
    if isinstance(value, str | Mapping) or not isinstance(value, Iterable):
        return (value,)
    return tuple(value)


def pick(mapping: object, key: object) -> object:
    """The entry of a table's mapping under *key*: 160, "160" and 160.0 are one key; None where there is none."""
    if not isinstance(mapping, Mapping):
        return None
    if key in mapping:
        return mapping[key]
    if isinstance(key, int | float) and not isinstance(key, bool):
        for name in (f"{key:g}", f"{key:.1f}"):
            if name in mapping:
                return mapping[name]
    if isinstance(key, str):
        for name in mapping:
            if same_words(str(name)) == same_words(key):
                return mapping[name]
    return None


# Spaces, hyphens of all lengths and underscores: how a code is written down, never which one it is.
_BETWEEN = re.compile("[\\s_\u00ad\u2010-\u2015\u2212-]+")


@lru_cache(maxsize=8192)
def same_words(text: str) -> str:
    """What two ways to write one code have in common: "Shape 3", "shape-3" and "SHAPE3" are one."""
    return _BETWEEN.sub("", text.casefold()) or text


def row_name(kind: str, row: object) -> str:
    """What tells a row apart from the others of its kind, for people."""
    parts = [text_of(row, name) for name in _NAME_FIELDS if field_of(row, name) is not None]
    return f"{kind} {' / '.join(parts[:2])}".strip()


class FitTables:
    """A view of the rules and interface rows, whatever they are held in; `kept` holds what was read from them once."""

    __slots__ = ("_interfaces", "_rules", "kept")

    def __init__(self, tables: object) -> None:
        rules, interfaces = field_of(tables, "rules"), field_of(tables, "interfaces")
        if rules is None:
            rules = field_of(tables, "rule")
        if not isinstance(interfaces, Mapping) or rules is None:
            raise InputRefused(
                worded(
                    "the tables given to the fit check hold no rules or no interfaces: both are needed. "
                    "Load the tables and give them whole."
                )
            )
        if isinstance(rules, Mapping):
            self._rules: Mapping[str, object] = rules
        else:
            self._rules = {text_of(rule, "id"): rule for rule in items_of(rules)}
        self._interfaces = interfaces
        self.kept: dict[tuple[str, str], object] = {}

    def rule(self, rule_id: object) -> object:
        """The rule by its id, or a refusal that lists the ids there are."""
        if not isinstance(rule_id, str) or rule_id not in self._rules:
            known = ", ".join(self._rules)
            raise NotFound(
                worded(
                    'fit rule "{rule_id}" is not in the table: {known}. Pick one of these.',
                    rule_id=rule_id,
                    known=known,
                )
            )
        return self._rules[rule_id]

    def rules(self) -> Sequence[object]:
        """Every rule, in the order of the table."""
        return tuple(self._rules.values())

    def rows(self, kind: str) -> Sequence[object]:
        """Every row of one interface kind; empty where the kind is unknown."""
        return items_of(self._interfaces.get(kind))

    def has_kind(self, kind: str) -> bool:
        """True where the interfaces hold rows of this kind."""
        return kind in self._interfaces


_VIEWS: WeakKeyDictionary[object, FitTables] = WeakKeyDictionary()


def view_of(tables: object) -> FitTables:
    """The view of these tables: the same one as long as they live, so that what was read of them once is not read again.

    Plain mappings can be changed by whoever holds them, and are looked at anew.
    """
    if isinstance(tables, FitTables):
        return tables
    if is_mapping(tables):
        return FitTables(tables)
    try:
        kept = _VIEWS.get(tables)
        if kept is None:
            kept = _VIEWS[tables] = FitTables(tables)
    except TypeError:
        # What has no weak reference or no hash is kept by nobody.
        return FitTables(tables)
    return kept
