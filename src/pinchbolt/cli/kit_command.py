"""pinchbolt kit: the fewest, lightest or cheapest tools that cover joints of a file, or of bikes on record."""

from collections.abc import Iterable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.errors import InputRefused
from pinchbolt.values.money import whole_money_text
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.workshop.torque.choose_kit import KitToolView, KitView, Written

_SHOWN = 8  # needs left open that are told one by one
_WINS = worded(
    "A kit covers the joints asked about. The marking on the part and its maker's instructions win."
)


def kit(
    joints: Annotated[
        Path | None, typer.Option(metavar="FILE", help=worded("Joints to cover: JSON, TOML or CSV."))
    ] = None,
    tools: Annotated[
        Path | None, typer.Option(metavar="FILE", help=worded("Tools to choose from: JSON, TOML or CSV."))
    ] = None,
    bike: Annotated[
        list[str] | None,
        typer.Option(help=worded("Tag of a bike on record, instead of files; once for each bike.")),
    ] = None,
    choose: Annotated[
        str, typer.Option(help=worded("Which joints of the bikes: all, roadside or travel."))
    ] = "all",
    least: Annotated[str, typer.Option(help=worded("What is to be least: count, mass or price."))] = "count",
    torque: Annotated[
        str,
        typer.Option(help=worded("Which joints of the bikes are kept to a torque: critical, every or none.")),
    ] = "critical",
    of: Annotated[
        str,
        typer.Option(
            "--from", help=worded("Tools for bikes: board (what hangs here) or table (all of the trade).")
        ),
    ] = "board",
    without: Annotated[
        str, typer.Option(metavar="TOOL", help=worded("Show what cannot be done without this tool."))
    ] = "",
    home: Annotated[
        int,
        typer.Option(
            metavar="N",
            help=worded("Instead: the N tools that the owner of these bikes should have at home."),
        ),
    ] = 0,
    as_json: AsJson = False,
) -> None:
    """Choose the smallest kit for given bikes or joints."""
    from pinchbolt.cli.starting import load, opened, today

    if bool(bike) == (joints is not None or tools is not None) or (joints is None) != (tools is None):
        raise InputRefused(
            worded(
                "A kit is for joints out of files (--joints FILE --tools FILE), or for bikes on "
                "record (--bike TAG): give one of the two."
            )
        )
    opened() if bike else load()
    if home and bike:
        _at_home(tuple(bike), home, as_json=as_json)
        return
    from pinchbolt.workshop.acts.lookups import money_of_shop
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.torque.choose_kit import (
        KitRequest,
        kit_for_bikes,
        kit_from_files,
        price_as_filed,
    )

    written: Written = money_of_shop
    if joints is not None and tools is not None:
        found, written = kit_from_files(joints, tools, least, without, today()), price_as_filed
    else:
        asked = KitRequest(tuple(bike or ()), choose, least, torque, of, without)
        found = kit_for_bikes(asked, today())
    answer(plain.as_json(found), _lines(found, written), as_json=as_json)


def _at_home(bikes: tuple[str, ...], most: int, *, as_json: bool) -> None:
    from pinchbolt.cli.starting import today
    from pinchbolt.workshop.acts.lookups import terms
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.torque.home_tools import HomeRequest, home_tools

    found, shop = home_tools(HomeRequest(bikes, most), today()), terms()
    # Prices are about so much: to the whole unit.
    about = partial(whole_money_text, currency=shop.currency, country=shop.country)
    lines = [
        worded(
            "{words} About {price_from} to {price_to} in all.",
            words=found.words,
            price_from=about(found.price_from),
            price_to=about(found.price_to),
        ),
        *(
            worded(
                "  {name}: meets {meets}, {alone} of them alone, about {price_from} to {price_to}",
                name=one.name,
                meets=one.meets,
                alone=one.alone,
                price_from=about(one.price_from),
                price_to=about(one.price_to),
            )
            for one in found.tools
        ),
        *(worded("open: {words}", words=words) for words in found.open[:_SHOWN]),
        *(
            [worded("open: and {open} more", open=len(found.open) - _SHOWN)]
            if len(found.open) > _SHOWN
            else []
        ),
        _WINS,
    ]
    answer(plain.as_json(found), lines, as_json=as_json)


def _lines(found: "KitView", written: "Written") -> Iterable[str]:
    from pinchbolt.workshop.torque.choose_kit import tools_counted

    price = f", {written(found.price)}" if found.price is not None else ""
    joints = worded("1 joint") if found.joints == 1 else worded("{joints} joints", joints=found.joints)
    yield worded(
        "{tools_counted}, {grams:g} g{price}, for {joints}. {proof}",
        tools_counted=tools_counted(found.count),
        grams=found.grams,
        price=price,
        joints=joints,
        proof=found.proof,
    )
    for tool in found.tools:
        yield _tool_line(tool)
    if found.torque_needed:
        yield worded(
            "A torque tool for {torque_kept} of {torque_needed} joints that need one.",
            torque_kept=found.torque_kept,
            torque_needed=found.torque_needed,
        )
    yield from (worded("open: {words}", words=words) for words in found.missing)
    yield from (worded("cannot tell: {words}", words=words) for words in found.cannot_tell)
    yield from (
        worded("head not read, every usual one is covered: {words}", words=words) for words in found.not_read
    )
    if found.by_hand:
        yield worded("By hand, no tool: {by_hand}.", by_hand=", ".join(found.by_hand))
    yield from (worded("as good: {words}", words=words) for words in found.ties)
    if found.more_ties:
        yield worded("as good: and more sets like these")
    if found.without is not None:
        lost = "; ".join(found.without.loses) or "nothing"
        yield worded(
            "Without {tool} this kit can no longer: {lost}. {instead}",
            tool=found.without.tool,
            lost=lost,
            instead=found.without.instead,
        )
    yield _WINS


def _tool_line(tool: "KitToolView") -> str:
    does = []
    if tool.turns:
        does.append(worded("turns {turns}", turns=len(tool.turns)))
    if tool.keeps:
        does.append(worded("torques {keeps}", keeps=len(tool.keeps)))
    alone = (
        worded("; nothing else in the kit can: {loses}", loses=tool.loses[0])
        if tool.loses
        else worded("; shares its work")
    )
    more = worded(" and {loses} more", loses=len(tool.loses) - 1) if len(tool.loses) > 1 else ""
    return f"  {tool.id}: {tool.name}, {tool.grams:g} g, {worded(' and ').join(does) or 'idle'}{alone}{more}"
