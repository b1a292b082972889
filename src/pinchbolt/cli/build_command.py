"""pinchbolt build, add, replace, take-off, describe, confirm, mark-limit: a bike's build sheet, looked at and changed."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.workshop.bikes.build_view import BuildPartView, CornerView, FactView

_READ = "read off the part"
Tag = Annotated[str, typer.Argument(help=worded("Tag of the bike."))]
PartNumber = Annotated[int, typer.Argument(help=worded("Number of the part, as in pinchbolt build."))]
Facts = Annotated[
    list[str] | None,
    typer.Option(
        "--fact",
        metavar="NAME=VALUE",
        help=worded("What is known of it, such as rotor=160; empty = not known; repeatable."),
    ),
]
Source = Annotated[
    str,
    typer.Option(
        help=worded(
            "How that is known: read off the part, measured, maker's sheet, records, owner's "
            "word, template, guess."
        )
    ),
]
Day = Annotated[
    datetime | None, typer.Option(formats=["%Y-%m-%d"], help=worded("The day, if it was not today."))
]


def build(tag: Tag, as_json: AsJson = False) -> None:
    """Show a bike's build sheet: corners, parts, each fact with how it is known, what is asked, joints and markings."""
    from pinchbolt.cli.starting import opened

    opened()
    from pinchbolt.workshop.bikes.build_view import build_view_of
    from pinchbolt.workshop.common import plain_json as plain

    found = build_view_of(tag)
    lines = [
        worded(
            "{tag}, {bike_kind_words} of {owner}: {words}",
            tag=found.tag,
            bike_kind_words=found.bike_kind_words,
            owner=found.owner,
            words=found.words,
        ).rstrip(": ")
    ]
    for corner in found.corners:
        lines += _corner(corner)
    lines.append(
        worded("To look at: {to_look_at}.", to_look_at=found.to_look_at)
        if found.to_look_at
        else worded("Everything was looked at.")
    )
    answer(plain.as_json(found), lines, as_json=as_json)


def _corner(corner: "CornerView") -> Iterator[str]:
    yield f"{corner.words} [{corner.id}]: {'confirmed' if corner.confirmed else 'not looked at'}"
    for part in corner.parts:
        yield from _part(part)


def _part(part: "BuildPartView") -> Iterator[str]:
    since = (
        worded("since {since:%d %b %Y}", since=part.since) if part.since_known else worded("start not known")
    )
    seen = "" if part.confirmed else worded(", not looked at")
    odd = "" if part.in_table else worded(", its kind is in no table: it is shown and not read")
    yield worded(
        "  part {id}  {words}, {since}{seen}{odd}",
        id=part.id,
        words=part.words,
        since=since,
        seen=seen,
        odd=odd,
    )
    yield from (f"    {_fact(fact)}" for fact in part.known)
    yield from (
        worded("    asked: {words}? [{fact}]", words=fact.words, fact=fact.fact) for fact in part.asked
    )
    for marked in part.markings:
        yield worded(
            "    marked: {words} {how} {value:g} {unit}",
            words=marked.words,
            how=marked.how,
            value=marked.value,
            unit=marked.unit,
        ).rstrip()
    if part.joints:
        yield worded("    joints: {joints}", joints=", ".join(part.joints))


def _fact(fact: "FactView") -> str:
    told = worded("; the owner says {told}", told=fact.told) if fact.told else ""
    return f"{fact.words} [{fact.fact}]: {fact.shown} {fact.unit}".rstrip() + f" ({fact.source}{told})"


