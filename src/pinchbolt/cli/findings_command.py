"""pinchbolt findings: what was found on a bike, worst first, with reasons."""

from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.values.wording import worded


def findings(
    job: Annotated[int, typer.Argument(help=worded("Number of the job."))],
    why: Annotated[bool, typer.Option("--why", help=worded("With the reasons of each finding."))] = False,
    as_json: AsJson = False,
) -> None:
    """List the findings of a job, worst first."""
    from pinchbolt.cli.starting import opened

    opened()
    from pinchbolt.workshop.acts.lookups import job_by_id
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.stays.note_finding import findings_of

    found = findings_of(job_by_id(job))
    lines = []
    for one in found:
        lines.append(f"{one.verdict}: {one.part_words}. {one.words}")
        lines += [worded("  doubt: {doubt}", doubt=doubt) for doubt in one.doubts]
        lines += [worded("  because {words}", words=reason.words) for reason in one.reasons] if why else []
    answer(plain.as_json(found), lines or [worded("Nothing was found yet.")], as_json=as_json)
