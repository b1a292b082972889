"""pinchbolt day, promise, calendar: the day ahead, the days for a job with their odds, the calendar as a file."""

from pathlib import Path
from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.values.wording import worded


def day(as_json: AsJson = False) -> None:
    """Show the day ahead: whom to call, who is in and what is next, what waits, promises with their odds."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.day.day_board import day_board

    seen = day_board(now())
    lines = [worded("full: {full}", full=seen.full)] if seen.full else []
    lines += [
        worded("call: {tag}, {odds_words}. {call}", tag=one.tag, odds_words=one.odds_words, call=one.call)
        for one in seen.to_call
    ]
    for person in seen.people:
        lines.append(f"{person.name}: {person.hours or worded('away today')}")
        lines += [f"  {one.tag} {one.bike_words}: {one.why}" for one in person.jobs]
    lanes = (
        ("waits for a part", seen.for_part),
        ("waits for the owner", seen.for_owner),
        ("cures", seen.curing),
        ("late", seen.overdue),
    )
    lines += [f"{name}: {one.tag}, {one.why}" for name, jobs in lanes for one in jobs]
    lines += [
        worded(
            "promised: {tag} {promise:%a %d %b %H:%M}, {odds_words}",
            tag=one.tag,
            promise=one.promise,
            odds_words=one.odds_words,
        )
        for one in seen.promises
    ]
    answer(plain.as_json(seen), lines or [worded("No bike is here.")], as_json=as_json)


def promise(
    job: Annotated[int | None, typer.Option("--job", help=worded("Number of a job that is here."))] = None,
    size: Annotated[
        str, typer.Option("--size", help=worded("A bike that comes in: small, usual or big work."))
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Show by which days a job can be promised, how likely each is, and what that does to the other promises."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.day.days_told import days_for_job, days_for_new

    if (job is None) == (not size):
        raise InputRefused(
            worded(
                "Name a job that is here with --job N, or the size of a bike that comes in with --size usual."
            )
        )
    told = days_for_new(size, now()) if job is None else days_for_job(job, now())
    lines = [one.words for one in told.days]
    lines += [worded("does to {tag}: {words}", tag=one.tag, words=one.words) for one in told.others]
    lines += [worded("because {words}", words=one.words) for one in told.why]
    lines += [worded("doubt: {one}", one=one) for one in told.doubts]
    answer(plain.as_json(told), lines, as_json=as_json)


def calendar(
    output: Annotated[
        Path, typer.Argument(help=worded("File to write, such as shop.ics; it is made new if it is there."))
    ],
    of: Annotated[
        str, typer.Option("--of", help=worded("A person's sign-in name; else the shop's."))
    ] = "shop",
) -> None:
    """Write the calendar of the shop or of a person: promises, the plan, days off (RFC 5545)."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.day.calendar import calendar as calendar_of

    if output.suffix.lower() != ".ics":
        raise InputRefused(
            worded(
                "{name} is no calendar's name: a file that ends in .ics is written. Name one.",
                name=output.name,
            )
        )
    text = calendar_of(of, now())
    if output.exists() and not output.read_bytes().startswith(b"BEGIN:VCALENDAR"):
        raise NotPossibleNow(
            worded(
                "{output} is there and is no calendar: it is left as it is. Name another file.", output=output
            )
        )
    output.write_bytes(text.encode())
    typer.echo(worded("{output}: {count} entries", output=output, count=text.count("BEGIN:VEVENT")))
