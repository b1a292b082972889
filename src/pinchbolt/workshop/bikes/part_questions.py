"""What a part of a kind can be asked, which answers there are, and whether what was typed is one of them."""

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from math import isfinite

from pinchbolt.errors import InputRefused
from pinchbolt.reference.rows.condition import word_of
from pinchbolt.reference.rows.kinds import PartFact, PartKind, Value
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.typed_facts import NOT_KNOWN, YES_NO, parse_fact, question_of
from pinchbolt.workshop.common.trade_tables import tables


@dataclass(frozen=True, slots=True)
class QuestionOfPart:
    """A fact that a kind of part has: its words, how to find it out, and the answers; no `choices` = typed in `unit`."""

    fact: str
    words: str
    ask: str
    unit: str
    choices: tuple[str, ...]
    seen: str


def kind_named(kind: str) -> PartKind:
    """Return the row of a kind of part by its id or the name that people use.

    Raises:
        InputRefused: No such kind, or one that stands on no build sheet.
    """
    wanted = " ".join(kind.lower().split())
    kinds = tables().kinds
    row = kinds.get(wanted) or next((one for one in kinds.values() if one.name.lower() == wanted), None)
    if row is not None and row.fitted_to != "supply":
        return row
    usual = [one.id for one in kinds.values() if one.swaps][:3]
    near = get_close_matches(wanted, [one.id for one in kinds.values()], 3) or usual
    what = (
        worded('"{kind}" is used up and stands on no build sheet', kind=kind[:40])
        if row
        else worded('"{kind}" is no kind of part', kind=kind[:40])
    )
    sentence = worded("{what}: such as {near}. Choose a kind from the list.", what=what, near=", ".join(near))
    raise InputRefused(sentence, {"kind": sentence})


def questions_of_kind(kind: PartKind, side: str = "") -> tuple[QuestionOfPart, ...]:
    """Return what a part of this kind can be asked; what the kind itself settles is not asked."""
    rows = (tables().facts[name] for name in kind.facts if name not in (kind.always or {}))
    return tuple(_question(row, side or kind.end or "rear") for row in rows)


def question_about(row: PartFact, side: str = "") -> QuestionOfPart:
    """Return the question of one fact."""
    return _question(row, side or "rear")


def _question(row: PartFact, side: str) -> QuestionOfPart:
    own = _own_choices(row)
    by_rule = question_of(row.name_in_build(side)) if not own and row.build else None
    choices = own
    if by_rule is not None and by_rule.kind in ("of", "one_of"):
        choices = tuple(word_of(one) for one in by_rule.allowed)
    elif by_rule is not None and by_rule.kind == "flag":
        choices = ("yes", "no")
    ask = row.ask or (by_rule.ask if by_rule else "")
    return QuestionOfPart(
        row.id, row.name, ask, row.unit or (by_rule.unit if by_rule else ""), choices, row.seen
    )


def _own_choices(row: PartFact) -> tuple[str, ...]:
    if row.flag:
        return ("yes", "no")
    if row.of:
        return tuple(dict.fromkeys(str(getattr(one, "id", "")) for one in tables().interfaces[row.of]))
    return tuple(word_of(one) for one in row.one_of)


def facts_of_kind(kind: PartKind, side: str, told: Mapping[str, object]) -> dict[str, Value | None]:
    """Return facts as typed, checked; None for what is not known.

    Raises:
        InputRefused: A fact that this kind has not, or an answer that it cannot have: each is named.
    """
    found: dict[str, Value | None] = {}
    wrong: dict[str, str] = {}
    for name, value in told.items():
        try:
            found[name] = _told(kind, side, name, value)
        except InputRefused as no:
            wrong[name] = no.sentence
    if wrong:
        raise InputRefused(next(iter(wrong.values())), wrong)
    return found


def _told(kind: PartKind, side: str, name: str, told: object) -> Value | None:
    row = tables().facts.get(name)
    if row is None or name not in kind.facts or name in (kind.always or {}):
        settled = (kind.always or {}).get(name)
        asked = ", ".join(one for one in kind.facts if one not in (kind.always or {})) or "nothing"
        why = (
            worded("is always {word_of}", word_of=word_of(settled))
            if settled is not None
            else worded("is not asked of it: {asked}", asked=asked)
        )
        raise InputRefused(
            worded(
                '{words}: "{name}" {why}. Choose one of its facts, or leave it out.',
                words=kind.words,
                name=name[:40],
                why=why,
            )
        )
    if told is None or (isinstance(told, str) and told.strip().lower() in NOT_KNOWN):
        return None
    if row.number or row.whole:
        return _figure(row, told)
    words = row.one_of or ((True, False) if row.flag else ())
    if words:
        return _word(row, words, told)
    if row.of and word_of(told) in _own_choices(row):
        return word_of(told)
    if row.of:
        raise _refused(row, told, ", ".join(_own_choices(row)))
    if row.text:
        return _text(row, told)
    placed = row.name_in_build(side or kind.end or "rear")
    return parse_fact(placed, told) if placed else _text(row, told)


def _figure(row: PartFact, told: object) -> float:
    low, high = row.number or row.whole or (0.0, 0.0)
    try:
        value = float(str(told).strip().replace(",", "."))
    except ValueError:
        value = float("nan")
    if isinstance(told, bool) or not isfinite(value) or not low <= value <= high:
        raise _refused(
            row, told, worded("{low:g} to {high:g} {unit}", low=low, high=high, unit=row.unit).rstrip()
        )
    if row.whole and value != int(value):
        raise _refused(row, told, worded("a whole number, {low:g} to {high:g}", low=low, high=high))
    return int(value) if value == int(value) else value


def _word(row: PartFact, words: tuple[Value, ...], told: object) -> Value:
    said = " ".join(word_of(told).lower().split())
    if row.flag and said in YES_NO:
        return YES_NO[said]
    for one in words:
        if word_of(one).lower() == said:
            return one
    raise _refused(row, told, ", ".join(word_of(one) for one in words))


def _text(row: PartFact, told: object) -> str:
    text = " ".join(str(told).split())
    if isinstance(told, dict | list | tuple) or not 1 <= len(text) <= 60 or not text.isprintable():
        raise _refused(row, told, worded("at most 60 letters and figures, as printed on the part"))
    return text


def _refused(row: PartFact, told: object, allowed: str) -> InputRefused:
    sentence = worded(
        '{name} is "{word_of}": {allowed}. Look again, or leave it as not known.',
        name=row.name,
        word_of=word_of(told)[:40],
        allowed=allowed,
    )
    return InputRefused(sentence, {row.id: sentence})
