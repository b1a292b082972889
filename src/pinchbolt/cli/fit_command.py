"""pinchbolt fit: the rules in words, a question in words, one rule with what is known, or the whole build of a bike."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

fit = typer.Typer(
    help=worded("Does it fit: asked in words, by one rule, or a whole bike."),
    invoke_without_command=True,
    rich_markup_mode=None,
)

if TYPE_CHECKING:
    from pinchbolt.values import Json
    from pinchbolt.workshop.common.fit_in_words import OpenView, RuleAskedView, RuleListed
    from pinchbolt.workshop.parts.which_part import WhichView


@fit.callback()
def rules(context: typer.Context, as_json: AsJson = False) -> None:
    """Does it fit: without a word more, the list of all rules and what each needs to be told."""
    if context.invoked_subcommand is not None:
        return
    from pinchbolt.cli.starting import tables_only

    tables_only()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.common.fit_in_words import fit_list

    found = fit_list()
    answer(plain.as_json(found), _listed(found), as_json=as_json)


@fit.command("find")
def find(
    words: Annotated[
        list[str], typer.Argument(help=worded("As people say it: 11 speed cassette on 10 speed body."))
    ],
    as_json: AsJson = False,
) -> None:
    """Ask in words: finds the rule and the rows that are meant, and says whether it fits."""
    from pinchbolt.cli.starting import tables_only

    tables_only()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.common.fit_in_words import fit_in_words

    found = fit_in_words(" ".join(words))
    answer(plain.as_json(found), _found(found), as_json=as_json)


@fit.command("which")
def which(
    words: Annotated[
        list[str], typer.Argument(help=worded("The part: headset, bottom bracket, spacer, seat post ..."))
    ],
    bike: Annotated[str, typer.Option("--bike", metavar="TAG", help=worded("Bike on which it shall fit."))],
    as_json: AsJson = False,
) -> None:
    """The question turned round: which part fits this bike, by its standard and from the bins."""
    from pinchbolt.cli.starting import opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.parts.which_part import currency, which_part

    found = which_part(bike, " ".join(words))
    answer(plain.as_json(found), _which(found, currency()), as_json=as_json)


@fit.command("rule")
def of_rule(
    rule: Annotated[
        str,
        typer.Argument(help=worded("Rule of the table, such as cassette-body; pinchbolt fit lists them.")),
    ],
    given: Annotated[
        str, typer.Option(help=worded('What is known, as JSON: {"cassette": "c9", "body": "hg-11"}.'))
    ] = "{}",
    as_json: AsJson = False,
) -> None:
    """Say whether parts fit by one rule: fits, fits with, does not fit, or cannot tell."""
    from pinchbolt.cli.starting import tables_only

    tables_only()
    from pinchbolt.workshop.common.fit_answers import fit_rule, rule_json

    told = rule_json(fit_rule(rule, _given(given)))
    answer(told, [*_lines(told), *(worded("  ask: {ask}", ask=ask) for ask in told["ask"])], as_json=as_json)


@fit.command("bike")
def of_bike(
    tag: Annotated[str, typer.Argument(help=worded("Tag of the bike."))],
    change: Annotated[
        str, typer.Option(help=worded("Facts that a swap changes, as JSON; only what they touch is checked."))
    ] = "{}",
    open_too: Annotated[
        bool,
        typer.Option("--all", help=worded("Also every fact that is not known, with how to find it out.")),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Check the whole build of a bike, or what a swap would do to it."""
    from pinchbolt.cli.starting import opened

    opened()
    from pinchbolt.workshop.common.fit_answers import build_json
    from pinchbolt.workshop.parts.check_fit import fit_bike

    told = build_json(fit_bike(tag, _given(change)))
    answer(told, _of_bike(tag, told, open_too or change != "{}"), as_json=as_json)


def _of_bike(tag: str, told: "Json", open_too: bool) -> "Iterator[str]":
    """What is known leads; what nobody changed and nobody asked about is one line."""
    yield f"{tag.upper()}: {told['known_verdict']}" + (
        "" if told["known_verdict"] == told["verdict"] else worded(", by what is known")
    )
    for check in told["checks"]:
        if check["verdict"] != "cannot tell" or open_too:
            yield from (f"  {line}" for line in _lines(check))
    if open_too:
        yield from (worded("  to find out: {ask}", ask=ask) for ask in told["cannot_tell"])
    elif told["not_known"]:
        yield worded(
            "  to find out: {told} See them: pinchbolt fit bike {tag} --all",
            told=told["not_known"],
            tag=tag.upper(),
        )
    yield from (worded("  needed: {item}", item=item) for item in told["shopping"])


