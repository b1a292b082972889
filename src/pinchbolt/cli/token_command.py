"""pinchbolt token: tokens by which programs come in at the JSON door."""

from typing import Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.values.wording import worded

token = typer.Typer(
    help=worded("Tokens for other programs at the JSON API: make one, list them, end one."),
    no_args_is_help=True,
    rich_markup_mode=None,
)


@token.command("make")
def make(
    name: Annotated[str, typer.Argument(help=worded("What the program is called."))],
    work: Annotated[
        bool, typer.Option("--work", help=worded("It may do what you may; else it only looks."))
    ] = False,
    days: Annotated[int, typer.Option(help=worded("For how many days."), min=1, max=366)] = 90,
    by: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Make a token; it is told this once."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.acts.api_tokens import LOOK, WORK, TokenRequest, make_token
    from pinchbolt.workshop.common.plain_json import as_json as plain

    made = make_token(TokenRequest(name, WORK if work else LOOK, days), by=who(by), key=mark(key), now=now())
    lines = [
        made.token,
        worded(
            "Good until {ends_at:%d %b %Y}, told this once. To end it: pinchbolt token end {id}",
            ends_at=made.ends_at,
            id=made.id,
        ),
    ]
    answer(plain(made), lines, as_json=as_json)


@token.command("list")
def list_all(by: As = "", as_json: AsJson = False) -> None:
    """List the tokens that are good now; for the owner of the workshop everybody's."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.acts.api_tokens import tokens_of
    from pinchbolt.workshop.common.plain_json import as_json as plain

    found = tokens_of(who(by), now())
    lines = [
        worded(
            "{id}: {name}, {person}, to {scope}, until {ends_at:%d %b %Y}, {last_used}",
            id=one.id,
            name=one.name or worded("signed in"),
            person=one.person,
            scope=one.scope,
            ends_at=one.ends_at,
            last_used=worded("last used {last_used:%d %b %H:%M}", last_used=one.last_used)
            if one.last_used
            else worded("never used"),
        )
        for one in found
    ]
    answer(plain(found), lines or [worded("No token is good now.")], as_json=as_json)


@token.command("end")
def end(
    number: Annotated[int, typer.Argument(help=worded("Number of the token, as listed."))],
    by: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """End a token at once."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.acts.api_tokens import TokenEndRequest, end_token

    end_token(TokenEndRequest(number), by=who(by), key=mark(key), now=now())
    answer({"done": True}, [worded("Token {number} is ended.", number=number)], as_json=as_json)
