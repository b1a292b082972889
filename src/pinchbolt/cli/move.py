"""pinchbolt move: write down that a part went from one bike or indoor trainer to another."""

from typing import Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who


def move(
    part: Annotated[str, typer.Argument(help="rear wheel, front wheel, cassette, rotor front, chain ...")],
    out_of: Annotated[str, typer.Option(metavar="TAG", help="Bike, or 'trainer 1', that it came out of.")],
    into: Annotated[str, typer.Option(metavar="TAG", help="Bike, or 'trainer 1', that has it now.")],
    exchange: Annotated[bool, typer.Option("--exchange", help="What was there went the other way.")] = False,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write down that a part was moved, with what it carries: build sheets and use follow. Plan it first: pinchbolt swap"""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop import plain
    from pinchbolt.workshop.move_part import MoveAsked, move_part

    done = move_part(MoveAsked(part, out_of, into, exchange), by=who(named), key=mark(key), now=now())
    lines = [
        f"Into {done.into}: {', '.join(done.went)}.",
        *([f"Back to {done.out_of}: {', '.join(done.came_back)}."] if done.came_back else []),
        *([f"Taken off {done.into}: {', '.join(done.taken_off)}."] if done.taken_off else []),
    ]
    answer(plain.as_json(done), lines, as_json=as_json)
