"""pinchbolt torque: where to set a tool, for any window or for a joint of the table."""

from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.errors import InputRefused

torque = typer.Typer(
    help="Where to set a torque tool, sure at both ends.", no_args_is_help=True, rich_markup_mode=None
)


@torque.command("set")
def set_tool(
    floor: Annotated[float, typer.Option(help="Least that the joint accepts, N·m.")],
    cap: Annotated[float, typer.Option(help="Greatest that the joint accepts, N·m.")],
    tool: Annotated[tuple[float, float], typer.Option(help="Range of the tool, N·m: least and greatest.")],
    deviation: Annotated[float, typer.Option(help="How far out the tool may be, percent.")],
    step: Annotated[float, typer.Option(help="Step of the tool's scale, N·m.")] = 0.1,
    as_json: AsJson = False,
) -> None:
    """Say where to set a tool so that the bolt surely gets what the joint accepts."""
    from pinchbolt.cli.starting import load, today

    load()
    from pinchbolt.workshop import plain
    from pinchbolt.workshop.ask_torque import SettingAsked, tool_setting

    asked = SettingAsked(floor, cap, tool[0], tool[1], deviation, step)
    found = tool_setting(asked, today())
    lines = [
        f"Set {found.set:g} N·m; safe from {found.lowest:g} to {found.highest:g} N·m.",
        found.because,
        _WINS,
    ]
    answer(plain.as_json(found), lines, as_json=as_json)


@torque.command("joint")
def of_joint(
    joint: Annotated[str, typer.Argument(help="Joint of the table, such as stem-face-4.")],
    marking: Annotated[
        list[str] | None,
        typer.Option(help="Greatest torque marked on a part, as part=N·m; once for each part."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say what a joint accepts, with what is marked on its parts, and which tool of this workshop to set where."""
    from pinchbolt.cli.starting import opened, today

    opened()
    from pinchbolt.workshop import plain
    from pinchbolt.workshop.ask_torque import joint_setting

    found = joint_setting(joint, dict(_marking(words) for words in marking or []), today())
    window, setting = found.window, found.setting
    lines = [
        f"The joint accepts {window.floor:g} to {window.cap:g} N·m. Set {setting.set:g} N·m "
        f"(safe from {setting.lowest:g} to {setting.highest:g}).",
        *(reason.words for reason in (*window.reasons, *setting.reasons)),
        *(f"warning: {words}" for words in (*window.warnings, *setting.warnings)),
        _WINS,
    ]
    answer(plain.as_json(found), lines, as_json=as_json)


_WINS = "The marking on the part and its maker's instructions win."


def _marking(words: str) -> tuple[str, float]:
    part, _, torque_n_m = words.rpartition("=")
    try:
        return part.strip(), float(torque_n_m)
    except ValueError:
        sentence = (
            f'The marking is "{words[:40]}": a part and its N·m are needed, such as stem=6. Type it again.'
        )
        raise InputRefused(sentence, {"marking": sentence}) from None
