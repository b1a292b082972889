"""How a command answers: plain lines for people, one JSON value for programs; and who acts, with which request mark."""

import json
import os
from collections.abc import Iterable
from typing import Annotated
from uuid import uuid4

import typer

from pinchbolt.errors import InputRefused
from pinchbolt.serving.home import called_as
from pinchbolt.values.commands import as_typed
from pinchbolt.values.wording import worded

AsJson = Annotated[bool, typer.Option("--json", help=worded("Print JSON."))]
As = Annotated[
    str, typer.Option("--as", metavar="NAME", help=worded("Your sign-in name (or set PINCHBOLT_AS)."))
]
Key = Annotated[
    str,
    typer.Option("--key", help=worded("Any text of 8 to 64 characters; sending it twice saves once.")),
]


def say(line: str, *, err: bool = False, nl: bool = True) -> None:
    """Print a line for people: a command in it as it is typed here."""
    typer.echo(as_typed(line, called_as()), err=err, nl=nl)


def say_json(value: object) -> None:
    """Answer with one JSON value."""
    typer.echo(json.dumps(value, ensure_ascii=False, indent=2))


def answer(value: object, lines: Iterable[str], *, as_json: bool) -> None:
    """Answer with *value* as JSON, or with plain lines."""
    if as_json:
        say_json(value)
        return
    for line in lines:
        say(line)


def who(named: str) -> int:
    """Return the id of the person who acts, by --as or PINCHBOLT_AS.

    Raises:
        InputRefused: Nobody was named.
        NotFound: Nobody here signs in by this name.
    """
    from pinchbolt.workshop.acts.manage_people import people, person_named

    sign_in = named or os.environ.get("PINCHBOLT_AS", "")
    if not sign_in:
        known = ", ".join(one.sign_in for one in people())
        sentence = worded("Say who you are: add --as NAME ({known}), or set PINCHBOLT_AS.", known=known)
        raise InputRefused(sentence, {"as": sentence})
    return person_named(sign_in).id


def mark(key: str) -> str:
    """Return the request mark, made where none was given."""
    return key or uuid4().hex
