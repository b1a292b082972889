"""pinchbolt fit: one rule with what is known, or the whole build of a bike."""

import json
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.errors import InputRefused

fit = typer.Typer(help="Does it fit: one rule, or a whole bike.", no_args_is_help=True, rich_markup_mode=None)

if TYPE_CHECKING:
    from pinchbolt.values import Json


@fit.command("rule")
def of_rule(
    rule: Annotated[str, typer.Argument(help="Rule of the table, such as cassette-body.")],
    given: Annotated[
        str, typer.Option(help='What is known, as JSON: {"cassette": "c9", "body": "hg-11"}.')
    ] = "{}",
    as_json: AsJson = False,
) -> None:
    """Say whether parts fit by one rule: fits, fits with, does not fit, or cannot tell."""
    from pinchbolt.cli.starting import load

    load()
    from pinchbolt.workshop.parts.check_fit import fit_rule, rule_json

    told = rule_json(fit_rule(rule, _given(given)))
    answer(told, _lines(told), as_json=as_json)


@fit.command("bike")
def of_bike(
    tag: Annotated[str, typer.Argument(help="Tag of the bike.")],
    change: Annotated[
        str, typer.Option(help="Facts that a swap changes, as JSON; only what they touch is checked.")
    ] = "{}",
    as_json: AsJson = False,
) -> None:
    """Check the whole build of a bike, or what a swap would do to it."""
    from pinchbolt.cli.starting import opened

    opened()
    from pinchbolt.workshop.parts.check_fit import build_json, fit_bike

    told = build_json(fit_bike(tag, _given(change)))
    lines = [f"{tag.upper()}: {told['verdict']}"]
    for check in told["checks"]:
        lines += [f"  {line}" for line in _lines(check)]
    lines += [f"  to find out: {ask}" for ask in told["cannot_tell"]]
    lines += [f"  needed: {item}" for item in told["shopping"]]
    answer(told, lines, as_json=as_json)


@fit.command("note")
def note(
    tag: Annotated[str, typer.Argument(help="Tag of the bike.")],
    facts: Annotated[
        str,
        typer.Option(help='What was read off the bike, as JSON: {"seat_tube": 27.2}; null takes one off.'),
    ],
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write facts that were read off a bike on its build sheet, so that what could not be told can be."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.bikes.typed_facts import FactsRequest, note_facts

    kept = note_facts(FactsRequest(tag, _given(facts)), by=who(named), key=mark(key), now=now())
    lines = [
        f"{tag.upper()}, {name}: {'not known' if value is None else value}" for name, value in kept.items()
    ]
    answer({"tag": tag.upper(), "facts": kept}, lines, as_json=as_json)


def _lines(told: "Json") -> list[str]:
    place = f" ({told['place']})" if told["place"] else ""
    needs = f" {' and '.join(told['with'])}" if told["with"] else ""
    return [
        f"{told['name']}{place}: {told['verdict']}{needs}. {told['because']}".rstrip(),
        *(f"  ask: {ask}" for ask in told["ask"]),
    ]


def _given(words: str) -> "Json":
    try:
        read = json.loads(words)
    except ValueError:
        read = None
    if not isinstance(read, dict):
        sentence = f'What is given is "{words[:60]}": a JSON object of names and values is needed, in quotes. Type it again.'
        raise InputRefused(sentence, {"given": sentence})
    return read
