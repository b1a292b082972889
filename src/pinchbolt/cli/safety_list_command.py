"""pinchbolt safety-list: what must be true before a bike leaves, who must look, and why it is asked of this bike."""

from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.values.wording import worded


def safety_list(
    job: Annotated[int, typer.Argument(help=worded("Number of the job."))],
    as_json: AsJson = False,
) -> None:
    """List the safety items of a job's bike: who looks, what it is if not met, and why it is on the list."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.acts.lookups import job_by_id
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.leaving.sign_off import sign_off_list

    found = sign_off_list(job_by_id(job), now())
    lines = []
    for item in found.items:
        met = worded("checked by {met_by}", met_by=item.met_by) if item.met_by else worded("not checked yet")
        again = worded(", again by {second_by}", second_by=item.second_by) if item.second_by else ""
        lines += [
            f"{item.id}: {item.words}",
            worded(
                "  {who_looks}; if not: {if_not}; on the list for: {why}",
                who_looks=item.who_looks,
                if_not=item.if_not,
                why="; ".join(item.why),
            ),
            worded("  could not be seen: {unseen}", unseen=item.unseen)
            if item.unseen
            else f"  {item.missing or met + again}",
        ]
    lines += [worded("not seen: {sentence}", sentence=one.sentence) for one in found.not_seen]
    lines += [worded("stops the sign-off: {words}", words=words) for words in found.stops]
    answer(plain.as_json(found), lines, as_json=as_json)
