"""pinchbolt doctor: is this installation well?"""

from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer


def doctor(
    again: Annotated[
        bool,
        typer.Option(
            "--rebuild",
            help="First write anew what follows from the events; nothing said or done is touched.",
        ),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Look over Python, the database, the tables, fonts, folders, clock, disk and tools; exit code 2 if something is wrong."""
    from pinchbolt.cli.starting import load, now

    load()
    from pinchbolt.serving.doctor import look_over, rebuild

    put_right = rebuild() if again else 0
    found = look_over(now())
    well = all(one.good or not one.stops for one in found)
    told = [{"what": one.what, "good": one.good, "words": one.words} for one in found]
    lines = [f"Written anew: {put_right} bikes put right."] if again else []
    lines += [f"{'good' if one.good else 'LOOK'}  {one.what}: {one.words}" for one in found]
    answer(
        {"well": well, "checks": told, **({"put_right": put_right} if again else {})}, lines, as_json=as_json
    )
    if not well:
        raise typer.Exit(2)
