"""pinchbolt owner: what an owner rides beside one bike: further bikes, wheels on the wall, indoor trainers, displays."""

from datetime import datetime
from typing import Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

owner = typer.Typer(
    help=worded("What an owner rides: bikes, wheels on the wall, trainers; and what a display shows."),
    no_args_is_help=True,
    rich_markup_mode=None,
)
Tag = Annotated[str, typer.Argument(metavar="TAG", help=worded("Tag of a bike of this owner."))]


@owner.command("of")
def of(tag: Tag, as_json: AsJson = False) -> None:
    """Say what the owner of a bike rides, and what the bike's display showed."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common.plain_json import as_json as plain
    from pinchbolt.workshop.rides.ridden import bike_ridden

    seen = bike_ridden(tag, now())
    lines = [f"{one}: {words}" for one, words in seen.things.bikes]
    lines += [
        worded("trainer {number}: {words}", number=number, words=words)
        for number, words in seen.things.trainers
    ]
    lines += [
        f"{one.name}: {one.words}: {', '.join(one.parts) or worded('nothing hangs there')}"
        for one in seen.things.pegs
    ]
    lines += [
        worded(
            "display of {tag} on {day}: {what} {value} {unit}{words}",
            tag=seen.tag,
            day=one.day,
            what=one.what,
            value=figure_text(one.value, 0),
            unit=one.unit,
            words=f"; {one.words}" if one.words else "",
        )
        for one in seen.displays
    ]
    answer({"things": plain(seen.things), "displays": plain(seen.displays)}, lines, as_json=as_json)


@owner.command("bike")
def bike(
    tag: Tag,
    template: Annotated[str, typer.Option(help=worded("Build template, such as road-disc."))] = "",
    kind: Annotated[
        str, typer.Option(help=worded("Kind of bike that no template fits, started with its frame."))
    ] = "",
    words: Annotated[str, typer.Option(help=worded("The bike in words."))] = "",
    on_since: Annotated[
        datetime | None, typer.Option(formats=["%Y-%m-%d"], help=worded("The bike was new on this day."))
    ] = None,
    all_along: Annotated[
        bool, typer.Option("--all-along", help=worded("Its parts are on it as long as the owner has it."))
    ] = False,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write down a further bike of this owner; it need not come in."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common.plain_json import as_json as plain
    from pinchbolt.workshop.rides.owners_things import OwnBikeRequest, add_own_bike

    asked = OwnBikeRequest(
        tag,
        template,
        kind,
        words,
        on_since=on_since.date() if on_since else None,
        all_along=all_along,
    )
    made = add_own_bike(asked, by=who(named), key=mark(key), now=now())
    answer(
        plain(made),
        [worded("{name} is written down: {words}", name=made.name, words=made.words)],
        as_json=as_json,
    )


@owner.command("wheels")
def wheels(
    tag: Tag,
    words: Annotated[str, typer.Argument(help=worded("What the wheels are called."))],
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write down a second set of wheels for a bike; it hangs on the wall. Put it on: pinchbolt move 'both wheels' --exchange"""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common.plain_json import as_json as plain
    from pinchbolt.workshop.rides.owners_things import OwnWheelsRequest, add_own_wheels

    made = add_own_wheels(OwnWheelsRequest(tag, words), by=who(named), key=mark(key), now=now())
    next_step = worded(
        "pinchbolt move 'both wheels' --out-of '{name}' --into {tag} --exchange",
        name=made.name,
        tag=tag.upper(),
    )
    answer(
        plain(made),
        [
            worded(
                "{name}: {words}. Put them on: {next_step}",
                name=made.name,
                words=made.words,
                next_step=next_step,
            )
        ],
        as_json=as_json,
    )


@owner.command("trainer")
def trainer(
    tag: Tag,
    words: Annotated[str, typer.Argument(help=worded("What the trainer is called."))],
    sprockets: Annotated[
        bool, typer.Option("--sprockets", help=worded("It has sprockets of its own."))
    ] = False,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write down an indoor trainer of this owner, which takes the rear wheel's place."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common.plain_json import as_json as plain
    from pinchbolt.workshop.rides.owners_things import OwnTrainerRequest, add_own_trainer

    asked = OwnTrainerRequest(tag, words, sprockets)
    made = add_own_trainer(asked, by=who(named), key=mark(key), now=now())
    answer(plain(made), [f"{made.name}: {made.words}"], as_json=as_json)


@owner.command("shown")
def display(
    tag: Tag,
    what: Annotated[str, typer.Argument(help=worded("odometer, 'motor hours' or 'charge cycles'."))],
    value: Annotated[float, typer.Argument(help=worded("What it shows: km, h or cycles."))],
    day: Annotated[
        datetime | None, typer.Option(formats=["%Y-%m-%d"], help=worded("The day, if not today."))
    ] = None,
    corrects: Annotated[
        int | None, typer.Option(help=worded("Number of the entry that this one puts right."))
    ] = None,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write down what a bike's own display shows; two days of an odometer are a distance."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common.checks import local_day
    from pinchbolt.workshop.rides.displays import UNITS, DisplayRequest, note_display

    moment = now()
    on = day.date() if day else local_day(moment)
    number = note_display(
        DisplayRequest(tag, what, value, on, corrects), by=who(named), key=mark(key), now=moment
    )
    lines = [
        worded(
            "{tag}, {on}: {what} {value} {units} (entry {number})",
            tag=tag.upper(),
            on=on,
            what=what,
            value=figure_text(value, 0),
            units=UNITS[what],
            number=number,
        )
    ]
    answer({"entry": number}, lines, as_json=as_json)


@owner.command("give-over")
def give_over_bike(
    tag: Tag,
    to: Annotated[str, typer.Option(help=worded("Tag of a bike of the new owner, who is known here."))] = "",
    name: Annotated[
        str, typer.Option(help=worded("Name of a new owner who was never here; empty: not known."))
    ] = "",
    phone: Annotated[str, typer.Option(help=worded("Their phone number."))] = "",
    day: Annotated[
        datetime | None, typer.Option(formats=["%Y-%m-%d"], help=worded("From which day on, if not today."))
    ] = None,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write down that a bike has another owner; its stays until then stay with whose it was."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.acts.lookups import bike_by_tag
    from pinchbolt.workshop.common.plain_json import as_json as plain
    from pinchbolt.workshop.owners.give_over import GiveOverRequest, give_over

    known = bike_by_tag(to).owner_id if to else None
    asked = GiveOverRequest(tag, known, name, phone, day.date() if day else None)
    seen = give_over(asked, by=who(named), key=mark(key), now=now())
    lines = [
        worded(
            "{tag}: {gone_from}'s until {day}, then {gone_to}'s.",
            tag=seen.tag,
            gone_from=seen.gone_from,
            day=seen.day,
            gone_to=seen.gone_to,
        ),
        worded("Take it back: pinchbolt owner not-given {giving}", giving=seen.giving),
    ]
    answer(plain(seen), lines, as_json=as_json)


@owner.command("not-given")
def not_given(
    giving: Annotated[int, typer.Argument(metavar="NUMBER", help=worded("Number of the giving over."))],
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Take the newest giving over of a bike back."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.owners.give_over import UndoGiveOverRequest, undo_give_over

    tag = undo_give_over(UndoGiveOverRequest(giving), by=who(named), key=mark(key), now=now())
    answer({"tag": tag}, [worded("{tag}: it did not change hands.", tag=tag)], as_json=as_json)
