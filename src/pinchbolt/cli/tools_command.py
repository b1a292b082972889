"""pinchbolt tools: what hangs on the board, what is to be checked, and the checks themselves."""

from collections.abc import Iterable
from datetime import datetime
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.errors import InputRefused, NotFound

if TYPE_CHECKING:
    from pinchbolt.workshop.tools.check_instrument import Checked
    from pinchbolt.workshop.tools.check_tool import Point, ToolChecked
    from pinchbolt.workshop.tools.found_out import Doubtful
    from pinchbolt.workshop.tools.tool_board import CheckDue, InstrumentView, ToolView

tools = typer.Typer(
    help="The tool board: what hangs here, what is to be checked, and the checks.",
    rich_markup_mode=None,
    invoke_without_command=True,
)
Which = Annotated[
    str,
    typer.Argument(
        metavar="TOOL", help="As on the board: hex-5, tq-2-14 ..., or its number, such as t12 or g3."
    ),
]
Day = Annotated[datetime | None, typer.Option("--day", help="Day of the check, if not today.")]


@tools.callback()
def board(
    context: typer.Context,
    due: Annotated[
        bool, typer.Option("--due", help="Only what is to be checked, the soonest first.")
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
        answer(plain.as_json(told), lines or ["Nothing here has a term."], as_json=as_json)
        return
    hung, instruments = tool_board(today())
    lines = [_tool_line(one) for one in hung] + [_instrument_line(one) for one in instruments]
    value = {"tools": plain.as_json(hung), "instruments": plain.as_json(instruments)}
    answer(
        value, lines or ["Nothing hangs here yet. Hang a tool: pinchbolt tools hang hex-5"], as_json=as_json
    )


def _due_line(one: "CheckDue") -> str:
    number = f"{'g' if one.instrument else 't'}{one.id}"
    when = f"due {one.due}" if one.due else "no date"
    return f"{'NOW ' if one.is_due or one.due is None else '    '}{when}  {number} {one.name}{f' ({one.words})' if one.words else ''}"


def _tool_line(one: "ToolView") -> str:
    torque = f", {one.least:g} to {one.greatest:g} N·m" if one.greatest is not None else ""
    out = f", up to {100 * one.deviation:.1f} % out" if one.deviation is not None else ""
    due = f", {'was due' if one.is_due else 'due'} {one.due}" if one.due else ""
    away = "" if one.in_use else " OFF THE BOARD"
    drift = f" {one.drift_words}" if one.drift_words else ""
    hangs = f", hangs at {one.hangs}" if one.hangs else ""
    return f"t{one.id} {one.table_id}{away}: {one.name}{torque}{out}{due}{hangs}{drift}"


def _instrument_line(one: "InstrumentView") -> str:
    bias = f", shows {one.bias:+g} {one.unit}" if one.bias is not None else ""
    checked = f", checked {one.checked}" if one.checked else ", not checked here yet"
    away = "" if one.in_use else " OFF THE BOARD"
    return f"g{one.id} {one.table_id}{away}: {one.name}{bias}{checked}"


@tools.command("check")
def check(
    which: Which,
    size: Annotated[
        float | None, typer.Option(help="Hex or six-lobe key: size across flats or over the lobes, mm.")
    ] = None,
    measured_with: Annotated[str, typer.Option("--with", help="caliper or micrometer.")] = "caliper",
    deviation: Annotated[
        float | None, typer.Option(help="Torque tool, by certificate: worst deviation, percent.")
    ] = None,
    point: Annotated[
        list[str] | None,
        typer.Option(
            help="Torque tool, by certificate: shown=true, N·m, such as 5=4.9; once for each point."
        ),
    ] = None,
    due: Annotated[
        datetime | None, typer.Option(help="Next calibration; twelve months on if left out.")
    ] = None,
    weight: Annotated[
        tuple[float, float, float] | None,
        typer.Option(help="Torque tool, by a weight: kg, arm in mm, and the N·m at which it clicked."),
    ] = None,
    known: Annotated[float | None, typer.Option(help="Gauge: the true size that it was tried on.")] = None,
    length: Annotated[
        tuple[float, int] | None,
        typer.Option(help="Chain gauge: a known length in mm, over so many pitches."),
    ] = None,
    value: Annotated[float | None, typer.Option(help="Gauge: what it showed.")] = None,
    low: Annotated[
        float | None, typer.Option(help="Go/no-go gauge: low end shown; left out where open.")
    ] = None,
    high: Annotated[
        float | None, typer.Option(help="Go/no-go gauge: high end shown; left out where open.")
    ] = None,
    against: Annotated[str, typer.Option(help="Gauge: what it was tried on.")] = "",
    good: Annotated[bool, typer.Option("--good", help="Any tool, by eye: good.")] = False,
    worn: Annotated[str, typer.Option(help="Any tool, by eye: what is wrong; it goes off the board.")] = "",
    day: Day = None,
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Check one tool or gauge and write it down; what fails goes off the board, and what it did since is named."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.tools.check_instrument import (
        InstrumentCheckRequest,
        check_instrument,
        known_elongation,
    )
    from pinchbolt.workshop.tools.check_tool import (
        LookedOverRequest,
        MeasuredRequest,
        ToolCheckRequest,
        TriedRequest,
        check_tool,
        look_over_tool,
        measure_tool,
        try_tool,
    )

    ways = [size is not None, deviation is not None or bool(point), weight is not None, good or bool(worn)]
    is_gauge, number = _named(which)
    on = day.date() if day else None
    by, request, when = who(named), mark(key), now()
    if is_gauge:
        true = known_elongation(*length) if length is not None else known
        found: Checked | ToolChecked = check_instrument(
            InstrumentCheckRequest(number, _tried_on(against, known, length), true, value, low, high, on),
            by=by,
            key=request,
            now=when,
        )
    elif sum(ways) != 1:
        raise InputRefused(
            "A tool is checked in one way: --size for a key; --deviation or --point, or --weight for a torque tool; "
            "--good or --worn WHY by eye. Give one of them."
        )
    elif size is not None:
        found = measure_tool(MeasuredRequest(number, size, measured_with, on), by=by, key=request, now=when)
    elif weight is not None:
        found = try_tool(TriedRequest(number, *weight, on), by=by, key=request, now=when)
    elif good or worn:
        found = look_over_tool(
            LookedOverRequest(number, good and not worn, worn, on), by=by, key=request, now=when
        )
    else:
        points = tuple(_point(words) for words in point or [])
        share = deviation / 100 if deviation is not None else None
        next_due = due.date() if due else None
        found = check_tool(
            ToolCheckRequest(number, share, next_due, "", on, points), by=by, key=request, now=when
        )
    answer(plain.as_json(found), _check_lines(found.words, found.doubtful), as_json=as_json)


def _tried_on(against: str, known: float | None, length: tuple[float, int] | None) -> str:
    """What a gauge was tried on, in words, where nobody said."""
    if against:
        return against
    if length is not None:
        return f"{length[0]:g} mm over {length[1]} pitches"
    return "a new chain" if known is None else f"{known:g}"


def _check_lines(words: str, doubtful: "tuple[Doubtful, ...]") -> Iterable[str]:
    yield words
    yield from (f"in doubt: {one.tag}, {one.day}: {one.what}" for one in doubtful)


def _point(words: str) -> "Point":
    from pinchbolt.workshop.tools.check_tool import Point

    shown, _, true = words.partition("=")
    try:
        return Point(float(shown), float(true))
    except ValueError:
        sentence = f'The point is "{words[:30]}": shown=true in N·m is needed, such as 5=4.9. Type it again.'
        raise InputRefused(sentence, {"point": sentence}) from None


def _named(which: str) -> tuple[bool, int]:
    """Whether it is an instrument, and its number."""
    from pinchbolt.cli.starting import today
    from pinchbolt.workshop.tools.tool_board import tool_board

    if which[:1] in ("t", "g") and which[1:].isascii() and which[1:].isdigit() and len(which) < 12:
        return which[0] == "g", int(which[1:])
    hung, instruments = tool_board(today())
    found = [(False, one.id) for one in hung if one.table_id == which]
    found += [(True, one.id) for one in instruments if one.table_id == which]
    if not found:
        raise NotFound(f'Nothing called "{which[:40]}" hangs here. See: pinchbolt tools')
    if len(found) > 1:
        numbers = ", ".join(f"{'g' if gauge else 't'}{number}" for gauge, number in found)
        raise InputRefused(
            f'"{which[:40]}" hangs here {len(found)} times: {numbers}. Name one by its number.'
        )
    return found[0]


@tools.command("hang")
def hang(
    row: Annotated[str, typer.Argument(help="Row of the tools table, such as hex-6.")],
    name: Annotated[str, typer.Option(help="What it is called here.")] = "",
    at: Annotated[str, typer.Option(help="Where it hangs.")] = "",
    named: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Hang a tool or an instrument of the table on the board."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.tools.check_tool import HungRequest, hang_tool

    called = hang_tool(HungRequest(row, name, at), by=who(named), key=mark(key), now=now())
    answer({"name": called}, [f"{called} hangs here now."], as_json=as_json)
