"""pinchbolt short, pinchbolt order: what is short for tomorrow, and what to order tonight, of whom and why."""

from pathlib import Path
from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.errors import NotPossibleNow
from pinchbolt.values.wording import worded


def short(as_json: AsJson = False) -> None:
    """List the parts that are short for what is promised until the end of the next open day."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.came_up.job_parts import short_for_tomorrow
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.stays.promise import promise_words

    found = short_for_tomorrow(now())
    lines = [
        worded(
            "{tag}  {words}: {state}; promised {promise}",
            tag=one.tag,
            words=one.words,
            state=one.state,
            promise=promise_words(one.promise),
        )
        for one in found
    ]
    answer(plain.as_json(found), lines or [worded("Nothing is short for tomorrow.")], as_json=as_json)


def order(
    supplier: Annotated[str, typer.Argument(help=worded("One supplier's order alone; else every one."))] = "",
    as_csv: Annotated[
        bool, typer.Option("--csv", help=worded("As CSV, to send or to read into a form."))
    ] = False,
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", help=worded("File to write, .csv or .pdf; nothing is overwritten.")),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Show what to order tonight, of whom, with the reason of each line; nothing is ordered by this."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.ordering.order_files import order_csv, print_order
    from pinchbolt.workshop.ordering.order_list import order_list

    if output is not None:
        pdf = output.suffix.lower() == ".pdf"
        data = print_order(supplier, now()) if pdf else order_csv(supplier, now()).encode()
        _write(data, output)
        answer({"written": str(output)}, [worded("Written: {output}", output=output)], as_json=as_json)
        return
    if as_csv:
        typer.echo(order_csv(supplier, now()), nl=False)
        return
    seen = order_list(now())
    lines = [] if seen.orders else [seen.no_order]
    for one in seen.orders:
        if supplier in ("", one.supplier):
            lines.append(
                worded(
                    "{supplier}: goods {goods}, carriage {carriage}, {total} {currency} in all; here on "
                    "{due:%a} {day} {due:%b}",
                    supplier=one.supplier,
                    goods=one.goods,
                    carriage=one.carriage,
                    total=one.total,
                    currency=seen.currency,
                    due=one.due,
                    day=one.due.day,
                )
            )
            for line in one.lines:
                lines.append(
                    f"  {line.count} × {line.words} ({line.supplier_number or line.number}) {line.cost}"
                )
                lines += [f"      {why}" for why in line.why]
    lines += [
        worded(
            "{tag}: {instead} fits in place of {words}: {because}",
            tag=one.tag,
            instead=one.instead,
            words=one.words,
            because=one.because,
        )
        for one in seen.instead
    ]
    lines += [worded("on no order: {one}", one=one) for one in seen.on_no_order]
    lines += [worded("cannot tell: {one}", one=one) for one in seen.cannot_tell]
    answer(
        plain.as_json(seen),
        [*lines, seen.words] if seen.orders else lines,
        as_json=as_json,
    )


def _write(data: bytes, output: Path) -> None:
    try:
        with output.open("xb") as file:
            file.write(data)
    except FileExistsError:
        raise NotPossibleNow(
            worded("{output} is there already: nothing is overwritten. Choose another name.", output=output)
        ) from None
