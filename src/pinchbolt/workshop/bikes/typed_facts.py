"""Interface facts as people type them: which there are, what each may be, and writing one on a bike's build sheet."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from difflib import get_close_matches
from functools import lru_cache
from math import isfinite
from typing import Never

from pinchbolt.engines.fit import Question, fact_names, questions
from pinchbolt.engines.tyres import tyre_size
from pinchbolt.errors import InputRefused
from pinchbolt.records.models import PartDescription
from pinchbolt.reference import Tables
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import sheet_of_bike
from pinchbolt.workshop.bikes.building import spread_facts
from pinchbolt.workshop.bikes.drive import HUB_RATIOS, RINGS, SPROCKETS, TYRE, parse_ratios, parse_teeth
from pinchbolt.workshop.common.trade_tables import tables

NOT_KNOWN = frozenset({"", "cannot tell", "not known", "unknown"})
YES_NO = {"yes": True, "no": False, "true": True, "false": False, "1": True, "0": False}
_FAMILIES = frozenset({"shift", "shifter", "derailleur_family"})
Value = str | float | bool


@lru_cache(maxsize=2)
def _known(of: Tables) -> tuple[Mapping[str, Question], frozenset[str]]:
    """Questions by fact and all names of facts, found once for a version of the tables."""
    named = {one.fact: one for one in questions(of)}
    return named, fact_names(of) | {RINGS, SPROCKETS, HUB_RATIOS}


def question_of(name: str) -> Question | None:
    """The question that settles a fact, where it is asked for as it is."""
    return _known(tables())[0].get(name)


def is_fact(name: str) -> bool:
    """Whether some rule, or the gears, look at a fact of this name."""
    return name in _known(tables())[1]


def fact_list() -> tuple[str, ...]:
    """Return every name by which a part may bring a fact, those of a part that stands at either end by its own name."""
    _, names = _known(tables())
    endless = {
        name.removesuffix("_rear")
        for name in names
        if name.endswith("_rear") and f"{name[:-5]}_front" in names
    }
    both = {f"{name}_{end}" for name in endless for end in ("front", "rear")}
    # Named before its end, rear_hub: by the part's own name.
    before = {fact.id for fact in tables().facts.values() if fact.build == f"{{end}}_{fact.id}"}
    return tuple(sorted((names | endless | before) - both))


def of_a_part(name: str) -> str:
    """Return the fact that a part's own name for it stands for: rotor for rotor_rear, hub for rear_hub; empty where none."""
    if is_fact(name):
        return name
    return next((one for one in (f"{name}_rear", f"rear_{name}") if is_fact(one)), "")


def parse_part_fact(name: str, told: object) -> Value | None:
    """Return the value of a fact of a part that may stand at either end: as `parse_fact`, by the part's own name for it.

    Raises:
        InputRefused: No such fact, or a value that it cannot have.
    """
    placed = of_a_part(name) or name
    try:
        return parse_fact(placed, told)
    except InputRefused as no:
        raise InputRefused(no.sentence, {name: no.sentence}) from None


def parse_fact(name: str, told: object) -> Value | None:
    """Return the value of a fact as typed or read from a file; None where it is not known.

    Raises:
        InputRefused: No such fact, or a value that it cannot have.
    """
    if not is_fact(name):
        near = get_close_matches(name, _known(tables())[1], 3) or ["body", "seat_tube", "tyre_rear"]
        sentence = worded(
            'fact "{name}" is looked at by no rule: such as {near}. Name one of the rules\' facts.',
            name=name[:40],
            near=", ".join(near),
        )
        raise InputRefused(sentence, {name[:60]: sentence})
    if told is None or (isinstance(told, str) and told.strip().lower() in NOT_KNOWN):
        return None
    question = question_of(name)
    if question is None:
        return _free(name, told)
    words = question.name.removeprefix("the ")
    if question.kind in ("number", "whole"):
        return _figure(name, words, told, question)
    if question.kind == "flag":
        value = told if isinstance(told, bool) else YES_NO.get(str(told).strip().lower())
        return value if value is not None else _refuse(name, words, told, worded("yes or no"))
    if question.kind in ("of", "one_of"):
        return _word(name, words, told, question)
    return _text(name, words, told)


