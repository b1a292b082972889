"""pinchbolt tools measure | try | calibrate | look | arm | gauge: one check each; what fails goes off the board."""

from collections.abc import Callable
from datetime import date, datetime
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.cli.tools_command import named
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.workshop.tools.check_instrument import Checked
    from pinchbolt.workshop.tools.check_tool import Point, ToolChecked

WAYS = worded(
    "measure TOOL --size MM for a key; try TOOL --weight KG MM N·M or calibrate TOOL "
    "--deviation PERCENT for a torque tool; gauge GAUGE for a chain checker, a caliper "
    "and the like; look TOOL --good or --worn WHY for any tool, by eye"
)
Which = Annotated[
    str,
    typer.Argument(
        metavar="TOOL", help=worded("As on the board: hex-5, tq-2-14 ..., or its number, such as t12.")
    ),
]
Gauge = Annotated[
    str,
    typer.Argument(metavar="GAUGE", help=worded("As on the board: caliper ..., or its number, such as g3.")),
]
Day = Annotated[datetime | None, typer.Option("--day", help=worded("Day of the check, if not today."))]


def measure(
    which: Which,
    size: Annotated[float, typer.Option(help=worded("Size across flats, or over the lobes, mm."))],
    measured_with: Annotated[str, typer.Option("--with", help=worded("caliper or micrometer."))] = "caliper",
    day: Day = None,
    as_whom: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Measure a hex or six-lobe key."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.tools.check_tool import MeasuredRequest, measure_tool

    asked = MeasuredRequest(_tool(which), size, measured_with, _on(day))
    _say(measure_tool(asked, by=who(as_whom), key=mark(key), now=now()), as_json)


def try_by_weight(
    which: Which,
    weight: Annotated[
        tuple[float, float, float],
        typer.Option(help=worded("kg, arm in mm, and the N·m at which it clicked."), metavar="KG MM N·M"),
    ],
    day: Day = None,
    as_whom: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Try a torque tool with a weight on an arm."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.tools.check_tool import TriedRequest, try_tool

    asked = TriedRequest(_tool(which), *weight, _on(day))
    _say(try_tool(asked, by=who(as_whom), key=mark(key), now=now()), as_json)


def calibrate(
    which: Which,
    deviation: Annotated[float | None, typer.Option(help=worded("Worst deviation, percent."))] = None,
    point: Annotated[
        list[str] | None,
        typer.Option(help=worded("shown=true, N·m, such as 5=4.9; once for each point.")),
    ] = None,
    due: Annotated[
        datetime | None, typer.Option(help=worded("Next calibration; twelve months on if left out."))
    ] = None,
    day: Day = None,
    as_whom: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write a torque tool's certificate down: its worst deviation, or point by point."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.tools.check_tool import ToolCheckRequest, check_tool

    if deviation is None and not point:
        raise InputRefused(
            worded(
                "A certificate says --deviation PERCENT, or --point SHOWN=TRUE for each point. Give "
                "what stands on it."
            )
        )
    share = deviation / 100 if deviation is not None else None
    points = tuple(_point(words) for words in point or [])
    asked = ToolCheckRequest(_tool(which), share, _on(due), "", _on(day), points)
    _say(check_tool(asked, by=who(as_whom), key=mark(key), now=now()), as_json)


def arm(
    which: Which,
    mm: Annotated[
        float,
        typer.Option(help=worded("A torque tool from drive to grip mark, a crow-foot from drive to nut.")),
    ],
    as_whom: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Write down how long a torque tool's arm is, or how far a crow-foot reaches."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json
    from pinchbolt.workshop.tools.arms import ArmRequest, measure_arm

    found = measure_arm(ArmRequest(_tool(which), mm), by=who(as_whom), key=mark(key), now=now())
    answer(plain_json.as_json(found), [found.words], as_json=as_json)


def look(
    which: Which,
    good: Annotated[bool, typer.Option("--good", help=worded("Nothing is wrong."))] = False,
    worn: Annotated[str, typer.Option(help=worded("What is wrong; it goes off the board."))] = "",
    day: Day = None,
    as_whom: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Look a tool over."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.tools.check_tool import LookedOverRequest, look_over_tool

    if good == bool(worn):
        raise InputRefused(
            worded("A tool that was looked over is --good, or --worn WHY. Give one of the two.")
        )
    asked = LookedOverRequest(_tool(which), good, worn, _on(day))
    _say(look_over_tool(asked, by=who(as_whom), key=mark(key), now=now()), as_json)


def gauge(
    which: Gauge,
    known: Annotated[float | None, typer.Option(help=worded("The true size that it was tried on."))] = None,
    length: Annotated[
        tuple[float, int] | None,
        typer.Option(
            help=worded("Chain gauge: a known length in mm, over so many pitches."), metavar="MM PITCHES"
        ),
    ] = None,
    value: Annotated[float | None, typer.Option(help=worded("What it showed."))] = None,
    low: Annotated[
        float | None, typer.Option(help=worded("Go/no-go gauge: low end shown; left out where open."))
    ] = None,
    high: Annotated[
        float | None, typer.Option(help=worded("Go/no-go gauge: high end shown; left out where open."))
    ] = None,
    against: Annotated[str, typer.Option(help=worded("What it was tried on, in words."))] = "",
    day: Day = None,
    as_whom: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Try a gauge on something known: a new chain where nothing is said."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.tools.check_instrument import (
        InstrumentCheckRequest,
        check_instrument,
        known_elongation,
    )

    is_gauge, number = named(which)
    if not is_gauge:
        raise InputRefused(
            worded(
                '"{which}" is a tool and no gauge. Check it by one of: {ways}.', which=which[:40], ways=WAYS
            )
        )
    true = known_elongation(*length) if length is not None else known
    tried_on = _tried_on(against, known, length)
    asked = InstrumentCheckRequest(number, tried_on, true, value, low, high, _on(day))
    _say(check_instrument(asked, by=who(as_whom), key=mark(key), now=now()), as_json)


def check() -> None:
    """Say what became of the one command that held all checks."""
    raise InputRefused(
        worded(
            "There is one command for each check now: pinchbolt tools {ways}. Type one of these.", ways=WAYS
        )
    )


def _on(day: datetime | None) -> date | None:
    return day.date() if day else None


def _tool(which: str) -> int:
    """The number of a tool on the board."""
    is_gauge, number = named(which)
    if is_gauge:
        raise InputRefused(
            worded(
                '"{which}" is a gauge: pinchbolt tools gauge {which} says how to try it.', which=which[:40]
            )
        )
    return number


def _say(found: "Checked | ToolChecked", as_json: bool) -> None:
    """Answer with what the check says, and what is in doubt since the last good one."""
    from pinchbolt.workshop.common import plain_json

    doubtful = (
        worded("in doubt: {tag}, {day}: {what}", tag=one.tag, day=one.day, what=one.what)
        for one in found.doubtful
    )
    answer(plain_json.as_json(found), (found.words, *doubtful), as_json=as_json)


def _tried_on(against: str, known: float | None, length: tuple[float, int] | None) -> str:
    """What a gauge was tried on, in words, where nobody said."""
    if against:
        return against
    if length is not None:
        return worded("{length:g} mm over {pitches} pitches", length=length[0], pitches=length[1])
    return "a new chain" if known is None else f"{known:g}"


def _point(words: str) -> "Point":
    from pinchbolt.workshop.tools.check_tool import Point

    shown, _, true = words.partition("=")
    try:
        return Point(float(shown), float(true))
    except ValueError:
        sentence = worded(
            'The point is "{words}": shown=true in N·m is needed, such as 5=4.9. Type it again.',
            words=words[:30],
        )
        raise InputRefused(sentence, {"point": sentence}) from None


def add_checks(to: typer.Typer) -> None:
    """Put the checks among the commands of the tool board."""
    ways: dict[str, Callable[..., None]] = {
        "measure": measure,
        "try": try_by_weight,
        "calibrate": calibrate,
        "look": look,
        "arm": arm,
        "gauge": gauge,
    }
    for name, way in ways.items():
        to.command(name)(way)
    anything = {"ignore_unknown_options": True, "allow_extra_args": True}
    to.command("check", hidden=True, context_settings=anything)(check)
