"""pinchbolt torque sheet, done, mark: the torque sheet of a job, its done values, and what is marked on parts."""

from collections.abc import Iterable
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.errors import InputRefused
from pinchbolt.values.tool_words import any_of
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.workshop.torque.torque_sheet import JointView


def show_sheet(
    job: Annotated[int, typer.Argument(help=worded("Number of the job."))],
    as_json: AsJson = False,
) -> None:
    """List the joints of a job in working order: driver, preparation, tool and setting, done value."""
    from pinchbolt.cli.starting import opened, today

    opened()
    from pinchbolt.workshop.acts.lookups import job_by_id
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.torque.torque_sheet import sheet_with_order

    found = sheet_with_order(job_by_id(job), today())
    lines = [line for one in found.joints for line in _lines(one)]
    lines += [found.order.words] if lines else []
    lines += [one.words for one in found.open]
    answer(plain.as_json(found), lines or [worded("No joint is on this sheet.")], as_json=as_json)


def _lines(one: "JointView") -> Iterable[str]:
    if one.setting is not None:
        how = worded("set {set:g} N·m on {tool_name}", set=one.setting.set, tool_name=one.tool_name)
    else:
        how = worded("by hand") if one.by_hand else f"NO SETTING: {one.refused}"
    hand = "" if one.hand == "right" else worded(", thread: {hand}", hand=one.hand)
    against = worded(", held against by {counter}", counter=any_of(one.counter)) if one.counter else ""
    yield f"{one.joint}: {one.name}, {one.count} x {any_of(one.drive)}{against}, {one.preparation}{hand}; {how}"
    yield f"  {one.pattern}"
    if one.done is not None:
        yield worded(
            "  done: {words}{doubt}",
            words=one.done.words,
            doubt=f" {one.done.doubt}" if one.done.doubt else "",
        )
    yield from (worded("  warning: {words}", words=words) for words in one.warnings)
    yield from (
        worded("  warning: {words}", words=words) for words in (one.bolt.warnings if one.bolt else ())
    )
    yield from (worded("  caution: {words}", words=words) for words in (one.caution, *one.cautions) if words)


def write_done(
    job: Annotated[int, typer.Argument(help=worded("Number of the job."))],
    joint: Annotated[str, typer.Argument(help=worded("Joint, as the sheet lists it."))],
    value: Annotated[
        float | None, typer.Option(help=worded("What the tool showed, N·m; left out: by hand."))
    ] = None,
    tool: Annotated[int | None, typer.Option(help=worded("Number of the torque tool on the board."))] = None,
    sure: Annotated[
        bool, typer.Option("--sure", help=worded("Keep a value that is outside its range."))
    ] = False,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write a done value down; out of the window it asks, and keeps it with --sure."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.torque.record_done import (
        DoneByHandRequest,
        DoneRequest,
        record_done,
        tighten_by_hand,
    )

    if (value is None) != (tool is None):
        raise InputRefused(
            worded(
                "A torque saved has its tool: give --value and --tool, or neither where it was done by hand."
            )
        )
    by, request, when = who(named), mark(key), now()
    if value is not None and tool is not None:
        found = record_done(DoneRequest(job, joint, tool, value, None, sure), by=by, key=request, now=when)
    else:
        found = tighten_by_hand(DoneByHandRequest(job, joint), by=by, key=request, now=when)
    answer(plain.as_json(found), [found.words], as_json=as_json)


def write_marking(
    tag: Annotated[str, typer.Argument(help=worded("Tag of the bike."))],
    joint: Annotated[str, typer.Argument(help=worded("Joint of the bike."))],
    part: Annotated[str, typer.Argument(help=worded("Part that is marked."))],
    marked: Annotated[str, typer.Argument(help=worded("As printed: 6, 4-6, 44 lbf in ..."))],
    target: Annotated[
        bool,
        typer.Option(
            "--target", help=worded("The maker names this value as the one to use; it limits nothing.")
        ),
    ] = False,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write down what is marked on a part of a joint; the newest marking of a part counts."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.questions.ask_torque import as_printed
    from pinchbolt.workshop.torque.read_marking import MarkingRequest, read_marking

    read = as_printed(part, marked)
    if target:
        asked = MarkingRequest(tag, joint, part, target_n_m=read.greatest)
    else:
        asked = MarkingRequest(tag, joint, part, read.greatest, read.least)
    found = read_marking(asked, by=who(named), key=mark(key), now=now())
    answer(plain.as_json(found), _lines(found), as_json=as_json)
