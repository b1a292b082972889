"""pinchbolt move: write down that a part went from one bike or indoor trainer to another."""

from datetime import datetime
from decimal import Decimal
from typing import Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded


def move(
    part: Annotated[
        str, typer.Argument(help=worded("rear wheel, front wheel, cassette, rotor front, chain ..."))
    ],
    out_of: Annotated[
        str, typer.Option(metavar="TAG", help=worded("Bike, or 'trainer 1', that it came out of."))
    ],
    into: Annotated[str, typer.Option(metavar="TAG", help=worded("Bike, or 'trainer 1', that has it now."))],
    exchange: Annotated[
        bool, typer.Option("--exchange", help=worded("What was there went the other way."))
    ] = False,
    day: Annotated[
        datetime | None, typer.Option(formats=["%Y-%m-%d"], help=worded("The day of the move, if not today."))
    ] = None,
    gone_to: Annotated[
        str, typer.Option("--gone-to", help=worded("Where what was there goes: owner, bins or scrap."))
    ] = "owner",
    price: Annotated[float, typer.Option(help=worded("What it costs in the bins."))] = 0.0,
    corrects: Annotated[
        int | None,
        typer.Option(
            help=worded("Number of a move that was written down: its day is put right, and nothing else.")
        ),
    ] = None,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write down that a part was moved, with what it carries: build sheets and use follow. Plan it first: pinchbolt swap"""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.bikes.move_part import MoveDayRequest, MoveRequest, move_part, put_move_right
    from pinchbolt.workshop.common import plain_json as plain

    on = day.date() if day is not None else None
    if corrects is not None:
        if on is None:
            sentence = worded("A move is put right by its day: give --day. Type it again.")
            raise InputRefused(sentence, {"day": sentence})
        number = put_move_right(MoveDayRequest(corrects, on), by=who(named), key=mark(key), now=now())
        answer(
            {"move": number},
            [worded("The move was on {on:%d %b %Y}: every part's use follows.", on=on)],
            as_json=as_json,
        )
        return
    asked = MoveRequest(part, out_of, into, exchange, on, gone_to, Decimal(str(price)))
    done = move_part(asked, by=who(named), key=mark(key), now=now())
    lines = [
        worded("Into {into}: {went}.", into=done.into, went=", ".join(done.went)),
        *(
            [
                worded(
                    "Back to {out_of}: {came_back}.", out_of=done.out_of, came_back=", ".join(done.came_back)
                )
            ]
            if done.came_back
            else []
        ),
        *(
            [worded("Its day can be put right: --corrects {event} --day.", event=done.event)]
            if done.event
            else []
        ),
        *(
            [
                worded(
                    "Taken off {into}, now {lies}: {taken_off}.",
                    into=done.into,
                    lies=done.lies or worded("with the owner"),
                    taken_off=", ".join(done.taken_off),
                )
            ]
            if done.taken_off
            else []
        ),
    ]
    answer(plain.as_json(done), lines, as_json=as_json)
