"""pinchbolt check-in: a bike comes in."""

from datetime import datetime
from decimal import Decimal, InvalidOperation
from typing import Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded


def check_in(
    tag: Annotated[str, typer.Option(help=worded("Tag of a bike that was here before."))] = "",
    template: Annotated[
        str, typer.Option(help=worded("Build template of a new bike, such as road-disc."))
    ] = "",
    kind: Annotated[
        str,
        typer.Option(
            help=worded("Kind of a new bike that no template fits, such as trike: started with its frame.")
        ),
    ] = "",
    owner: Annotated[str, typer.Option(help=worded("Owner of a new bike."))] = "",
    owner_of: Annotated[
        str,
        typer.Option(metavar="TAG", help=worded("A new bike of somebody known: a bike of theirs, by tag.")),
    ] = "",
    another_person: Annotated[
        bool, typer.Option("--another-person", help=worded("Another person of a name that is known here."))
    ] = False,
    phone: Annotated[str, typer.Option(help=worded("Owner's phone."))] = "",
    reach: Annotated[str, typer.Option(help=worded("How to reach the owner."))] = "",
    bike: Annotated[str, typer.Option(help=worded("A new bike in words."))] = "",
    frame: Annotated[str, typer.Option(help=worded("Frame number."))] = "",
    speeds: Annotated[int | None, typer.Option(help=worded("Sprockets behind."))] = None,
    use: Annotated[str, typer.Option(help=worded("Riding: dry road, mixed, mud, e-bike, indoor."))] = "",
    says: Annotated[str, typer.Option(help=worded("What the owner says, as said."))] = "",
    complaint: Annotated[
        list[str] | None,
        typer.Option(
            help=worded("What the owner complains of, by its row, such as creak; may be given again.")
        ),
    ] = None,
    seen: Annotated[str, typer.Option(help=worded("Marks that are there already."))] = "",
    left: Annotated[str, typer.Option(help=worded("What is left with the bike."))] = "",
    limit: Annotated[
        str, typer.Option(help=worded("Spend without a call, in the workshop's currency."))
    ] = "",
    promise: Annotated[datetime | None, typer.Option(help=worded("Day and hour that was promised."))] = None,
    km: Annotated[
        float | None, typer.Option(help=worded("Distance since the last stay, km, as the owner says."))
    ] = None,
    km_a_week: Annotated[float | None, typer.Option(help=worded("Distance in a usual week, km."))] = None,
    on_since: Annotated[
        datetime | None,
        typer.Option(
            formats=["%Y-%m-%d"], help=worded("The bike was new on this day, and its parts with it.")
        ),
    ] = None,
    all_along: Annotated[
        bool, typer.Option("--all-along", help=worded("Its parts are on it as long as the owner has it."))
    ] = False,
    chain_since: Annotated[
        datetime | None,
        typer.Option(formats=["%Y-%m-%d"], help=worded("The last chain is on since this day.")),
    ] = None,
    odometer: Annotated[float | None, typer.Option(help=worded("What its own odometer shows, km."))] = None,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Check a bike in: a known one by --tag, or a new one by --owner and --template (or --kind alone)."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.stays.check_in import CheckInRequest, ask_who
    from pinchbolt.workshop.stays.check_in import check_in as check_in_bike

    asked = CheckInRequest(
        tag=tag,
        template=template,
        bike_kind=kind,
        owner_of=owner_of,
        another_person=another_person,
        owner_name=owner,
        owner_phone=phone,
        owner_reach=reach,
        bike_words=bike,
        frame_number=frame,
        speeds=speeds,
        use_class=use,
        owner_words=says,
        complaints=tuple(complaint or ()),
        seen_words=seen,
        left_with=left,
        spend_limit=_money(limit),
        promise=promise,
        distance_km=km,
        km_a_week=km_a_week,
        on_since=on_since.date() if on_since else None,
        all_along=all_along,
        chain_since=chain_since.date() if chain_since else None,
        odometer_km=odometer,
    )
    request_mark = mark(key)
    ask_who(asked, request_mark)
    taken = check_in_bike(asked, by=who(named), key=request_mark, now=now())
    new = worded("new bike") if taken.is_new_bike else worded("known bike")
    told = {"job": taken.job, "tag": taken.tag, "is_new_bike": taken.is_new_bike}
    answer(
        told,
        [
            worded(
                "{tag} is in ({new}), job {job}. Next: pinchbolt walk-round {job}",
                tag=taken.tag,
                new=new,
                job=taken.job,
            )
        ],
        as_json=as_json,
    )


def _money(words: str) -> Decimal | None:
    """A sum of money as typed, or None."""
    if not words:
        return None
    try:
        return Decimal(words)
    except InvalidOperation:
        sentence = worded(
            'The limit without a call is "{words}": a sum such as 30 or 30.50 is allowed. Type it again.',
            words=words[:20],
        )
        raise InputRefused(sentence, {"spend_limit": sentence}) from None
