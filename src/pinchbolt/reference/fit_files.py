"""The two files of the fit rules as they stand, for a question that needs no other table."""

import tomllib
from functools import cache
from pathlib import Path

from pinchbolt.reference.read import said_rows
from pinchbolt.values.wording import speaks_english

_FOLDER = Path(__file__).parent / "tables"


@cache
def plain_fit_tables() -> dict[str, dict[str, object]]:
    """Return the trade's rules by id and interface rows by kind, as plain mappings.

    The trade tables are held sound by tests, so they are not checked again here; a workshop's own are laid over and
    checked by `load`. The fit engine answers the same from either.
    """
    rules, interfaces = (
        tomllib.loads((_FOLDER / name).read_text(encoding="utf-8"))
        for name in ("rules.toml", "interfaces.toml")
    )
    if not speaks_english():
        rules, interfaces = (said_rows(file) for file in (rules, interfaces))
    return {"rules": {row["id"]: row for row in rules["rule"]}, "interfaces": interfaces}
