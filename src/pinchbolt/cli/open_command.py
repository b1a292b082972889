"""pinchbolt open: a workshop of one's own in a new home folder, and its first person."""

from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, Key, answer, mark
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

_RUN = "-"


def open_own(
    name: Annotated[str, typer.Option("--name", help=worded("The workshop's name, as it stands on papers."))],
    person: Annotated[str, typer.Option("--person", help=worded("Who owns it: name and surname."))],
    labour: Annotated[
        str, typer.Option("--labour", help=worded("Labour an hour, tax included, such as 54."))
    ],
    town: Annotated[str, typer.Option("--town")] = "",
    country: Annotated[
        str, typer.Option("--country", help=worded("Two letters, such as GB; or: other."))
    ] = "GB",
    currency: Annotated[
        str, typer.Option("--currency", help=worded("Three letters; else that of the country."))
    ] = "",
    tax: Annotated[
        str, typer.Option("--tax", help=worded("Per cent, or none; else the country's usual."))
    ] = "",
    stands: Annotated[int, typer.Option("--stands")] = 2,
    days: Annotated[
        str, typer.Option("--days", help=worded("Open days: 'Tue-Fri 9:00-17:30, Sat 9:00-13:00'."))
    ] = "Tue-Fri 9:00-17:30, Sat 9:00-13:00",
    sign_in: Annotated[
        str, typer.Option("--sign-in", help=worded("Short name to sign in; else the first name."))
    ] = "",
    passphrase_file: Annotated[
        Path | None,
        typer.Option(
            "--passphrase-file", help=worded("A file whose first line is the passphrase; else it is asked.")
        ),
    ] = None,
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Open a workshop of your own: name, money, open days, and you. All of it can be changed later."""
    from pinchbolt.cli.starting import load, now

    load()
    from pinchbolt.serving.migrating import migrate
    from pinchbolt.workshop.acts.open_workshop import OpeningRequest, TermsRequest, open_workshop

    terms = TermsRequest(
        name, town, country.strip().upper() if country != "other" else country, _money(labour),
        _tax(tax, country), stands, currency, _days(days),
    )  # fmt: skip
    request = OpeningRequest(terms, person, asked_passphrase(passphrase_file), sign_in)
    migrate()
    number = open_workshop(request, key=mark(key), now=now())
    words = sign_in or person.split()[0].lower()
    lines = [
        worded("{name} is open. {person} signs in as {words}.", name=name, person=person, words=words),
        worded("Next: pinchbolt serve (add --network for the tablets), then people, tools and gauges."),
    ]
    answer({"person": number, "sign_in": words, "name": name}, lines, as_json=as_json)


def _money(text: str) -> Decimal:
    try:
        return Decimal(text.replace(",", ".").strip())
    except InvalidOperation:
        sentence = worded(
            'Labour an hour is "{text}": a sum such as 54 or 54.50 is expected. Type the figures only.',
            text=text[:20],
        )
        raise InputRefused(sentence, {"labour": sentence}) from None


def _tax(text: str, country: str) -> float | None:
    """None: not registered. Empty: the usual rate of the country."""
    from pinchbolt.workshop.common.trade_tables import tables

    if text.strip().lower() == "none":
        return None
    if not text.strip():
        row = tables().countries.get(country.strip().upper())
        if row is not None and row.tax is not None:
            return row.tax
        sentence = worded("There is no one usual rate of tax there: give --tax with a figure, or --tax none.")
        raise InputRefused(sentence, {"tax": sentence})
    try:
        return float(text.replace(",", ".").replace("%", ""))
    except ValueError:
        sentence = worded(
            'The tax is "{text}": a figure in per cent or none is expected. Type it again.', text=text[:20]
        )
        raise InputRefused(sentence, {"tax": sentence}) from None


def _days(text: str) -> dict[str, tuple[str, str]]:
    """Read "Tue-Fri 9:00-17:30, Sat 9:00-13:00"."""
    from pinchbolt.workshop.acts.open_workshop import DAYS

    told: dict[str, tuple[str, str]] = {}
    for part in filter(None, (one.strip() for one in text.split(","))):
        when, _, hours = part.partition(" ")
        first, _, last = (one.strip().capitalize()[:3] for one in when.partition(_RUN))
        opens, _, closes = (one.strip() for one in hours.partition(_RUN))
        if first not in DAYS or (last or first) not in DAYS or not closes:
            sentence = worded(
                'The open days say "{part}": a run of days and hours is expected, such as Tue-Fri '
                "9:00-17:30.",
                part=part[:40],
            )
            raise InputRefused(sentence, {"days": sentence})
        for day in DAYS[DAYS.index(first) : DAYS.index(last or first) + 1]:
            told[day] = (opens.rjust(5, "0"), closes.rjust(5, "0"))
    return told


def asked_passphrase(file: Path | None) -> str:
    """Return the first line of a file, or what is typed unseen and twice.

    Raises:
        InputRefused: The file can't be read.
    """
    if file is None:
        return str(
            typer.prompt(
                worded("Passphrase (12 characters or more)"), hide_input=True, confirmation_prompt=True
            )
        )
    try:
        return file.read_text(encoding="utf-8").splitlines()[0]
    except (OSError, UnicodeDecodeError, IndexError):
        sentence = worded(
            'The passphrase file "{file}" can\'t be read: name a text file whose first line is '
            "the passphrase.",
            file=file,
        )
        raise InputRefused(sentence, {"passphrase-file": sentence}) from None
