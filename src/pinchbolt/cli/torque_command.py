"""pinchbolt torque: where to set a tool, for any window or for a joint of the table; how hard a torque clamps."""

from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer, say, say_json
from pinchbolt.cli.torque_sheet_command import show_sheet, write_done, write_marking
from pinchbolt.errors import InputRefused, NoSafeAnswer
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.engines.torque import TorqueMarking

torque = typer.Typer(
    help=worded("Where to set a torque tool, sure at both ends; the torque sheet of a job."),
    no_args_is_help=True,
    rich_markup_mode=None,
)
torque.command("sheet")(show_sheet)
torque.command("done")(write_done)
torque.command("mark")(write_marking)


@torque.command("set")
def set_tool(
    floor: Annotated[float, typer.Option(help=worded("Least that the joint accepts, N·m."))],
    cap: Annotated[float, typer.Option(help=worded("Greatest that the joint accepts, N·m."))],
    deviation: Annotated[float, typer.Option(help=worded("How far out the tool may be, percent."))],
    tool: Annotated[
        tuple[float, float] | None, typer.Option(help=worded("Range of the tool, N·m: least and greatest."))
    ] = None,
    step: Annotated[
        float | None,
        typer.Option(help=worded("Step of the tool's scale, in its unit; 0.1, or 1 of kgf·cm, if left out.")),
    ] = None,
    preset: Annotated[
        list[float] | None, typer.Option(help=worded("A value of a preset tool, N·m; once for each value."))
    ] = None,
    unit: Annotated[
        str,
        typer.Option(
            help=worded("Unit of every torque given, as the tool writes it: N·m, in-lb, ft-lb, kgf·cm.")
        ),
    ] = "N·m",
    adapter: Annotated[
        float, typer.Option(help=worded("Adapter between tool and bolt, drive to bolt, mm."))
    ] = 0.0,
    arm: Annotated[
        float | None, typer.Option(help=worded("The wrench from its drive to its grip mark, mm."))
    ] = None,
    angle: Annotated[
        float,
        typer.Option(
            help=worded("Adapter to handle, degrees: 0 in line and longer, 90 square, 180 turned back.")
        ),
    ] = 0.0,
    due: Annotated[datetime | None, typer.Option(help=worded("Recalibration date of the tool."))] = None,
    as_json: AsJson = False,
) -> None:
    """Say where to set a tool so that the torque stays in range even if the tool is a bit out."""
    from pinchbolt.cli.starting import load, today

    if tool is None and not preset:
        raise InputRefused(
            worded(
                "No tool is given: --tool LEAST GREATEST for one with a scale, --preset VALUE for a "
                "preset key."
            )
        )
    load()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.questions.ask_setting import SettingRequest, tool_setting

    values = tuple(preset or ())
    least, greatest = tool if tool is not None else (min(values), max(values))
    day = due.date() if due else None
    asked = SettingRequest(
        floor, cap, least, greatest, deviation, step, values, unit, adapter, arm, angle, day
    )
    try:
        found = tool_setting(asked, today())
    except NoSafeAnswer as none:
        if not as_json:
            raise
        # The question is answered, with no: a program reads that where it reads the yes.
        say_json({"settable": False, "because": none.sentence, **none.envelope()})
        say(none.sentence, err=True)
        raise typer.Exit(none.exit_code) from none
    scale = found.on_scale
    lines = [
        worded(
            "Set {set:.4g} N·m; safe from {lowest:.4g} to {highest:.4g} N·m.",
            set=found.set,
            lowest=found.lowest,
            highest=found.highest,
        ),
        *(
            [worded("On its scale: {set:g} {unit}.", set=scale.set, unit=scale.unit)]
            if scale.unit != "N·m"
            else []
        ),
        found.because,
        *(worded("warning: {words}", words=words) for words in found.warnings),
        _WINS,
    ]
    answer(plain.as_json(found), lines, as_json=as_json)


