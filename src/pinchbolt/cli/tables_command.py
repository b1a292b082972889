"""pinchbolt tables: what do the workshop's own tables change, and are they sound?"""

from pathlib import Path
from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded


def tables(
    folder: Annotated[
        Path | None, typer.Argument(help=worded("A folder of own tables; without one, that of the workshop."))
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Check the workshop's own tables before they are used: what they change, row by row; a bad row is named."""
    from pinchbolt.cli.starting import tables_only

    tables_only()
    from pinchbolt.workshop.common.plain_json import as_json as plain
    from pinchbolt.workshop.common.trade_tables import own_tables

    found = own_tables(folder)
    changes = found.changes or (
        worded("{folder} changes nothing: the trade tables hold.", folder=found.folder),
    )
    answer(
        plain(found),
        [*changes, worded("{rows} rows are sound.", rows=figure_text(found.rows))],
        as_json=as_json,
    )
