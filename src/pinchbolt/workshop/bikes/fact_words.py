"""Facts of the flat build in words: what each is called, and a code of the tables as people say it."""

from dataclasses import dataclass

from pinchbolt.values.wording import coded, worded
from pinchbolt.workshop.bikes.typed_facts import question_of
from pinchbolt.workshop.common.table_words import code_in_words


@dataclass(frozen=True, slots=True)
class FactSaid:
    """A fact as it is shown: what it is called, its value in words, and the code that stands for it in the tables (or nothing)."""

    name: str
    words: str
    code: str = ""


def fact_said(fact: str, value: object) -> FactSaid:
    """Return a fact of a build as it is shown: "hg-11" is a nine-groove splined body."""
    question = question_of(fact)
    name = question.name.removeprefix("the ") if question is not None else fact.replace("_", " ")
    plain = code_in_words(fact, value)
    if plain:
        return FactSaid(name, plain, str(value))
    shown = (
        worded("yes")
        if value is True
        else worded("no")
        if value is False
        else f"{value:g}"
        if isinstance(value, float)
        else coded(str(value))
    )
    unit = f" {question.unit}" if question is not None and question.unit else ""
    return FactSaid(name, f"{shown}{unit}".replace("_", " "))
