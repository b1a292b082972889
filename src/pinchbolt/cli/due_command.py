"""pinchbolt due: who comes back in the weeks ahead; pinchbolt letters: what waits in the outbox, and sending it."""

from typing import Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.values.wording import worded


def due(
    weeks: Annotated[int, typer.Option(help=worded("How many weeks, 1 to 26."))] = 8, as_json: AsJson = False
) -> None:
    """List who is to be asked back in which week, safety first, with reason and risk."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.asking_back.due_back import due_back
    from pinchbolt.workshop.common import plain_json as plain

    seen = due_back(now(), weeks)
    lines = []
    for week in seen.weeks:
        if not week.bikes:
            continue
        over = worded(", {over} minutes more than the week holds", over=week.over) if week.over else ""
        lines.append(
            worded(
                "week of {first:%a} {day} {first:%b}{over}", first=week.first, day=week.first.day, over=over
            )
        )
        for one in week.bikes:
            ways = ", ".join(each.by_way for each in one.ways) or (
                worded("never asked whether we may") if one.never_asked else worded("said no yes to any way")
            )
            lines.append(f"  {one.tag}  {'SAFETY  ' if one.safety else ''}{one.owner}: {one.reason}")
            lines += [
                f"      {told}" for told in (one.risk_words, one.said.words if one.said else "") if told
            ]
            lines.append(worded("      may be reached by: {ways}", ways=ways))
    lines += [
        worded("not now: {tag}, {words}", tag=one.tag, words=one.said.words)
        for one in seen.not_now
        if one.said
    ]
    answer(
        plain.as_json(seen),
        lines or [worded("Nobody is due within {weeks} weeks.", weeks=weeks)],
        as_json=as_json,
    )


def letters(
    send: Annotated[
        bool,
        typer.Option(
            "--send", help=worded("Send every e-mail through the mail server that the settings name.")
        ),
    ] = False,
    by: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """List the letters that wait in the outbox; those that may not go any more are taken away."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.asking_back.make_letters import outbox, send_letters
    from pinchbolt.workshop.common import plain_json as plain

    if send:
        told = send_letters(by=who(by), key=mark(key), now=now())
        answer(list(told), told or [worded("No e-mail waits.")], as_json=as_json)
        return
    waiting = outbox()
    lines = [f"{one.letter}  {one.tag}  {one.way}  {one.file}" for one in waiting]
    answer(plain.as_json(waiting), lines or [worded("No letter waits.")], as_json=as_json)
