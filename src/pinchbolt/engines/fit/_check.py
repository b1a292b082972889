"""Reading all rules without a bike: what is wrong in them, and which facts they ask for."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

from pinchbolt.engines.fit._build import places_of
from pinchbolt.engines.fit._inputs import KINDS, asked
from pinchbolt.engines.fit._language import RuleWrong, expression, places, steps
from pinchbolt.engines.fit._rule import ALLOWED_WORDS, FORMS
from pinchbolt.engines.fit._tables import FitTables, field_of, items_of, table_fault, text_of, view_of
from pinchbolt.engines.fit.fit_types import FitWord, Question
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

_ROW_FIELDS = frozenset({"when", "verdict", "with", "because", "value", "go_on", "missing", "is"})


def check_rules(tables: object) -> tuple[str, ...]:
    """Return every fault of the rules that can be seen without a bike: one sentence each, with file, row and field.

    Args:
        tables: As for `run_rule`. [-]

    Returns:
        Sentences; empty where all is well. [-]

    Raises:
        InputRefused: The tables hold no rules or interfaces at all.

    Valid for: Reading and naming; whether a rule is true of the trade is not for a program to say.

    Example:
        >>> check_rules(tables)
        ()

    Source: The language as on the method page.
    """
    view = view_of(tables)
    faults: list[str] = []
    for rule in view.rules():
        try:
            faults += [no.sentence for no in _faults(rule, view)]
        except InputRefused as no:
            faults.append(no.sentence)
    try:
        places_of(view)
    except InputRefused as no:
        faults.append(no.sentence)
    return tuple(dict.fromkeys(faults))


def _faults(rule: object, view: FitTables) -> Iterator[InputRefused]:
    rule_id = text_of(rule, "id")
    form = text_of(rule, "form")
    if form not in FORMS:
        yield table_fault(
            rule_id, "form", worded('is "{form}"', form=form), worded("pair, equal, formula or all")
        )
    if form == "pair" and not view.has_kind(text_of(rule, "table")):
        yield table_fault(
            rule_id,
            "table",
            worded('is "{text_of}"', text_of=text_of(rule, "table")),
            worded("a kind of row of interfaces.toml"),
        )
    wants = asked(rule, view)
    told = field_of(rule, "inputs")
    for name, row in (told if isinstance(told, Mapping) else {}).items():
        if name not in wants:
            yield table_fault(
                rule_id,
                f"inputs.{name}",
                worded("is asked for nowhere"),
                worded("a name of needs or optional"),
            )
        if not any(field_of(row, kind) is not None for kind in KINDS):
            yield table_fault(
                rule_id,
                f"inputs.{name}",
                worded("has no kind"),
                worded("one of {kinds}", kinds=", ".join(KINDS)),
            )
    known = {*wants, "rule"}
    try:
        for name, step in steps(text_of(rule, "expression")):
            yield from _unknown(rule_id, "expression", step.names - known)
            known.add(name)
    except RuleWrong as wrong:
        yield table_fault(rule_id, "expression", str(wrong), ALLOWED_WORDS)
    yield from _row_faults(rule, rule_id, known, form)


def _unknown(rule_id: str, where: str, names: frozenset[str]) -> Iterator[InputRefused]:
    for name in sorted(names):
        yield table_fault(
            rule_id,
            where,
            worded('looks at "{name}"', name=name),
            worded("an input of the rule or a step before it"),
        )


def _row_faults(rule: object, rule_id: str, known: set[str], form: str) -> Iterator[InputRefused]:
    rows = items_of(field_of(rule, "decide"))
    for number, row in enumerate(rows, start=1):
        where = worded("decide {number}", number=number)
        if text_of(row, "verdict") not in {word.value for word in FitWord}:
            yield table_fault(
                rule_id,
                where,
                worded('has the verdict "{text_of}"', text_of=text_of(row, "verdict")),
                worded("one of the four verdicts"),
            )
        for field in row.keys() - _ROW_FIELDS if isinstance(row, Mapping) else ():
            yield table_fault(
                rule_id, where, worded('has the field "{field}"', field=field), ", ".join(sorted(_ROW_FIELDS))
            )
        for field in ("when", "value"):
            if field_of(row, field) is not None:
                yield from _read(
                    rule_id, where, text_of(row, field), known, lambda text: expression(text).names
                )
        for field in ("with", "because"):
            for text in items_of(field_of(row, field)):
                yield from _read(rule_id, where, str(text), known, places)
    if (rows or form != "pair") and (not rows or field_of(rows[-1], "when") is not None):
        yield table_fault(
            rule_id,
            "decide",
            worded("has no last row without a condition"),
            worded("a row that speaks when no other does"),
        )
    for number, row in enumerate(items_of(field_of(rule, "refuse")), start=1):
        yield from _read(
            rule_id,
            worded("refuse {number}", number=number),
            text_of(row, "when"),
            known,
            lambda text: expression(text).names,
        )
        yield from _read(
            rule_id, worded("refuse {number}", number=number), text_of(row, "words"), known, places
        )


def _read(
    rule_id: str, where: str, text: str, known: set[str], names_of: Callable[[str], frozenset[str]]
) -> Iterator[InputRefused]:
    try:
        yield from _unknown(rule_id, where, names_of(text) - known)
    except RuleWrong as wrong:
        yield table_fault(rule_id, where, str(wrong), ALLOWED_WORDS)


def questions(tables: object) -> tuple[Question, ...]:
    """Return every fact that a build sheet may hold for the fit rules, with how to find it out.

    Args:
        tables: As for `run_rule`. [-]

    Returns:
        One question a fact, in the order in which the rules ask. [-]

    Raises:
        InputRefused: A rule that cannot be read.

    Valid for: Facts that a rule takes as they are; those that it works out of others (28 in 28-622) are not asked twice.

    Example:
        >>> next(one for one in questions(tables) if one.fact == "seat_tube").ask
        'post out: measure the bore with a caliper, two ways'

    Source: The rules' own rows.
    """
    view = view_of(tables)
    found: dict[str, Question] = {}
    for place in places_of(view):
        rule_id = text_of(place.rule, "id")
        wants = asked(place.rule, view)
        for name, ways in place.inputs.items():
            for way in ways:
                fact = way.text.strip()
                if way.names != {fact} or name not in wants:
                    continue
                want, before = wants[name], found.get(fact)
                rules = tuple(dict.fromkeys((*(before.rules if before else ()), rule_id)))
                first = before or Question(
                    fact, want.name, want.ask, want.unit, want.kind, want.allowed, (), want.table
                )
                found[fact] = replace(first, rules=rules)
    return tuple(found.values())


def fact_names(tables: object) -> frozenset[str]:
    """Return the name of every fact of a build that some rule looks at.

    Args:
        tables: As for `run_rule`. [-]

    Returns:
        Names, those included that a rule takes apart (the 28 in a tyre's 28-622). [-]

    Raises:
        InputRefused: A rule that cannot be read.

    Example:
        >>> {"cassette", "tyre_rear"} <= fact_names(tables)
        True

    Source: The rules' own rows.
    """
    view = view_of(tables)
    return frozenset(name for place in places_of(view) for name in place.facts)
