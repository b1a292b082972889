"""pinchbolt walk-round: what there is to read on a bike."""

from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer


def walk_round(
    job: Annotated[int, typer.Argument(help="Number of the job.")],
    as_json: AsJson = False,
) -> None:
    """List the readings of a job's bike in the order of the hands, with part, row and instruments."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.acts.lookups import job_by_id
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.stays.walk_round import walk_round as readings_due

    places = readings_due(job_by_id(job), now())
    lines = []
    for place in places:
        lines.append(place.words)
        for due in place.readings:
            state = due.taken.shown if due.taken else f"last {due.last}" if due.last else "not read"
            lines.append(
                f"  part {due.part}  {due.part_words}, {due.quantity} [{due.limit}, {due.unit}]: {state}"
            )
    answer(plain.as_json(places), lines, as_json=as_json)
