"""The commands together, and how a refusal leaves the program: one sentence, one exit code."""

import inspect
import re
import sys
from collections.abc import Callable, Sequence
from typing import Annotated, Any

import typer
from typer.exceptions import Abort, Exit, TyperException
from typer.main import get_command

from pinchbolt import __version__
from pinchbolt.cli.answering import say, say_json
from pinchbolt.cli.backup_command import backup
from pinchbolt.cli.bills_command import bill_terms, bills
from pinchbolt.cli.bolt_round_command import bolt_round
from pinchbolt.cli.build_command import add, build, confirm, describe, mark_limit, replace, take_off
from pinchbolt.cli.catalogue_command import catalogue
from pinchbolt.cli.chain_length_command import chain_length
from pinchbolt.cli.check_in_command import check_in
from pinchbolt.cli.claim_command import claim, warranty
from pinchbolt.cli.day_command import calendar, day, promise
from pinchbolt.cli.demo_command import demo
from pinchbolt.cli.doctor_command import doctor
from pinchbolt.cli.due_command import due, letters
from pinchbolt.cli.findings_command import findings
from pinchbolt.cli.fit_command import fit
from pinchbolt.cli.gears_command import gears
from pinchbolt.cli.keeping_command import bring_everything, lists, write_everything
from pinchbolt.cli.kinds_command import kinds
from pinchbolt.cli.kit_command import kit
from pinchbolt.cli.marking_command import marking
from pinchbolt.cli.move_command import move
from pinchbolt.cli.open_command import open_own
from pinchbolt.cli.ordering_command import order, short
from pinchbolt.cli.owner_command import owner
from pinchbolt.cli.reading_command import reading
from pinchbolt.cli.restore_command import restore
from pinchbolt.cli.rides_command import rides
from pinchbolt.cli.safety_list_command import safety_list
from pinchbolt.cli.serve_command import serve
from pinchbolt.cli.sheet_command import sheet
from pinchbolt.cli.swap_command import swap
from pinchbolt.cli.tables_command import tables
from pinchbolt.cli.token_command import token
from pinchbolt.cli.tool_checks_command import add_checks
from pinchbolt.cli.tools_command import tools
from pinchbolt.cli.torque_command import torque
from pinchbolt.cli.tyre_command import tyre
from pinchbolt.cli.walk_round_command import walk_round
from pinchbolt.cli.wear_command import learn_own, wear
from pinchbolt.cli.wheel_command import wheel
from pinchbolt.errors import InputRefused, NotPossibleNow, PinchboltError
from pinchbolt.serving.home import called_as
from pinchbolt.values.commands import INSTALLED, as_typed
from pinchbolt.values.wording import speaks_english, worded

