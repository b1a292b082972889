"""pinchbolt walk-round: what there is to read on a bike, or which look next in so many minutes."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.workshop.looks.walk_list import WalkList
    from pinchbolt.workshop.stays.walk_round import PlaceDue


def walk_round(
    job: Annotated[int, typer.Argument(help=worded("Number of the job."))],
    minutes: Annotated[
        float | None,
        typer.Option(
            help=worded("Minutes at the stand: the looks that are worth most in them, each with its reason.")
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """List the readings of a job's bike in the order of the hands; with --minutes the looks that are worth most in them."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.acts.lookups import job_by_id
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.looks.walk_list import walk_list
    from pinchbolt.workshop.stays.walk_round import walk_round as readings_due

    found = job_by_id(job)
    if minutes is None:
        places = readings_due(found, now())
        answer(plain.as_json(places), list(_readings(places)), as_json=as_json)
    else:
        chosen = walk_list(found, now(), minutes)
        answer(plain.as_json(chosen), list(_looks(chosen)), as_json=as_json)


def _readings(places: "tuple[PlaceDue, ...]") -> Iterator[str]:
    for place in places:
        yield place.words
        for due in place.readings:
            state = (
                due.taken.shown
                if due.taken
                else worded("last {last}", last=due.last)
                if due.last
                else worded("not read")
            )
            yield worded(
                "  part {part}  {part_words}, {quantity} [{limit}, {unit}]: {state}",
                part=due.part,
                part_words=due.part_words,
                quantity=due.quantity,
                limit=due.limit,
                unit=due.unit,
                state=state,
            )


def _looks(chosen: "WalkList") -> Iterator[str]:
    for told in chosen.complaints:
        yield told.sentence
    yield worded(
        "{sentence}; {cards} to go, about {seconds:.0f} min",
        sentence=chosen.count.sentence,
        cards=sum(len(card.looks) for card in chosen.cards),
        seconds=chosen.seconds / 60,
    )
    for card in chosen.cards:
        yield f"{card.words}, {card.seconds:.0f} s"
        for one in card.looks:
            opens = worded(" (first: {opens})", opens=", ".join(one.opens)) if one.opens else ""
            yield f"  {one.look}  {one.words}{opens}: {one.reason}"
    if chosen.enough:
        yield worded("The next look is worth less than its minute on the bench; you decide.")
    if chosen.left:
        yield worded(
            "not in these minutes: {count}, among them {looks}",
            count=len(chosen.left),
            looks="; ".join(one.words for one in chosen.left[:3]),
        )
