"""pinchbolt short, pinchbolt order: what is short for tomorrow, and what to order tonight, of whom and why."""

from pathlib import Path
from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.errors import NotPossibleNow


def short(as_json: AsJson = False) -> None:
    """List the parts that are short for what is promised until the end of the next open day."""
    from pinchbolt.cli.starting import now, opened

    opened()
    from pinchbolt.workshop.came_up.job_parts import short_for_tomorrow
    from pinchbolt.workshop.common import plain_json as plain
    from pinchbolt.workshop.stays.promise import promise_words

    found = short_for_tomorrow(now())
    lines = [f"{one.tag}  {one.words}: {one.state}; promised {promise_words(one.promise)}" for one in found]
    answer(plain.as_json(found), lines or ["Nothing is short for tomorrow."], as_json=as_json)


def order(
    supplier: Annotated[str, typer.Argument(help="One supplier's order alone; else every one.")] = "",
    as_csv: Annotated[bool, typer.Option("--csv", help="As CSV, to send or to read into a form.")] = False,
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", help="File to write, .csv or .pdf; nothing is overwritten."),
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
        answer({"written": str(output)}, [f"Written: {output}"], as_json=as_json)
        return
    if as_csv:
        typer.echo(order_csv(supplier, now()), nl=False)
        return
    seen = order_list(now())
    lines = [] if seen.orders else [seen.no_order]
    for one in seen.orders:
        if supplier in ("", one.supplier):
            lines.append(
                f"{one.supplier}: goods {one.goods}, carriage {one.carriage}, {one.total} {seen.currency} in all; "
                f"here on {one.due:%a} {one.due.day} {one.due:%b}"
            )
            for line in one.lines:
                lines.append(
                    f"  {line.count} × {line.words} ({line.supplier_number or line.number}) {line.cost}"
                )
                lines += [f"      {why}" for why in line.why]
    lines += [f"{one.tag}: {one.instead} fits in place of {one.words}: {one.because}" for one in seen.instead]
    lines += [f"on no order: {one}" for one in seen.on_no_order]
    lines += [f"cannot tell: {one}" for one in seen.cannot_tell]
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
            f"{output} is there already: nothing is overwritten. Choose another name."
        ) from None