app = typer.Typer(
    name="pinchbolt",
    help=worded("The bench book of a cycle workshop. Start with: pinchbolt serve"),
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def _say_version(asked: bool) -> None:
    if asked:
        typer.echo(worded("pinchbolt {version}", version=__version__))
        raise Exit


@app.callback()
def _before_any_command(
    version: Annotated[
        bool,
        typer.Option(
            "--version",
            help=worded("Say which release this is, and stop."),
            callback=_say_version,
            is_eager=True,
        ),
    ] = False,
) -> None:
    pass


for command in (
    serve, demo, check_in, walk_round, reading, findings, safety_list, sheet, kit, chain_length, gears, move, swap, tyre,
    build, add, replace, take_off, describe, confirm, mark_limit, kinds, bill_terms, doctor, backup, restore, tables,
    short, order, due, letters, day, promise, calendar,
):  # fmt: skip
    app.command()(command)
app.command("open")(open_own)
app.command("export")(write_everything)
app.command("import")(bring_everything)
app.add_typer(lists, name="list")
app.add_typer(catalogue, name="catalogue")
app.add_typer(owner, name="owner")
app.add_typer(torque, name="torque")
add_checks(tools)
app.add_typer(tools, name="tools")
app.add_typer(bolt_round, name="round")
app.add_typer(bills, name="bills")
app.add_typer(fit, name="fit")
app.add_typer(token, name="token")
app.add_typer(wear, name="wear")
app.add_typer(wheel, name="wheel")
app.add_typer(claim, name="claim")
app.add_typer(warranty, name="warranty")
app.add_typer(marking, name="marking")
app.add_typer(rides, name="rides")
app.command("learn")(learn_own)


def _say_help(told: typer.Typer) -> None:
    """Put what each command says of itself, which is its documentation, into the language of this process."""
    for one in told.registered_commands:
        if one.callback is not None:
            one.help = worded(inspect.getdoc(one.callback) or "")
    for group in told.registered_groups:
        if group.typer_instance is not None:
            _say_help(group.typer_instance)


if not speaks_english():
    _say_help(app)

# What the option reader says in its own words, in ours.
_PLAINER = {
    r"Input should be a valid number.*": worded("a number is needed"),
    r"Input should be a valid integer.*": worded("a whole number is needed"),
    r"Input should be less than or equal to (\S+)": worded("at most \\1 is possible"),
    r"Input should be greater than or equal to (\S+)": worded("at least \\1 is possible"),
    r"Invalid value for '([^']*)'": r"\1",
    r"Value error, '([^']*)' does not match the formats? .*": worded(
        "\\1 is no day: year, month and day are needed, such as 2026-05-01"
    ),
    r"(Did you mean '[^']*'\?)\.?": r"\1",
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code.

    Args:
        arguments: Words after the program's name; None takes those of the process. [-]

    Returns:
        0 done, 2 refused, 3 no safe answer or a fact missing. [-]
    """
    words = list(sys.argv[1:] if arguments is None else arguments)
    try:
        code = _program()(args=words, prog_name=called_as(), standalone_mode=False)
    except PinchboltError as refusal:
        return _refused(refusal, words)
    except (Exit, Abort, TyperException) as ending:
        return _ended(ending, words)
    except OSError as error:
        return _refused(_of_the_machine(error), words)
    except KeyboardInterrupt:
        return 130
    except Exception as error:
        away = _of_the_records(error)
        if away is None:
            raise
        return _refused(away, words)
    return code if isinstance(code, int) else 0


def _program() -> Callable[..., object]:
    """The commands, each command in their help as it is typed here."""
    program, called = get_command(app), called_as()
    if called != INSTALLED:
        _help_as_typed(program, called)
    return program


def _help_as_typed(command: Any, called: str) -> None:
    if command.help:
        command.help = as_typed(command.help, called)
    for one in command.params:
        words = getattr(one, "help", None)
        if words:
            one.help = as_typed(words, called)
    for below in getattr(command, "commands", {}).values():
        _help_as_typed(below, called)


def _of_the_records(error: Exception) -> PinchboltError | None:
    """What the database could not do; Django is asked only where a command loaded it."""
    if "django.db" not in sys.modules:
        return None
    from pinchbolt.workshop.acts.records_away import TROUBLE, records_away

    return records_away(error) if isinstance(error, TROUBLE) else None


def _refused(refusal: PinchboltError, words: Sequence[str]) -> int:
    """The sentence on stderr; with --json the envelope on stdout as well, so that a program can read it."""
    if "--json" in words:
        say_json(refusal.envelope())
    say(refusal.sentence, err=True)
    return refusal.exit_code


def _ended(ending: Exception, words: Sequence[str]) -> int:
    if isinstance(ending, Exit):
        return int(ending.exit_code)
    if isinstance(ending, Abort):
        return 130
    told = ending.format_message().rstrip(".") if hasattr(ending, "format_message") else str(ending)
    if not told:
        return 2
    for theirs, ours in _PLAINER.items():
        told = re.sub(theirs, ours, told)
    group = _group(words)
    if told.startswith("No such command") and not group and (near := _near(words[0])):
        told = f"{told.split('.')[0]}. {near}"
    stop = "" if told.endswith("?") else "."
    return _refused(
        InputRefused(worded("{told}{stop} See: pinchbolt {group}--help", told=told, stop=stop, group=group)),
        words,
    )


# Work that has a page of its own and no command: where somebody looks for it who types its name.
_ON_THE_SCREENS = frozenset(
    "job jobs people person estimate counter handover sign-off shop-day settings photo photos money bins".split()
)
_MOST_NEAR = 4


def _near(word: str) -> str:
    """What lies near a word that is no command: the commands that speak of it, or that it is done on the screens."""
    told = {
        one.name or (one.callback.__name__ if one.callback else ""): one.help
        or getattr(one.callback, "__doc__", "")
        or ""
        for one in app.registered_commands
    }
    told |= {
        str(one.name): str(one.typer_instance.info.help or "")
        for one in app.registered_groups
        if one.typer_instance
    }
    seen = re.compile(rf"\b{re.escape(word.removesuffix('s'))}s?\b", re.IGNORECASE)
    near = [name.replace("_", "-") for name, help in told.items() if seen.search(help)][:_MOST_NEAR]
    if word in _ON_THE_SCREENS:
        return worded("That is done on the screens: pinchbolt serve")
    return worded("Commands that speak of it: {near}", near=", ".join(near)) if near and len(word) > 2 else ""


def _group(words: Sequence[str]) -> str:
    """The group of commands that was meant, with a blank, or nothing: its own page tells more."""
    groups = [one.name for one in app.registered_groups]
    return f"{words[0]} " if words and words[0] in groups else ""


def _of_the_machine(error: OSError) -> PinchboltError:
    """What the machine refused: nothing there, a folder in place of a file, no room, no right to write."""
    named = f"{error.filename}: " if error.filename else ""
    if isinstance(error, FileNotFoundError):
        return InputRefused(
            worded(
                "{named}there is no such file or folder. Look at its name and where it lies, then try again.",
                named=named,
            )
        )
    if isinstance(error, IsADirectoryError | NotADirectoryError):
        what = (
            worded("this is a folder, and a file is wanted")
            if isinstance(error, IsADirectoryError)
            else worded("a file stands where a folder is wanted")
        )
        return InputRefused(worded("{named}{what}. Name another, then try again.", named=named, what=what))
    if isinstance(error, PermissionError):
        return NotPossibleNow(
            worded(
                "{named}pinchbolt may not read or write there. Give it the right to, then try again.",
                named=named,
            )
        )
    return NotPossibleNow(
        worded(
            "{named}{strerror}. Free some room or give pinchbolt the right to write there, then try again.",
            named=named,
            strerror=(error.strerror or str(error)).lower(),
        )
    )
