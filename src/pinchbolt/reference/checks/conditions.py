"""Every condition asks what can be told: a kind, a feature or a fact that is there, by a word that the fact may have."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import isfinite
from typing import Any

from pinchbolt.reference.checks.complaint import Complaint
from pinchbolt.reference.checks.known import Known, dangling
from pinchbolt.reference.rows.base import Row
from pinchbolt.reference.rows.condition import Condition, word_of
from pinchbolt.reference.rows.joints import JointCase
from pinchbolt.reference.rows.kinds import PartFact
from pinchbolt.reference.rows.work import BlockRow, Caution, ExtraMinutes, HomeCheck, SignoffItem
from pinchbolt.reference.tables_type import Tables
from pinchbolt.values.wording import worded

# What hangs on the rider, not on a part: everything else is asked of the parts that are there.
BIKE_KINDS_IN_CONDITIONS = frozenset({"kids", "tandem"})


def conditions(tables: Tables, known: Known) -> Iterator[Complaint]:
    """A complaint for every condition that asks what cannot be told, or by a word that would never be true."""
    by_rules = _inputs_of_rules(tables)
    for row, field, told in _conditions(tables):
        for one in told:
            yield from _condition(tables, known, row, field, one)
            fact = tables.facts.get(one.fact)
            if fact is not None:
                yield from _words(known, row, field, one, _answered(fact, by_rules))


def _conditions(tables: Tables) -> Iterator[tuple[Row, str, tuple[Condition, ...]]]:
    """Every condition of every table, with the row and field in which it stands."""
    whens: tuple[Mapping[Any, Row], ...] = (
        tables.limits, tables.joints, tables.joint_cases, tables.prices, tables.proposals, tables.operations, tables.cautions,
        tables.home_checks, tables.blocks, tables.extras,
    )  # fmt: skip
    for rows in whens:
        for row in rows.values():
            yield row, "when", getattr(row, "when")  # noqa: B009 - each of these rows has it
    for look in tables.looks.values():
        yield look, "when", look.when
    for fault in tables.look_faults.values():
        yield from ((fault, "where", one.when) for one in fault.where)
    for access in tables.access.values():
        yield from ((access, "where", one.when) for one in access.where)
    for item in tables.signoff.values():
        yield item, "applies", item.applies
    for feature in tables.features.values():
        yield feature, "any", feature.any
        yield feature, "all", feature.all


def _condition(tables: Tables, known: Known, row: Row, field: str, one: Condition) -> Iterator[Complaint]:
    said = worded('says "{text}"', text=one.text)
    if one.what == "bike":
        yield from dangling(known, row, field, one.words, "bike_kind")
        if not BIKE_KINDS_IN_CONDITIONS.issuperset(one.words):
            yield Complaint(row, field, said, worded("kids or tandem; everything else is asked of the parts"))
        return
    if one.what == "" and isinstance(row, SignoffItem | Caution | HomeCheck | BlockRow | ExtraMinutes):
        yield Complaint(
            row, field, said, worded("a kind of part before the dot: it is read on no part of its own")
        )
    if one.what not in ("", "*") and known.missing([one.what], "kind", "feature"):
        yield Complaint(row, field, said, worded("a kind of part or a feature that is there"))
        return
    if not one.fact:
        return
    fact = tables.facts.get(one.fact)
    if fact is None:
        if known.missing([one.fact], "fact"):
            yield Complaint(row, field, said, worded("a fact that stands under [[fact]]"))
        return
    kinds = _read_on(tables, row) if one.what == "" else () if one.what == "*" else (one.what,)
    for name in kinds:
        kind = tables.kinds.get(name)
        if kind is not None and one.fact not in kind.facts:
            yield Complaint(
                row,
                field,
                said,
                worded(
                    'a fact of "{name}": {facts}',
                    name=name,
                    facts=", ".join(kind.facts) or worded("it has none"),
                ),
            )


def _read_on(tables: Tables, row: Row) -> tuple[str, ...]:
    """The kinds of part that a row is read on; a case is read on those of its joint."""
    joint = tables.joints.get(row.joint) if isinstance(row, JointCase) else None
    told: tuple[str, ...] = getattr(joint or row, "on", ())
    return told


def _words(known: Known, row: Row, field: str, one: Condition, fact: PartFact) -> Iterator[Complaint]:
    """A word that the fact never has."""
    if fact.of:
        yield from dangling(known, row, field, one.words, fact.of)
    allowed = {word_of(value) for value in fact.one_of} or ({"yes", "no"} if fact.flag else set())
    span = fact.number or fact.whole
    for word in one.words:
        if allowed and word not in allowed:
            can = worded('words of "{id}": {allowed}', id=fact.id, allowed=", ".join(sorted(allowed)))
            yield Complaint(row, field, worded('says "{text}"', text=one.text), can)
        if span is not None and not _is_figure(word, span, whole=fact.whole is not None):
            sort = worded("whole numbers") if fact.whole else "numbers"
            can = worded(
                "{sort} from {low:g} to {high:g} {unit}",
                sort=sort,
                low=span[0],
                high=span[1],
                unit=fact.unit,
            ).rstrip() + worded(' for "{id}", in their shortest form', id=fact.id)
            yield Complaint(row, field, worded('says "{text}"', text=one.text), can)


def _is_figure(word: str, span: tuple[float, float], *, whole: bool) -> bool:
    """Whether a fact with this span could be written as this word."""
    try:
        value = float(word)
    except ValueError:
        return False
    fits = isfinite(value) and span[0] <= value <= span[1] and (not whole or value == int(value))
    return fits and word_of(value) == word


def _answered(fact: PartFact, by_rules: Mapping[str, Mapping[str, object]]) -> PartFact:
    """The fact with its answers: its own, else those of the fit rule that asks for it."""
    own = fact.number or fact.whole or fact.of or fact.one_of or fact.flag or fact.text
    names = [] if own else filter(None, (fact.name_in_build(end) for end in ("front", "rear", "")))
    asked = next((by_rules[name] for name in names if name in by_rules), {})
    told: dict[str, Any] = {
        name: asked[name] for name in ("number", "whole", "of", "one_of", "flag") if name in asked
    }
    # Compared by a column of the rows, not by their id: what is allowed stands in the rows alone.
    return fact if "field" in asked else replace(fact, **told)


def _inputs_of_rules(tables: Tables) -> dict[str, Mapping[str, object]]:
    """What the first rule that takes a fact as it is says of its answers, by the fact's name in the flat build."""
    found: dict[str, Mapping[str, object]] = {}
    for rule in tables.rules.values():
        for place in rule.at:
            for name, told in place.items():
                asked = (rule.inputs or {}).get(name)
                for fact in told if isinstance(told, tuple | list) else (told,):
                    if asked is not None and str(fact).isidentifier():
                        found.setdefault(str(fact), asked)
    return found
