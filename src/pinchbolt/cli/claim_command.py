"""pinchbolt claim: what broke and for which somebody may have to stand; pinchbolt warranty: how things were bought."""

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.workshop.proof.open_claim import ClaimView

claim = typer.Typer(help=worded("Claims: what broke, with all that speaks for it."), no_args_is_help=True)
warranty = typer.Typer(help=worded("How parts, tools and gauges were bought."), no_args_is_help=True)
Kind = Annotated[str, typer.Argument(help=worded("part, tool or instrument."))]
Thing = Annotated[int, typer.Argument(help=worded("Its number, as in pinchbolt build and pinchbolt tools."))]
Number = Annotated[int, typer.Argument(help=worded("The claim's number."))]
Day = Annotated[datetime | None, typer.Option(formats=["%Y-%m-%d"], help=worded("Left out: today."))]


@claim.command("list")
def list_claims(as_json: AsJson = False) -> None:
    """List every claim, what is due first."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.common.checks import local_day
    from pinchbolt.workshop.proof.open_claim import claims

    seen = claims(local_day(now()))
    answer(plain.as_json(seen), [_line(one) for one in seen] or [worded("No claim.")], as_json=as_json)


@claim.command("open")
def open_one(
    kind: Kind, thing: Thing, broke: Annotated[str, typer.Argument(help=worded("What broke, and how."))],
    day: Day = None, by: As = "", key: Key = "", as_json: AsJson = False,
) -> None:  # fmt: skip
    """Open a claim; a tool or an instrument goes off the board by it."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.proof.open_claim import ClaimRequest, open_claim

    asked = ClaimRequest(kind, thing, broke, day.date() if day else None)
    seen = open_claim(asked, by=who(by), key=mark(key), now=now())
    answer(plain.as_json(seen), [_line(seen)], as_json=as_json)


@claim.command("move")
def move_one(
    number: Number, state: Annotated[str, typer.Argument(help=worded("sent, granted, refused or dropped."))],
    words: Annotated[str, typer.Option(help=worded("What they said."))] = "",
    answer_by: Annotated[datetime | None, typer.Option(formats=["%Y-%m-%d"], help=worded("When to ask again; left out: in two weeks."))] = None,
    by: As = "", key: Key = "", as_json: AsJson = False,
) -> None:  # fmt: skip
    """Write down what became of a claim."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.proof.open_claim import ClaimMoveRequest, move_claim

    asked = ClaimMoveRequest(number, state, words, answer_by.date() if answer_by else None)
    seen = move_claim(asked, by=who(by), key=mark(key), now=now())
    answer(plain.as_json(seen), [_line(seen)], as_json=as_json)


@claim.command("back")
def back(number: Number, by: As = "", key: Key = "", as_json: AsJson = False) -> None:
    """Take the last word about a claim back; where there is none, the claim itself."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.proof.open_claim import ClaimBackRequest, take_back_claim

    take_back_claim(ClaimBackRequest(number), by=who(by), key=mark(key), now=now())
    answer(
        {"done": True},
        [worded("Claim {number}: the last word was taken back.", number=number)],
        as_json=as_json,
    )


@claim.command("sheet")
def print_one(
    number: Number,
    out: Annotated[
        Path | None, typer.Option(help=worded("File for the PDF; left out: the sheet in words."))
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Show a claim with all that speaks for it, or write its sheet as PDF."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.proof.claim_sheet import claim_sheet
    from pinchbolt.workshop.proof.print_claim import print_claim

    if out is not None:
        out.write_bytes(print_claim(number, now()))
        answer({"written": str(out)}, [worded("written: {out}", out=out)], as_json=as_json)
        return
    seen = claim_sheet(number, now())
    one = seen.claim
    lines = [
        _line(one),
        one.warranty.words if one.warranty else worded("nothing is known of how it was bought"),
    ]
    lines += [words for words in (seen.distance, *seen.lacking) if words]
    lines += [*seen.markings, *seen.readings, *seen.torques, *seen.checks]
    lines.append(worded("{photos} photos", photos=len(seen.photos)))
    answer(plain.as_json(seen), lines, as_json=as_json)


@warranty.command("list")
def list_warranties(as_json: AsJson = False) -> None:
    """List what is known of how things were bought, the one that ends soonest first."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.common.checks import local_day
    from pinchbolt.workshop.proof.say_warranty import warranties

    seen = warranties(local_day(now()))
    lines = [f"{one.kind} {one.id}  {one.name}  {one.tag}  {one.words}" for one in seen]
    answer(
        plain.as_json(seen),
        lines or [worded("Nothing is known of how anything was bought.")],
        as_json=as_json,
    )


@warranty.command("say")
def say(
    kind: Kind, thing: Thing,
    bought: Annotated[datetime | None, typer.Option(formats=["%Y-%m-%d"], help=worded("Left out: not known."))] = None,
    seller: Annotated[str, typer.Option(help=worded("Of whom it was bought."))] = "",
    months: Annotated[int | None, typer.Option(help=worded("How long it is covered; left out: not known."))] = None,
    for_life: Annotated[bool, typer.Option("--for-life", help=worded("Covered as long as it lasts."))] = False,
    words: Annotated[str, typer.Option(help=worded("A note, such as the receipt's number."))] = "",
    receipt: Annotated[Path | None, typer.Option(help=worded("The receipt's photo: JPEG, PNG or WebP."))] = None,
    by: As = "", key: Key = "", as_json: AsJson = False,
) -> None:  # fmt: skip
    """Write down how a part, a tool or an instrument was bought."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.proof.say_warranty import WarrantyRequest, say_warranty

    day = bought.date() if bought else None
    asked = WarrantyRequest(kind, thing, day, seller, months, for_life, words)
    photo = receipt.read_bytes() if receipt else None
    seen = say_warranty(asked, photo, by=who(by), key=mark(key), now=now())
    answer(plain.as_json(seen), [f"{seen.name}: {seen.words}"], as_json=as_json)


def _line(one: "ClaimView") -> str:
    due = worded(", ask again {due}", due=one.due) if one.due and not one.is_over else ""
    return f"{one.id}  {one.state}{due}  {one.name}{f'  {one.tag}' if one.tag else ''}: {one.broke}"
