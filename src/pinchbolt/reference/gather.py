"""Reading a folder of tables: which files there are, their raw rows, and one folder laid over another."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cache
from pathlib import Path

from pinchbolt.errors import InputRefused
from pinchbolt.reference.faults import Fault
from pinchbolt.reference.files import FILES, TableFile
from pinchbolt.reference.read import Raw, key_of, name_of, raw_tables, shown, toml_key
from pinchbolt.reference.rows.base import Row
from pinchbolt.values.wording import worded

LARGEST_FILE = 5_000_000
SHOP_SOURCE = worded("the workshop's own table")


@dataclass(frozen=True, slots=True)
class Overlaid:
    """One field that the workshop's own table changed, in words; field "" = a row that the trade table has not."""

    file: str
    id: str
    field: str
    was: str
    now: str

    @property
    def words(self) -> str:
        """What was changed, and what the trade table has, as one sentence."""
        if not self.field:
            return worded('{file}, row "{id}": a row of the workshop\'s own.', file=self.file, id=self.id)
        return worded(
            '{file}, row "{id}", {field}: {now} (the trade table has {was}).',
            file=self.file,
            id=self.id,
            field=self.field,
            now=self.now,
            was=self.was,
        )


@dataclass(slots=True)
class RawRow:
    """A row before its types are known: where it stands and, if the workshop changed it, what stood there before.

    `typed` is the row once its types are known, with its faults: a row of the trade's is typed once.
    """

    raw: Raw
    file: str
    name: str
    from_shop: bool = False
    instead_of: tuple[str, ...] = ()
    typed: tuple[Row | None, list[Fault]] | None = None


@dataclass(slots=True)
class Gathered:
    """Raw rows of every table by key, the tables whose file could not be read, and what was found wrong."""

    rows: dict[str, dict[tuple[object, ...], RawRow]] = field(default_factory=dict)
    unread: set[str] = field(default_factory=set)
    faults: list[Fault] = field(default_factory=list)

    def copy(self) -> "Gathered":
        """The same rows, for other rows to be laid over."""
        rows = {table: dict(rows) for table, rows in self.rows.items()}
        return Gathered(rows, set(self.unread), list(self.faults))


def gather(
    folder: Path | None,
    label: str = "",
    needed: bool = True,
    instead: Mapping[str, bytes] | None = None,
) -> Gathered:
    """All rows of the tables in *folder*.

    Messages name a file as *label* and its name; where *needed*, no file may be missing. *instead* gives the text of files
    by name, in the place of what the folder holds.
    """
    found, given = Gathered(), instead or {}
    found.faults += _strangers(folder, label) if folder is not None else ()
    for file in FILES:
        shown_as = label + file.name
        path = folder / file.name if folder is not None else None
        if file.name in given:
            _gather_content(*raw_tables(given[file.name], shown_as), file, shown_as, found)
        elif path is not None and (path.is_symlink() or path.exists()):
            _gather_content(*_read(path, shown_as), file, shown_as, found)
        elif needed and not file.optional:
            found.unread |= set(file.rows)
            allowed = worded("the trade tables are whole or not used")
            found.faults.append(Fault(shown_as, "", "", worded("is missing"), allowed))
    return found


def gather_once(folder: Path) -> Gathered:
    """All rows of tables that never change while the program runs: they are read once, however often own rows are laid over them."""
    return _whole(folder).copy()


@cache
def _whole(folder: Path) -> Gathered:
    return gather(folder)


def _strangers(folder: Path, label: str) -> Iterable[Fault]:
    names = {file.name for file in FILES}
    try:
        there = sorted(path.name for path in folder.iterdir())
    except OSError as error:
        why = (
            worded("does not exist")
            if isinstance(error, FileNotFoundError)
            else worded("cannot be read ({strerror})", strerror=error.strerror)
        )
        raise InputRefused(
            worded(
                'the folder of tables "{folder}" {why}: a folder with TOML tables is needed. Make '
                "it, or name another one.",
                folder=folder,
                why=why,
            )
        ) from error
    for name in there:
        if name.lower().endswith(".toml") and name not in names:
            near = get_close_matches(name.lower(), names, n=1)
            hint = (
                worded('was "{near}" meant?', near=near[0])
                if near
                else worded("the tables are {names}", names=", ".join(sorted(names)))
            )
            yield Fault(label + name, "", "", worded("is no table that is known here"), hint)