@torque.command("joint")
def of_joint(
    joint: Annotated[str, typer.Argument(help=worded("Joint of the table, such as stem-face-4."))],
    marking: Annotated[
        list[str] | None,
        typer.Option(
            help=worded(
                "What is marked on a part, as part=6, part=4-6 or part=44 lbf in; once for each "
                "marking, all count."
            )
        ),
    ] = None,
    target: Annotated[
        list[str] | None,
        typer.Option(
            help=worded("A torque that a part's maker names as the one to use, as part=5; it limits nothing.")
        ),
    ] = None,
    property_class: Annotated[
        str, typer.Option("--class", help=worded("Class on the bolt's head, such as 8.8."))
    ] = "",
    found_as: Annotated[
        str, typer.Option("--found", help=worded("How the thread was found prepared, such as dry or grease."))
    ] = "",
    thread: Annotated[
        str, typer.Option(help=worded("Thread of its bolt, where it was measured: M6x1.0."))
    ] = "",
    fact: Annotated[
        list[str] | None,
        typer.Option(
            help=worded(
                'What is known of a part, as "seat post.material=aluminium"; of what is not told the '
                "lowest figures hold."
            )
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say what a joint accepts, with what is marked on its parts, and which tool of this workshop to set where."""
    from pinchbolt.cli.starting import opened, today

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.questions.ask_torque import JointRequest, joint_setting

    marked = [_marking(words) for words in marking or []]
    marked += [replace(_marking(words), least=None, means="target") for words in target or []]
    facts = {name.strip(): value.strip() for name, _, value in (words.partition("=") for words in fact or [])}
    asked = JointRequest(joint, tuple(marked), property_class, found_as, thread, facts)
    found = joint_setting(asked, today())
    window, setting = found.window, found.setting
    lines = [
        worded(
            "The joint accepts {floor:g} to {cap:g} N·m. Set {set:g} N·m (safe from {lowest:g} "
            "to {highest:g}).",
            floor=window.floor,
            cap=window.cap,
            set=setting.set,
            lowest=setting.lowest,
            highest=setting.highest,
        ),
        *(reason.words for reason in (*window.reasons, *setting.reasons)),
        *(found.bolt.words if found.bolt else ()),
        *(worded("warning: {words}", words=words) for words in (*window.warnings, *setting.warnings)),
        *(worded("warning: {words}", words=words) for words in (found.bolt.warnings if found.bolt else ())),
        _WINS,
    ]
    answer(plain.as_json(found), lines, as_json=as_json)


@torque.command("preload")
def of_bolt(
    thread: Annotated[str, typer.Option(help=worded("Thread, such as M5x0.8."))],
    torque_n_m: Annotated[float, typer.Option("--torque", help=worded("What the bolt gets, N·m."))],
    property_class: Annotated[
        str, typer.Option("--class", help=worded("Class on the head, such as 8.8."))
    ] = "",
    meant: Annotated[
        str, typer.Option(help=worded("How the torque was meant to be prepared for."))
    ] = "grease",
    found_as: Annotated[
        str, typer.Option("--found", help=worded("How the thread is prepared, where it differs."))
    ] = "",
    yield_stress: Annotated[
        float | None, typer.Option("--yield", help=worded("Long form: yield of the bolt, MPa; 8.8 is 640."))
    ] = None,
    friction: Annotated[
        float | None, typer.Option(help=worded("Long form: friction in thread and under head."))
    ] = None,
    face: Annotated[
        float | None, typer.Option(help=worded("Long form: outer diameter of the bearing face, mm."))
    ] = None,
    hole: Annotated[float | None, typer.Option(help=worded("Long form: diameter of the hole, mm."))] = None,
    as_json: AsJson = False,
) -> None:
    """Say how hard a torque clamps a bolt."""
    from pinchbolt.cli.starting import load

    load()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.torque.bolt_read import PreloadRequest, preload

    asked = PreloadRequest(
        thread, torque_n_m, property_class, meant, found_as, yield_stress, friction, face, hole
    )
    found = preload(asked)
    lines = [*found.bolt.words, *(worded("warning: {words}", words=words) for words in found.bolt.warnings)]
    lines.append(worded("Stress area {stress_area:.2f} mm2.", stress_area=found.stress_area))
    if found.long_form_preload is not None and found.long_form_torque is not None:
        lines.append(
            worded(
                "Long form, at 90 % of yield: {long_form_preload} N at {long_form_torque:.1f} N·m.",
                long_form_preload=figure_text(found.long_form_preload, 0),
                long_form_torque=found.long_form_torque,
            )
        )
    answer(plain.as_json(found), [*lines, _WINS], as_json=as_json)


_WINS = worded("The marking on the part and its maker's instructions win.")


def _marking(words: str) -> "TorqueMarking":
    """A part with what is marked on it. [N·m]"""
    from pinchbolt.workshop.questions.ask_torque import as_printed

    part, _, typed = words.rpartition("=")
    if not part.strip() or not typed.strip():
        sentence = worded(
            'The marking is "{words}": a part and its N·m are needed, such as stem=6. Type it again.',
            words=words[:40],
        )
        raise InputRefused(sentence, {"marking": sentence})
    return as_printed(part.strip(), typed)
