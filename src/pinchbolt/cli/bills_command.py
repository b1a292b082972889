"""pinchbolt bills: the bills of a span of days, as lines or as CSV for the books; take one back; set the terms of money."""

from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Annotated

import typer

from pinchbolt.cli.answering import As, AsJson, Key, answer, mark, who
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.values.wording import worded

bills = typer.Typer(
    help=worded("Bills: list them, write them for the books, take one back."), invoke_without_command=True
)


@bills.callback(invoke_without_command=True)
def list_bills(
    context: typer.Context,
    first: Annotated[
        datetime | None,
        typer.Option("--from", formats=["%Y-%m-%d"], help=worded("First day; else 1 January.")),
    ] = None,
    last: Annotated[
        datetime | None, typer.Option("--to", formats=["%Y-%m-%d"], help=worded("Last day; else today."))
    ] = None,
    as_csv: Annotated[
        bool, typer.Option("--csv", help=worded("As CSV: one row a bill and rate, the sum at the end."))
    ] = False,
    names: Annotated[bool, typer.Option("--names", help=worded("With the owners' names."))] = False,
    output: Annotated[
        Path | None, typer.Option("-o", "--output", help=worded("File to write; nothing is overwritten."))
    ] = None,
    as_json: AsJson = False,
) -> None:
    """List the bills issued from a day to a day."""
    if context.invoked_subcommand:
        return
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.leaving.bill import bills_between
    from pinchbolt.workshop.leaving.bills_csv import bills_csv

    end = last.date() if last else now().date()
    begin = first.date() if first else date(end.year, 1, 1)
    found = bills_between(begin, end)
    if as_csv:
        _write(bills_csv(found, names=names), output)
        return
    lines = [
        f"{one.number}  {one.issued}  {one.tag}  {one.total} {one.currency}  {one.paid_how}"
        + (worded("  takes back {reverses}", reverses=one.reverses) if one.reverses else "")
        for one in found
    ]
    answer(
        plain.as_json(found),
        lines or [worded("No bill from {begin} to {end}.", begin=begin, end=end)],
        as_json=as_json,
    )


def _write(text: str, output: Path | None) -> None:
    if output is None:
        typer.echo(text, nl=False)
        return
    if output.exists():
        raise NotPossibleNow(
            worded("{output} is there already: nothing is overwritten. Name another file.", output=output)
        )
    output.write_text(text, encoding="utf-8", newline="")


@bills.command("reverse")
def reverse(
    number: Annotated[str, typer.Argument(help=worded("The bill's number, such as 2026-0001."))],
    reason: Annotated[str, typer.Argument(help=worded("Why it is taken back."))],
    by: As = "",
    key: Key = "",
    as_json: AsJson = False,
) -> None:
    """Take a bill back by a bill of its own."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.leaving.bill import ReverseRequest, reverse_bill

    made = reverse_bill(ReverseRequest(number, reason), by=who(by), key=mark(key), now=now())
    answer(
        plain.as_json(made),
        [
            worded(
                "Bill {number} takes back {reverses}: {total} {currency}.",
                number=made.number,
                reverses=made.reverses,
                total=made.total,
                currency=made.currency,
            )
        ],
        as_json=as_json,
    )


def bill_terms(
    tax: Annotated[str, typer.Option(help=worded("Usual tax in percent, from the day --from on."))] = "",
    reduced: Annotated[
        str, typer.Option(help=worded("Reduced tax in percent, from the day --from on."))
    ] = "",
    first: Annotated[
        datetime | None,
        typer.Option("--from", formats=["%Y-%m-%d"], help=worded("Since which day; else today.")),
    ] = None,
    registered: Annotated[
        bool | None, typer.Option("--registered/--not-registered", help=worded("For tax."))
    ] = None,
    tax_number: Annotated[str | None, typer.Option(help=worded("Printed on bills."))] = None,
    address: Annotated[str | None, typer.Option(help=worded("Printed on every sheet."))] = None,
    phone: Annotated[str | None, typer.Option(help=worded("Printed on every sheet, and in texts."))] = None,
    holds_days: Annotated[
        int | None, typer.Option(help=worded("How many days an asked price holds."))
    ] = None,
    foot_words: Annotated[
        str | None, typer.Option(help=worded("The shop's own words at the foot of estimate and bill."))
    ] = None,
    paper: Annotated[str | None, typer.Option(help=worded("a4 or letter."))] = None,
    by: As = "",
    as_json: AsJson = False,
) -> None:
    """Show the terms that bills follow, or change those that are named; what was asked and billed keeps its own."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.acts.money_terms import (
        BillTermsRequest,
        TaxRequest,
        set_bill_terms,
        set_tax,
        terms_on,
    )
    from pinchbolt.workshop.common import plain_json as plain

    asked = BillTermsRequest(
        address=address,
        phone=phone,
        tax_number=tax_number,
        is_registered=registered,
        holds_days=holds_days,
        foot_words=foot_words,
        paper=paper,
    )
    day = first.date() if first else now().date()
    if asked != BillTermsRequest():
        set_bill_terms(asked, by=who(by), key=mark(""), now=now())
    for tax_class, typed in (("standard", tax), ("reduced", reduced)):
        percent = _amount(typed, "tax")
        if percent is not None:
            set_tax(TaxRequest(tax_class, percent, day), by=who(by), key=mark(""), now=now())
    seen = terms_on(now().date())
    told = plain.as_json(seen)
    answer(told, [f"{name.replace('_', ' ')}: {value}" for name, value in told.items()], as_json=as_json)


def _amount(typed: str, name: str) -> Decimal | None:
    if not typed:
        return None
    try:
        return Decimal(typed)
    except InvalidOperation:
        sentence = worded(
            '{name} is "{typed}": a figure such as 54.00 is expected. Type it again.',
            name=name,
            typed=typed[:20],
        )
        raise InputRefused(sentence, {name: sentence}) from None
