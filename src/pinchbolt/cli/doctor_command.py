"""pinchbolt doctor: is this installation well?"""

from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.values.wording import worded


def doctor(
    again: Annotated[
        bool,
        typer.Option(
            "--rebuild",
            help=worded("First write again what follows from the events; nothing said or done is touched."),
        ),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Look everything over. Exit code: 0 well, 1 must not stay so (an old backup), 2 nobody should work before it is put right."""
    from pinchbolt.cli.starting import load, now

    load()
    from pinchbolt.serving.doctor import exit_code, look_over, rebuild

    put_right = rebuild() if again else 0
    found = look_over(now())
    code = exit_code(found)
    well = code < 2
    told = [{"what": one.what, "good": one.good, "words": one.words} for one in found]
    lines = [worded("Written again: {put_right} bikes corrected.", put_right=put_right)] if again else []
    lines += [f"{'good' if one.good else 'LOOK'}  {one.what}: {one.words}" for one in found]
    more = {"put_right": put_right} if again else {}
    answer({"well": well, "exit_code": code, "checks": told, **more}, lines, as_json=as_json)
    if code:
        raise typer.Exit(code)
