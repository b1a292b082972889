"""pinchbolt reading: one reading is written down and judged."""

from typing import Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.values.wording import worded


def reading(
    job: Annotated[int, typer.Argument(help=worded("Number of the job."))],
    part: Annotated[int, typer.Argument(help=worded("Number of the part, as in pinchbolt walk-round."))],
    limit: Annotated[str, typer.Argument(help=worded("Row that is read, as in pinchbolt walk-round."))],
    value: Annotated[
        str | None,
        typer.Option(help=worded('What the gauge shows; with its unit if it is another: "12 1/16 in".')),
    ] = None,
    low: Annotated[
        float | None, typer.Option(help=worded("Go/no-go gauge: it is over this. Leave out if not."))
    ] = None,
    high: Annotated[
        float | None, typer.Option(help=worded("High end of a go/no-go result; left out where it is open."))
    ] = None,
    word: Annotated[str, typer.Option(help=worded("yes or no, for what is seen."))] = "",
    not_seen: Annotated[
        str, typer.Option(help=worded('In place of a reading: "could not see" or "not looked at".'))
    ] = "",
    why: Annotated[str, typer.Option(help=worded("What stood in the way, where it was not seen."))] = "",
    instrument: Annotated[int | None, typer.Option(help=worded("Number of the gauge on the board."))] = None,
    place: Annotated[str, typer.Option(help=worded("Where it was measured."))] = "",
    km: Annotated[float | None, typer.Option(help=worded("Distance since the part was fitted, km."))] = None,
    known: Annotated[
        str, typer.Option(help=worded("How that is known: ride files, odometer, owner's word, guess."))
    ] = "owner's word",
    corrects: Annotated[
        int | None, typer.Option(help=worded("Number of the reading that this one puts right."))
    ] = None,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Save one reading (--value, or --low and --high, or --word) and print its finding.

    What could not be seen is no reading: say so with --not-seen.
    """
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading

    if not_seen:
        from pinchbolt.workshop.stays.not_seen import NotSeenRequest, say_not_seen

        look = NotSeenRequest(job, part, limit, not_seen, why, corrects)
        seen = say_not_seen(look, by=who(named), key=mark(key), now=now())
        answer(plain.as_json(seen), [worded("not seen: {sentence}", sentence=seen.sentence)], as_json=as_json)
        return
    asked = ReadingRequest(
        job=job,
        part=part,
        limit=limit,
        instrument=instrument,
        said=value or "",
        low=low,
        high=high,
        word=word,
        place=place,
        distance_km=km,
        distance_known=known,
        corrects=corrects,
    )
    taken = take_reading(asked, by=who(named), key=mark(key), now=now())
    found = taken.finding
    lines = [
        f"{found.verdict}: {found.words}",
        *(worded("doubt: {doubt}", doubt=doubt) for doubt in found.doubts),
    ]
    answer(plain.as_json(taken), lines, as_json=as_json)
