"""Build sheets as the templates give them, without records."""

from collections.abc import Container

from pinchbolt.engines.build import Build, FactValue, PartOn, settled
from pinchbolt.reference import Tables
from pinchbolt.reference.rows.build import Template


def part_on(trade: Tables, words: str, facts: dict[str, str | float | bool], number: int = 0) -> PartOn:
    """A part by its kind and end, such as "rotor front", with what somebody guesses of it."""
    kind, end = words, ""
    while kind not in trade.kinds:
        kind, _, last = kind.rpartition(" ")
        end = f"{last} {end}".strip()
    row = trade.kinds[kind]
    return PartOn(number, row, end, settled(row, {n: FactValue(v, "template") for n, v in facts.items()}))


def built(trade: Tables, template: Template, speeds: int) -> Build:
    """The build sheet that a template gives a bike with so many speeds."""
    there = [one for one in template.parts if not one.speeds or speeds in one.speeds]
    parts = [part_on(trade, one.part, one.facts_at(speeds), n) for n, one in enumerate(there, start=1)]
    return Build(trade, template.kind, tuple(parts))


def first_twelve(trade: Tables, pinned: Container[str]) -> dict[str, Template]:
    """The templates that are pinned as they were before rows went by what is on the bike; later ones have lists of their own."""
    return {name: row for name, row in trade.templates.items() if name in pinned}
