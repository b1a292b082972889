"""pinchbolt round: a bike's bolt round, and its ticks."""

from collections.abc import Iterable
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.values.tool_words import any_of
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.workshop.torque.bolt_round import RoundJoint

bolt_round = typer.Typer(
    help=worded("The bolt round of a bike: what is tried again, and its ticks."),
    no_args_is_help=True,
    rich_markup_mode=None,
)


@bolt_round.command("show")
def show(
    tag: Annotated[str, typer.Argument(help=worded("Tag of the bike."))],
    which: Annotated[
        str,
        typer.Option(help=worded("whole, first-ride, monthly or due; left out, the usual one of this bike.")),
    ] = "",
    as_json: AsJson = False,
) -> None:
    """List a bike's round in working order, with the tool and setting of each joint and today's ticks."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.torque.bolt_round import ROUNDS
    from pinchbolt.workshop.torque.bolt_round import bolt_round as round_of

    found = round_of(tag, which, now())
    head = worded(
        "{tag}, {rounds}: {ticked} of {joints} ticked.",
        tag=found.tag,
        rounds=ROUNDS[found.which],
        ticked=found.ticked,
        joints=len(found.joints),
    )
    lines = [
        head,
        *(worded("warning: {words}", words=words) for words in found.warnings),
        *(one.words for one in found.open),
    ]
    lines += [*(line for one in found.joints for line in _lines(one)), *found.cautions]
    answer(plain.as_json(found), lines, as_json=as_json)


def _lines(one: "RoundJoint") -> Iterable[str]:
    seen = one.joint
    if seen.setting is not None:
        how = worded("{set:g} N·m with {tool_name}", set=seen.setting.set, tool_name=seen.tool_name)
    else:
        how = (
            worded("by hand") if seen.by_hand else worded("no safe setting: {refused}", refused=seen.refused)
        )
    ticked = one.tick.words if one.tick else ("due" if one.is_due else worded("due {due}", due=one.due))
    yield f"  {seen.joint}: {seen.name}, {any_of(seen.drive)}, {how}. {ticked}"
    yield from (worded("    warning: {words}", words=words) for words in one.warnings)


@bolt_round.command("tick")
def tick(
    tag: Annotated[str, typer.Argument(help=worded("Tag of the bike."))],
    joint: Annotated[str, typer.Argument(help=worded("Joint, as the round lists it."))],
    done: Annotated[
        float | None,
        typer.Option(help=worded("It moved: what the tool showed when it was tight again, N·m.")),
    ] = None,
    tool: Annotated[
        int | None, typer.Option(help=worded("It moved: number of the torque tool on the board."))
    ] = None,
    sure: Annotated[
        bool, typer.Option("--sure", help=worded("Keep a value that is outside its range."))
    ] = False,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Tick a joint: it held at its setting; or with --done and --tool, it moved and was tightened."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.torque.bolt_round import TickRequest, tick_joint

    asked = TickRequest(tag, joint, done is None, tool, done, sure)
    found = tick_joint(asked, by=who(named), key=mark(key), now=now())
    answer(plain.as_json(found), [found.words], as_json=as_json)
