"""pinchbolt swap: will it fit, what else must change, and the cheapest way there."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.values import Json
    from pinchbolt.workshop.parts.swap import SwapView


def swap(
    into: Annotated[
        str, typer.Option(metavar="TAG", help=worded("Bike that gets it; or 'trainer 1', an indoor trainer."))
    ] = "",
    move: Annotated[
        str,
        typer.Option(
            metavar="PART",
            help=worded("What is moved: rear wheel, front wheel, cassette, rotor front, chain ..."),
        ),
    ] = "",
    out_of: Annotated[
        str,
        typer.Option(
            metavar="TAG",
            help=worded("Bike, indoor trainer, or number of a part in the bins, that it comes from."),
        ),
    ] = "",
    want: Annotated[
        list[str] | None,
        typer.Option(
            help=worded(
                "Instead of a move: what is wanted, such as 'a 10-44 cassette' or 'sprocket_big >= "
                "44'; once for each."
            )
        ),
    ] = None,
    rank: Annotated[str, typer.Option(help=worded("What is best: price, labour or changes."))] = "price",
    without_doubt: Annotated[
        bool, typer.Option("--without-doubt", help=worded("Only ways that surely fit."))
    ] = False,
    file: Annotated[
        Path | None,
        typer.Option(
            help=worded("Instead of bikes on record: a JSON file with build, goal, offers and items.")
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Plan a swap: up to five ways, best first; or why none fits."""
    if file is not None:
        found = _by_hand(file)
        answer(found, _lines_by_hand(found), as_json=as_json)
        _end(bool(found["plans"]))
        return
    from pinchbolt.cli.starting import opened

    opened()
    from pinchbolt.workshop.parts.swap import SwapRequest, swap_json
    from pinchbolt.workshop.parts.swap import swap as swap_of

    seen = swap_of(SwapRequest(into, move, out_of, tuple(want or ()), rank, without_doubt))
    answer(swap_json(seen), _lines(seen), as_json=as_json)
    _end(bool(seen.plans))


def _end(has_a_way: bool) -> None:
    if not has_a_way:
        raise typer.Exit(3)


def _by_hand(file: Path) -> "Json":
    from pinchbolt.cli.starting import load

    load()
    from pinchbolt.values import RepeatedKey, read_json
    from pinchbolt.workshop.questions.swap_by_hand import swap_by_hand

    try:
        told = read_json(file.read_text(encoding="utf-8"))
    except RepeatedKey as twice:
        sentence = f"{file.name}: {twice.sentence}"
        raise InputRefused(sentence, {"file": sentence}) from None
    except ValueError as wrong:
        sentence = worded(
            "{name} is no JSON: {wrong}. Correct it and try again.", name=file.name, wrong=wrong
        )
        raise InputRefused(sentence, {"file": sentence}) from None
    return swap_by_hand(told)


def _lines_by_hand(found: "Json") -> Iterator[str]:
    yield found["words"]
    for number, plan in enumerate(found["plans"], start=1):
        yield f"{number}. {plan['cost']}: {'; '.join(plan['words']) or 'nothing'} ({plan['verdict']})"
        yield from (worded("   needed: {item}", item=item) for item in plan["needs"])
    yield from (
        f"  {one['name']} {one['place']}: {one['because']}".replace(" :", ":") for one in found["clash"]
    )


def _lines(seen: "SwapView") -> Iterator[str]:
    yield f"{seen.into}: {seen.what}. {seen.words}"
    yield from (worded("understood: {words}", words=words) for words in seen.understood)
    if seen.passed_over:
        yield worded(
            "not understood, and not looked for: {passed_over}", passed_over=", ".join(seen.passed_over)
        )
    if seen.standing is not None:
        yield worded("As it stands, with that alone: {standing}.", standing=seen.standing["verdict"])
        if seen.standing["as_before"]:
            yield f"  {seen.standing['as_before']}"
        for check in seen.standing["checks"]:
            if check["verdict"] != "fits":
                needs = f" {worded(' and ').join(check['with'])}" if check["with"] else ""
                yield f"  {check['name']} ({check['place']}): {check['verdict']}{needs}. {check['because']}"
        yield from filter(None, (seen.left_behind,))
    for number, plan in enumerate(seen.plans, start=1):
        yield worded(
            "{number}. {cost} {currency} ({price} and {minutes} min): {verdict}",
            number=number,
            cost=plan.cost,
            currency=seen.currency,
            price=plan.price,
            minutes=plan.minutes,
            verdict=plan.verdict,
        )
        for part in plan.parts:
            yield worded(
                "   fit: {words}, {price} {currency}, {minutes} min",
                words=part.words,
                price=part.price,
                currency=seen.currency,
                minutes=part.minutes,
            )
        for need in plan.needs:
            yield worded(
                "   needed: {need}{no_price}",
                need=need,
                no_price=worded(" (price not known)") if need in plan.unpriced else "",
            )
        yield from (worded("   to find out: {ask}", ask=ask) for ask in plan.check["cannot_tell"])
        if plan.compared is not None:
            yield worded("   gears: {words}", words="; ".join(plan.compared.words))
    for clash in seen.clash:
        yield f"  {clash.name}{f' ({clash.place})' if clash.place else ''}: {clash.because}"
    yield from (worded("taken for granted: {words}", words=words) for words in seen.assumed)
