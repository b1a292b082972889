"""Facts of the flat build in words: what each is called, and a code of the tables as people say it."""

from dataclasses import dataclass
from functools import lru_cache

from pinchbolt.reference import Tables
from pinchbolt.reference.rows.condition import word_of
from pinchbolt.workshop.bikes.typed_facts import question_of
from pinchbolt.workshop.common.trade_tables import tables


@dataclass(frozen=True, slots=True)
class FactSaid:
    """A fact as it is shown: what it is called, its value in words, and the code that stands for it in the tables (or nothing)."""

    name: str
    words: str
    code: str = ""


@lru_cache(maxsize=2)
def _of_table(of: Tables) -> dict[str, str]:
    """Which kind of row a fact names, by its own name and by those of the flat build."""
    named = [fact for fact in of.facts.values() if fact.of]
    built = {
        fact.name_in_build(end): fact.of for fact in named if fact.build for end in ("front", "rear", "")
    }
    # A shell in the words of an old record names the same rows.
    return {"bb": "bb_shell"} | {fact.id: fact.of for fact in named} | built


def code_in_words(fact: str, value: object) -> str:
    """Return what a code of the tables means; empty where the value is no code."""
    rows = tables().interfaces.get(_of_table(tables()).get(fact, ""), ())
    row = next((one for one in rows if str(getattr(one, "id", "")) == str(value)), None)
    return str(getattr(row, "plain", "") or getattr(row, "trade_name", "")) if row is not None else ""


def value_in_words(fact: str, value: object) -> str:
    """Return a value of a fact as people say it, without its unit; a code of the tables is told by what it means."""
    return code_in_words(fact, value) or word_of(value)


def fact_said(fact: str, value: object) -> FactSaid:
    """Return a fact of a build as it is shown: "hg-11" is a nine-groove splined body."""
    question = question_of(fact)
    name = question.name.removeprefix("the ") if question is not None else fact.replace("_", " ")
    plain = code_in_words(fact, value)
    if plain:
        return FactSaid(name, plain, str(value))
    shown = (
        "yes"
        if value is True
        else "no"
        if value is False
        else f"{value:g}"
        if isinstance(value, float)
        else str(value)
    )
    unit = f" {question.unit}" if question is not None and question.unit else ""
    return FactSaid(name, f"{shown}{unit}".replace("_", " "))