def _figure(name: str, words: str, told: object, question: Question) -> float:
    low, high = (float(str(end)) for end in question.allowed)
    try:
        value = float(str(told).strip().replace(",", "."))
    except ValueError:
        value = float("nan")
    if isinstance(told, bool) or not isfinite(value) or not low <= value <= high:
        _refuse(
            name,
            words,
            told,
            worded("{low:g} to {high:g} {unit}", low=low, high=high, unit=question.unit).rstrip(),
        )
    if question.kind == "whole":
        return int(value) if value == int(value) else _refuse(name, words, told, worded("a whole number"))
    return int(value) if value == int(value) else value


def _word(name: str, words: str, told: object, question: Question) -> Value:
    shown = f"{told:g}" if isinstance(told, float) else str(told).strip()
    for one in question.allowed:
        if str(one) == shown:
            return one if isinstance(one, str | float | bool) else str(one)
    return _refuse(name, words, told, ", ".join(str(one) for one in question.allowed))


def _free(name: str, told: object) -> Value:
    """A fact that the rules take apart: a tyre's marking, a stem of two measures, a shifting family, counts of teeth."""
    if name in (RINGS, SPROCKETS):
        return " ".join(
            str(count) for count in parse_teeth(str(told), name, worded("The fact {name}", name=name))
        )
    if name == HUB_RATIOS:
        return " ".join(f"{one:g}" for one in parse_ratios(str(told), name))
    if name in _FAMILIES:
        ids = [str(getattr(row, "id", "")) for row in tables().interfaces["shift_family"]]
        return (
            str(told).strip()
            if str(told).strip() in ids
            else _refuse(name, worded("shifting family"), told, ", ".join(ids))
        )
    if name in TYRE:
        tyre_size(str(told), tables().interfaces["bead_seat"])
    return _text(name, name.replace("_", " "), told)


def _text(name: str, words: str, told: object) -> str:
    text = " ".join(str(told).split())
    if isinstance(told, dict | list | tuple) or not 1 <= len(text) <= 60 or not text.isprintable():
        return _refuse(name, words, told, worded("at most 60 letters and figures, as printed on the part"))
    return text


def _refuse(name: str, words: str, told: object, allowed: str) -> Never:
    sentence = worded(
        '{words} is "{told}": {allowed}. Look again, or leave it as not known.',
        words=words,
        told=str(told)[:40],
        allowed=allowed,
    )
    raise InputRefused(sentence, {name: sentence})


@dataclass(frozen=True, slots=True)
class FactsRequest:
    """Facts read off a bike, by name; an empty one is taken off the build sheet again."""

    tag: str
    facts: Mapping[str, str | float | bool | None]


def note_facts(request: FactsRequest, *, by: int, key: str, now: datetime) -> dict[str, Value | None]:
    """Write facts that were read off a bike on its build sheet; returns them as they stand now.

    Raises:
        NotFound: No bike has this tag.
        InputRefused: No fact, no such fact, or a value that it cannot have; then nothing is written.
    """
    with act("facts read", by=by, key=key, now=now, request=request) as this:
        bike = bike_by_tag(request.tag)
        if not request.facts:
            sentence = worded("No fact is given: name at least one, such as seat_tube. Read it off the bike.")
            raise InputRefused(sentence, {"facts": sentence})
        checked = {name: parse_fact(name, told) for name, told in request.facts.items()}
        sheet = sheet_of_bike(bike)
        by_part = spread_facts(sheet.build, checked)
        if this.repeated:
            return checked
        this.write(bike=bike)
        for number, facts in by_part.items():
            PartDescription.objects.create(
                event=this.also("part described", f"part {number}", bike=bike, said={"part": number}),
                part=sheet.parts[number],
                facts=facts,
                source="read off the part",
            )
        return checked
