"""pinchbolt tools: what hangs on the board, and what is to be checked."""

from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.workshop.tools.tool_board import CheckDue, InstrumentView, ToolView

tools = typer.Typer(
    help=worded("The tool board: what hangs here, what is to be checked, and the checks."),
    rich_markup_mode=None,
    invoke_without_command=True,
)


@tools.callback()
def board(
    context: typer.Context,
    due: Annotated[
        bool, typer.Option("--due", help=worded("Only what is to be checked, the soonest first."))
    ] = False,
    as_json: AsJson = False,
) -> None:
    """List what hangs here, with its doubt and its dates; with --due what is to be checked."""
    if context.invoked_subcommand is not None:
        return
    from pinchbolt.cli.starting import opened, today

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.tools.tool_board import due_list, tool_board

    if due:
        told = due_list(today())
        lines = [_due_line(one) for one in told]
        answer(plain.as_json(told), lines or [worded("Nothing here has a term.")], as_json=as_json)
        return
    hung, instruments = tool_board(today())
    lines = [_tool_line(one) for one in hung] + [_instrument_line(one) for one in instruments]
    value = {"tools": plain.as_json(hung), "instruments": plain.as_json(instruments)}
    answer(
        value,
        lines or [worded("Nothing hangs here yet. Hang a tool: pinchbolt tools hang hex-5")],
        as_json=as_json,
    )


def _due_line(one: "CheckDue") -> str:
    number = f"{'g' if one.instrument else 't'}{one.id}"
    when = worded("due {due}", due=one.due) if one.due else worded("no date")
    return f"{'NOW ' if one.is_due or one.due is None else '    '}{when}  {number} {one.name}{f' ({one.words})' if one.words else ''}"


def _tool_line(one: "ToolView") -> str:
    torque = (
        worded(", {least:g} to {greatest:g} N·m", least=one.least, greatest=one.greatest)
        if one.greatest is not None
        else ""
    )
    out = (
        worded(", up to {deviation:.1f} % out", deviation=100 * one.deviation)
        if one.deviation is not None
        else ""
    )
    due = f", {(worded('was due') if one.is_due else 'due')} {one.due}" if one.due else ""
    arm = worded(", arm {arm:g} mm", arm=one.arm) if one.arm else ""
    away = "" if one.in_use else worded(" OFF THE BOARD")
    drift = f" {one.drift_words}" if one.drift_words else ""
    hangs = worded(", hangs at {hangs}", hangs=one.hangs) if one.hangs else ""
    return f"t{one.id} {one.table_id}{away}: {one.name}{torque}{out}{due}{arm}{hangs}{drift}"


def _instrument_line(one: "InstrumentView") -> str:
    bias = worded(", shows {bias:+g} {unit}", bias=one.bias, unit=one.unit) if one.bias is not None else ""
    checked = (
        worded(", checked {checked}", checked=one.checked)
        if one.checked
        else worded(", not checked here yet")
    )
    away = "" if one.in_use else worded(" OFF THE BOARD")
    return f"g{one.id} {one.table_id}{away}: {one.name}{bias}{checked}"


def named(which: str) -> tuple[bool, int]:
    """Return whether what hangs on the board under a name or number is an instrument, and its number.

    Raises:
        NotFound: Nothing hangs there under this name.
        InputRefused: Several do.
    """
    from pinchbolt.cli.starting import today
    from pinchbolt.workshop.tools.tool_board import tool_board

    if which[:1] in ("t", "g") and which[1:].isascii() and which[1:].isdigit() and len(which) < 12:
        return which[0] == "g", int(which[1:])
    hung, instruments = tool_board(today())
    on_board = [(False, one) for one in hung] + [(True, one) for one in instruments]
    found = [(is_gauge, one.id) for is_gauge, one in on_board if one.table_id == which]
    if not found:
        raise NotFound(worded('Nothing called "{which}" hangs here. See: pinchbolt tools', which=which[:40]))
    if len(found) > 1:
        numbers = ", ".join(f"{'g' if is_gauge else 't'}{number}" for is_gauge, number in found)
        raise InputRefused(
            worded(
                '"{which}" hangs here {found} times: {numbers}. Name one by its number.',
                which=which[:40],
                found=len(found),
                numbers=numbers,
            )
        )
    return found[0]


@tools.command("hang")
def hang(
    row: Annotated[str, typer.Argument(help=worded("Row of the tools table, such as hex-6."))],
    name: Annotated[str, typer.Option(help=worded("What it is called here."))] = "",
    at: Annotated[str, typer.Option(help=worded("Where it hangs."))] = "",
    arm: Annotated[
        float | None,
        typer.Option(
            help=worded("A torque tool from drive to grip mark, a crow-foot from drive to nut, mm.")
        ),
    ] = None,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Hang a tool or an instrument of the table on the board."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.tools.check_tool import HungRequest, hang_tool

    called = hang_tool(HungRequest(row, name, at, arm), by=who(named), key=mark(key), now=now())
    answer({"name": called}, [worded("{called} hangs here now.", called=called)], as_json=as_json)