def _gather_content(
    content: Raw, faults: Sequence[Fault], file: TableFile, shown_as: str, found: Gathered
) -> None:
    if faults:
        found.faults += faults
        found.unread |= set(file.rows)
        return
    for name in content:
        if name not in file.rows and name not in file.heads:
            near = get_close_matches(name, [*file.rows, *file.heads], n=1)
            hint = (
                worded('was "{near}" meant?', near=near[0])
                if near
                else worded("the tables here are {rows}", rows=", ".join(file.rows))
            )
            found.faults.append(Fault(shown_as, "", name, worded("is not known here"), hint))
    for table, kind in file.rows.items():
        if table in content:
            _gather_table(content[table], table, kind, shown_as, found)


def _read(path: Path, shown_as: str) -> tuple[Raw, list[Fault]]:
    try:
        with path.open("rb") as stream:
            text = stream.read(LARGEST_FILE + 1)
    except OSError as error:
        return {}, [
            Fault(
                shown_as,
                "",
                "",
                worded("cannot be read ({strerror})", strerror=error.strerror),
                worded("a file that may be read"),
            )
        ]
    if len(text) > LARGEST_FILE:
        wrong = worded("is over {largest_file:.0f} MB", largest_file=LARGEST_FILE / 1000000.0)
        return {}, [Fault(shown_as, "", "", wrong, worded("a table of a few hundred rows at most"))]
    return raw_tables(text, shown_as)


def _gather_table(entries: object, table: str, kind: type[Row], shown_as: str, found: Gathered) -> None:
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        found.faults.append(
            Fault(
                shown_as,
                "",
                table,
                worded("is not a list of rows"),
                worded("rows that begin with [[{table}]]", table=table),
            )
        )
        found.unread.add(table)
        return
    rows = found.rows.setdefault(table, {})
    for number, raw in enumerate(entries, start=1):
        name = name_of(kind, raw, table, number)
        key: tuple[object, ...] = key_of(kind, raw)
        if not all(isinstance(part, str | int | float) for part in key):
            key = (table, number)
        if key in rows:
            fields = worded(" and ").join(toml_key(part) for part in kind.key) or "row"
            found.faults.append(
                Fault(
                    shown_as,
                    name,
                    "",
                    worded("stands twice"),
                    worded("one row for each {fields}", fields=fields),
                )
            )
            continue
        rows[key] = RawRow(raw, shown_as, name)


def lay_over(trade: Gathered, shop: Gathered, kinds: Mapping[str, type[Row]]) -> tuple[Overlaid, ...]:
    """Lay the workshop's rows over the trade rows, in place, and say field by field what changed."""
    trade.faults += shop.faults
    said: list[Overlaid] = []
    for table, rows in shop.rows.items():
        below = trade.rows.setdefault(table, {})
        for key, row in rows.items():
            if key in below:
                said += _changed(below[key], row, kinds[table])
                below[key] = _merged(below[key], row)
            else:
                row.from_shop = True
                below[key] = row
                said.append(
                    Overlaid(
                        Path(row.file).name,
                        row.name,
                        "",
                        worded("not in the trade table"),
                        worded("a new row"),
                    )
                )
    return tuple(said)


def _merged(below: RawRow, above: RawRow) -> RawRow:
    changed = {name for name, value in above.raw.items() if below.raw.get(name) != value}
    raw = below.raw | above.raw
    if changed and "source" not in above.raw:
        raw["source"] = SHOP_SOURCE
    if changed and "checked" not in above.raw:
        # Public text agreed or disagreed with the trade's figure, not with this one.
        raw.pop("checked", None)
    instead_of = tuple(
        worded("{name} was {raw}", name=name, raw=_words(below.raw, name))
        for name in above.raw
        if name in changed
    )
    return RawRow(raw, above.file, below.name, bool(changed), instead_of)


def _changed(below: RawRow, above: RawRow, kind: type[Row]) -> Iterable[Overlaid]:
    for name, value in above.raw.items():
        if below.raw.get(name) != value:
            was, now = _words(below.raw, name), _words(below.raw | above.raw, name)
            if name in kind.in_unit and isinstance(unit := below.raw.get("unit"), str):
                was, now = (f"{words} {unit}" if words != "nothing" else words for words in (was, now))
            yield Overlaid(Path(above.file).name, above.name, name, was, now)


def _words(raw: Raw, name: str) -> str:
    value = raw.get(name)
    if value is None:
        return "nothing"
    return value if isinstance(value, str) else shown(value)
