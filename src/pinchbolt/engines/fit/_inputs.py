"""What a rule may be given: each input's kind, its sensible range, and the question that settles it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite

from pinchbolt.engines.fit._fit_words import equal, is_number, shown
from pinchbolt.engines.fit._tables import FitTables, field_of, items_of, table_fault, text_of
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

NOT_KNOWN = frozenset({"", "cannot tell", "not known", "unknown"})
KINDS = ("number", "whole", "numbers", "flag", "of", "one_of", "text")


@dataclass(frozen=True, slots=True)
class RuleInput:
    """One input of a rule: what it is called, what it may be, and how to find out (the cheapest question first).

    `assumed` is what the rule takes for granted where this input is not known; it is said among the reasons. `table` and
    `field` name the rows whose words its values have, `named` those that have the words where these have none; `sold`
    where the sizes stand that are to be had. What is `fixed` belongs to frame or fork, and is never what is bought.
    """

    input: str
    name: str
    ask: str
    unit: str
    kind: str
    allowed: tuple[object, ...]
    assumed: str
    table: str = ""
    field: str = "id"
    sold: tuple[object, ...] = ()
    fixed: bool = False
    named: str = ""


def in_words(want: RuleInput, value: object, tables: FitTables) -> str:
    """A value of an input as people say it: a figure with its unit, a code of a table in plain words with the code behind."""
    for table, field in ((want.table, want.field), (want.named, "id")):
        for row in tables.rows(table) if table else ():
            plain = text_of(row, "plain") or text_of(row, "trade_name") or shown(field_of(row, "names") or "")
            if equal(field_of(row, field), value) and plain:
                return f"{plain} ({shown(value)})"
    return f"{shown(value)} {want.unit}".rstrip()


def is_unknown(value: object) -> bool:
    """True for nothing, an empty text and the words "cannot tell"."""
    return value is None or (isinstance(value, str) and value.strip().lower() in NOT_KNOWN)


def asked(rule: object, tables: FitTables) -> dict[str, RuleInput]:
    """The inputs of a rule, in the order of the table: what it needs, then what it may use."""
    key = ("asked", text_of(rule, "id"))
    found = tables.kept.get(key)
    if found is None:
        found = tables.kept[key] = _all_asked(rule, tables)
    return found  # type: ignore[return-value]


def _all_asked(rule: object, tables: FitTables) -> dict[str, RuleInput]:
    told = field_of(rule, "inputs")
    told = told if isinstance(told, Mapping) else {}
    names = [
        str(name) for name in (*items_of(field_of(rule, "needs")), *items_of(field_of(rule, "optional")))
    ]
    return {name: _asked(text_of(rule, "id"), name, told.get(name), tables) for name in names}


def _asked(rule_id: str, name: str, row: object, tables: FitTables) -> RuleInput:
    words = text_of(row, "name") or name.replace("_", " ")
    sold, fixed = items_of(field_of(row, "sold")), field_of(row, "fixed") is True
    ask, unit = text_of(row, "ask"), text_of(row, "unit")
    assumed = text_of(row, "assumed")
    for kind in KINDS:
        told = field_of(row, kind)
        if told is None:
            continue
        allowed: tuple[object, ...] = items_of(told)
        if kind == "of":
            allowed = _ids(tables, str(told), text_of(row, "field") or "id")
            if not allowed:
                where = f"inputs.{name}"
                raise table_fault(
                    rule_id,
                    where,
                    worded('names the interface "{told}"', told=told),
                    worded("a kind that has rows"),
                )
        if kind in ("number", "whole", "numbers") and not (
            len(allowed) == 2 and all(map(is_number, allowed))
        ):
            raise table_fault(
                rule_id,
                f"inputs.{name}",
                worded("has the range {shown}", shown=shown(allowed)),
                worded("two numbers, least first"),
            )
        # A figure may have names too, as 622 mm is 700C: `rows` says in which table they stand.
        table = str(told) if kind == "of" else text_of(row, "rows")
        field, named = text_of(row, "field") or "id", text_of(row, "named")
        return RuleInput(name, words, ask, unit, kind, allowed, assumed, table, field, sold, fixed, named)
    return RuleInput(name, words, ask, unit, "text", (), assumed, sold=sold, fixed=fixed)


def _ids(tables: FitTables, kind: str, field: str) -> tuple[object, ...]:
    values: dict[object, None] = {}
    for row in tables.rows(kind):
        value = field_of(row, field)
        if value is not None:
            values.setdefault(value)
    return tuple(values)


def checked(want: RuleInput, value: object) -> object:
    """*value* as the rule may use it, or a refusal that says what is allowed and what to do."""
    if want.kind in ("number", "whole"):
        return _number(want, value)
    if want.kind == "numbers":
        if isinstance(value, str | Mapping) or not isinstance(value, Sequence) or not 1 <= len(value) <= 20:
            raise _refused(
                want, value, worded("one to twenty numbers in a list"), worded("Give each width once.")
            )
        return tuple(_number(want, item) for item in value)
    if want.kind == "flag":
        if not isinstance(value, bool):
            raise _refused(want, value, worded("yes or no"), worded('Say which, or choose "cannot tell".'))
        return value
    if not isinstance(value, str) and not is_number(value):
        raise _refused(
            want, value, worded("one word of the table"), worded('Pick one, or choose "cannot tell".')
        )
    if want.kind == "text":
        return _text(want, value)
    for word in want.allowed:
        if equal(word, value) or (is_number(value) and word == shown(value)):
            return word
    words = ", ".join(shown(word) for word in want.allowed)
    sentence = worded(
        '{plain} "{cut}" is not in the table: {words}. Pick one, or choose "cannot tell".',
        plain=_plain(want),
        cut=_cut(value),
        words=words,
    )
    raise InputRefused(sentence, {want.input: sentence})


def _text(want: RuleInput, value: object) -> str:
    text = shown(value).strip()
    if len(text) > 60 or not text.isprintable():
        raise _refused(
            want,
            text,
            worded("at most 60 letters and figures"),
            worded("Write it as it is printed on the part."),
        )
    return text


def _number(want: RuleInput, value: object) -> float:
    low, high = want.allowed
    unit = f" {want.unit}" if want.unit else ""
    whole = worded("a whole number from ") if want.kind == "whole" else ""
    allowed = worded("{whole}{low} to {high}{unit}", whole=whole, low=shown(low), high=shown(high), unit=unit)
    next_step = worded("Measure again, or look for the decimal point.")
    if not is_number(value) or not isfinite(value):  # type: ignore[arg-type]
        raise _refused(
            want,
            value,
            worded("a number, {allowed}", allowed=allowed),
            worded('Write the figure alone, or choose "cannot tell".'),
        )
    if not low <= value <= high or (want.kind == "whole" and value != int(value)):  # type: ignore[operator, call-overload]
        raise _refused(want, f"{shown(value)}{unit}", allowed, next_step)
    return value  # type: ignore[return-value]


def _plain(want: RuleInput) -> str:
    return want.name.removeprefix("the ")


def _cut(value: object) -> str:
    text = shown(value) if isinstance(value, str | int | float) else type(value).__name__
    return text if len(text) <= 40 else text[:37] + "..."


def _refused(want: RuleInput, value: object, allowed: str, next_step: str) -> InputRefused:
    sentence = worded(
        "{plain} is {cut}: {allowed}. {next_step}",
        plain=_plain(want),
        cut=_cut(value),
        allowed=allowed,
        next_step=next_step,
    )
    return InputRefused(sentence, {want.input: sentence})