def _listed(found: "tuple[RuleListed, ...]") -> "Iterator[str]":
    yield worded(
        'Ask in words: pinchbolt fit find "11 speed cassette on 10 speed body". Or by a '
        "rule: pinchbolt fit rule CODE --given ..."
    )
    for one in found:
        yield f"{one.name} ({one.rule})"
        yield f"  {one.words}"
        yield worded("  needs: {needs}", needs="; ".join(one.needs))


def _which(found: "tuple[WhichView, ...]", currency: str) -> "Iterator[str]":
    for one in found:
        yield f"{one.name}{(f' ({one.place})' if one.place else '')}: {worded(' and ').join(one.sought)}"
        yield from (f"  {known}" for known in one.known)
        for each in one.answers:
            needs = f" {worded(' and ').join(each.needs)}" if each.needs else ""
            yield f"  {each.verdict}: {worded(' with ').join(each.words)}{(needs if each.words != each.needs else '')}"
            yield from (
                f"    {part.words} ({part.number}, {part.lies}): {part.price} {currency}"
                for part in each.to_buy
            )
        if not one.answers:
            yield worded("  nothing of the tables fits there")
        if one.lacking:
            yield worded("  not known, and it decides as well: {lacking}", lacking="; ".join(one.lacking))


def _found(found: "tuple[RuleAskedView, ...]") -> "Iterator[str]":
    first, *others = found
    yield f"{first.name} ({first.rule})"
    would_fit = [line for left in first.open for line in _would_fit(left)]
    if first.open_leads:
        yield from would_fit
    for reading in first.readings:
        needs = f" {worded(' and ').join(reading.needs)}" if reading.needs else ""
        yield f"  {reading.verdict}{needs}. {reading.because}"
        yield from (f"    {one.name}: {one.words}" for one in reading.meant)
    if not first.readings or all(one.verdict == "cannot tell" for one in first.readings):
        yield f"  {first.words}"
    if not first.open_leads:
        yield from would_fit
    if first.needs:
        yield worded("  say also: {needs}", needs="; ".join(first.needs))
    if first.not_heard:
        yield worded("  not understood: {not_heard}", not_heard=", ".join(first.not_heard))
    if others:
        yield worded(
            "or was this meant? {others}", others="; ".join(f"{one.name} ({one.rule})" for one in others)
        )


def _would_fit(left: "OpenView") -> "Iterator[str]":
    for words, found in (
        (worded("would fit"), left.fits),
        (worded("would fit with"), left.fits_with),
        (worded("not ruled out"), left.not_ruled_out),
    ):
        if found:
            yield f"  {left.name}, {words}: {'; '.join(found)}"
    if left.unless:
        yield worded("    where these stand in no way: {unless}", unless=", ".join(left.unless))


@fit.command("note")
def note(
    tag: Annotated[str, typer.Argument(help=worded("Tag of the bike."))],
    facts: Annotated[
        str,
        typer.Option(
            help=worded('What was read off the bike, as JSON: {"seat_tube": 27.2}; null takes one off.')
        ),
    ],
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Save facts read off a bike, so that fit checks can answer."""
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
    needs = f" {worded(' and ').join(told['with'])}" if told["with"] else ""
    return [f"{told['name']}{place}: {told['verdict']}{needs}. {told['because']}".rstrip()]


def _given(words: str) -> "Json":
    from pinchbolt.values import RepeatedKey, read_json

    try:
        read = read_json(words)
    except RepeatedKey as twice:
        raise InputRefused(twice.sentence, {"given": twice.sentence}) from None
    except ValueError:
        read = None
    if not isinstance(read, dict):
        sentence = worded(
            'What is given is "{words}": a JSON object of names and values is needed, in quotes. '
            "Type it again.",
            words=words[:60],
        )
        raise InputRefused(sentence, {"given": sentence})
    return read
