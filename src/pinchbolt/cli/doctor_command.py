"""pinchbolt doctor: is this installation well?"""

import typer

from pinchbolt.cli.answering import AsJson, answer


def doctor(as_json: AsJson = False) -> None:
    """Look over Python, the database, the tables, fonts, folders, clock, disk and tools; exit code 2 if something is wrong."""
    from pinchbolt.cli.starting import load, now

    load()
    from pinchbolt.serving.doctor import look_over

    found = look_over(now())
    well = all(one.good or not one.stops for one in found)
    told = [{"what": one.what, "good": one.good, "words": one.words} for one in found]
    lines = [f"{'good' if one.good else 'LOOK'}  {one.what}: {one.words}" for one in found]
    answer({"well": well, "checks": told}, lines, as_json=as_json)
    if not well:
        raise typer.Exit(2)