def add(
    tag: Tag,
    kind: Annotated[str, typer.Argument(help=worded("Kind of part, as in pinchbolt kinds."))],
    end: Annotated[
        str, typer.Option(help=worded("front, rear, front left ..., where a bike may have several."))
    ] = "",
    fact: Facts = None,
    source: Source = _READ,
    since: Day = None,
    was_there: Annotated[
        bool, typer.Option("--was-there", help=worded("It was on the bike before anybody wrote it down."))
    ] = False,
    bins: Annotated[
        str,
        typer.Option("--bin", metavar="NUMBER", help=worded("Number of the part in the bins that it is.")),
    ] = "",
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write a part on a bike's build sheet, with what is known of it and how."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.bikes.change_build import AddRequest, add_part

    asked = AddRequest(tag, kind, end, _facts(fact), source, _day(since), was_there, bins)
    done = add_part(asked, by=who(named), key=mark(key), now=now())
    _told(done.part, worded("on the build sheet"), as_json)


def replace(
    part: PartNumber,
    fact: Facts = None,
    source: Source = _READ,
    gone_to: Annotated[
        str, typer.Option(help=worded("Where the old one goes: scrap, bins, owner, never there."))
    ] = "scrap",
    day: Day = None,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write down that a part gave its place to a new one of its kind; facts are those of the new one."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.bikes.change_build import ReplaceRequest
    from pinchbolt.workshop.bikes.change_build import replace as replace_part

    asked = ReplaceRequest(part, _facts(fact), source, gone_to, _day(day))
    done = replace_part(asked, by=who(named), key=mark(key), now=now())
    _told(done.part, worded("in the place of part {part}", part=part), as_json)


def take_off(
    part: PartNumber,
    gone_to: Annotated[str, typer.Argument(help=worded("Where it goes: bins, owner, scrap, never there."))],
    day: Day = None,
    price: Annotated[str, typer.Option(help=worded("What it costs in the bins."))] = "0",
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Take a part off a build sheet; it keeps its life. To another bike it is moved: pinchbolt move"""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.acts.lookups import part_by_id
    from pinchbolt.workshop.bikes.change_build import TakeOffRequest
    from pinchbolt.workshop.bikes.change_build import take_off as take_part_off
    from pinchbolt.workshop.bikes.goes_to import GOES_TO
    from pinchbolt.workshop.common import plain_json as plain

    asked = TakeOffRequest(part, gone_to, _day(day), _price(price))
    done = take_part_off(asked, by=who(named), key=mark(key), now=now())
    lines = [
        worded(
            "Part {part}, {part_by_id}: off the build sheet, {goes_to}.",
            part=done.part,
            part_by_id=part_by_id(done.part),
            goes_to=GOES_TO[gone_to],
        )
    ]
    answer(plain.as_json(done), lines, as_json=as_json)


def describe(
    part: PartNumber,
    fact: Facts = None,
    source: Source = _READ,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write down facts of a part and how they are known; NAME= with nothing behind it: known no longer."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.bikes.change_build import DescribeRequest
    from pinchbolt.workshop.bikes.change_build import describe as describe_part

    done = describe_part(DescribeRequest(part, _facts(fact), source), by=who(named), key=mark(key), now=now())
    _told(done.part, "described", as_json)


def confirm(
    tag: Tag,
    corner: Annotated[
        str, typer.Argument(help=worded("Corner, as in pinchbolt build; left out: the whole bike."))
    ] = "",
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write down that a corner, or the whole bike, is as its build sheet shows it: these parts and no others."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.bikes.change_build import ConfirmRequest, confirm_corner
    from pinchbolt.workshop.common import plain_json as plain

    done = confirm_corner(ConfirmRequest(tag, corner), by=who(named), key=mark(key), now=now())
    answer(
        plain.as_json(done),
        [worded("Confirmed as shown: {corners}.", corners=", ".join(done.corners))],
        as_json=as_json,
    )


def mark_limit(
    part: PartNumber,
    limit: Annotated[
        str, typer.Argument(help=worded("Row of the limits that the marking is for, as in pinchbolt kinds."))
    ],
    value: Annotated[float, typer.Argument(help=worded("The figure that is marked, in the row's unit."))],
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write down a wear limit that is marked on a part; it wins over every table for this part."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.bikes.mark_limit import MarkLimitRequest
    from pinchbolt.workshop.bikes.mark_limit import mark_limit as mark_the_limit
    from pinchbolt.workshop.common import plain_json as plain

    asked = MarkLimitRequest(part, limit, value)
    done = mark_the_limit(asked, by=who(named), key=mark(key), now=now())
    table = "" if done.table is None else worded("; the table has {table:g}", table=done.table)
    lines = [
        worded(
            "{limit}: {value:g} {unit} governs this part from now on{table}.",
            limit=done.limit,
            value=done.value,
            unit=done.unit,
            table=table,
        )
    ]
    answer(plain.as_json(done), lines, as_json=as_json)


def _told(number: int, how: str, as_json: bool) -> None:
    """The part as it stands on the build sheet after an act, with what is asked of it next."""
    from pinchbolt.workshop.acts.lookups import part_by_id
    from pinchbolt.workshop.bikes.build_view import build_view_of
    from pinchbolt.workshop.bikes.change_build import bike_of

    bike = bike_of(part_by_id(number))
    lines = [worded("Part {number}: {how}.", number=number, how=how)]
    if bike is not None:
        shown = next(one for one in build_view_of(bike.tag).parts if one.id == number)
        lines = [f"{bike.tag}, {shown.words}: {how}.", *_part(shown)]
    answer({"part": number}, lines, as_json=as_json)


def _facts(told: Sequence[str] | None) -> dict[str, str | float | bool | None]:
    """NAME=VALUE pairs; what stands behind the sign is read by the fact itself, nothing means not known."""
    found: dict[str, str | float | bool | None] = {}
    for pair in told or ():
        name, sign, value = pair.partition("=")
        if not sign or not name.strip():
            sentence = worded(
                'A fact is given as "{pair}": NAME=VALUE is needed, such as rotor=160. Type it again.',
                pair=pair[:40],
            )
            raise InputRefused(sentence, {"fact": sentence})
        if name.strip() in found:
            sentence = worded(
                '"{name}" is given twice: nobody knows which counts. Give it once.', name=name.strip()[:40]
            )
            raise InputRefused(sentence, {"fact": sentence})
        found[name.strip()] = value.strip() or None
    return found


def _day(given: datetime | None) -> date | None:
    return None if given is None else given.date()


def _price(words: str) -> Decimal:
    try:
        return Decimal(words)
    except ArithmeticError as fault:
        sentence = worded('It costs "{words}": a number is needed. Type the price again.', words=words[:20])
        raise InputRefused(sentence, {"price": sentence}) from fault
