"""Coming with everything: what `write_out` wrote, looked at cell by cell and brought into an empty workshop, all of it or nothing."""

import csv
import io
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from hashlib import sha256
from itertools import product
from pathlib import Path
from tempfile import TemporaryDirectory

from django.conf import settings
from django.contrib.auth.hashers import make_password
from django.core.management.color import no_style
from django.db import IntegrityError, connection, models

from pinchbolt import reference
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event, Owner, Person, Role, Workshop, note_look_up, rebuild_now
from pinchbolt.values import JsonRead
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import one_at_a_time
from pinchbolt.workshop.acts.passphrases import good_passphrase
from pinchbolt.workshop.common.trade_tables import put_file, read_tables_again
from pinchbolt.workshop.keeping._export_files import export_files
from pinchbolt.workshop.keeping._open_files import (
    FORMAT,
    Column,
    beside_name,
    columns_of,
    files_beside,
    from_cell,
    from_value,
    tables_written,
    target_of,
)
from pinchbolt.workshop.keeping.erase import erase_again
from pinchbolt.workshop.keeping.erased_list import erased_numbers
from pinchbolt.workshop.keeping.write_out import ERASED_FILE, MANIFEST

_AT_ONCE, _AT_ONCE_BESIDE = 500, 50
Rows = list[models.Model]


@dataclass(frozen=True, slots=True)
class ComesIn:
    """What is in an export: the workshop, rows, files, its newest entry, and who would be asked for a new passphrase."""

    workshop: str
    rows: int
    files: int
    made_on: str
    made_by: str
    first_owner: str
    erased_again: int = 0


def look_at_export(place: Path, *, changed: bool = False) -> ComesIn:
    """Look through an export without writing anything.

    Args:
        place: The folder or the zip. [-]
        changed: Files that somebody changed on purpose are taken, if every cell of them is sound. [-]

    Raises:
        InputRefused: A cell, a reference, a count or a digest is wrong; named by file, line and column.
        NotPossibleNow: A later release wrote it.
    """
    with export_files(place) as files:
        return _proved(files, changed=changed)[0]


def bring_in(place: Path, passphrase: str, now: datetime, *, changed: bool = False) -> ComesIn:
    """Bring an export into an empty workshop; its first owner of the workshop gets a new passphrase, the others set theirs.

    Raises:
        InputRefused: As `look_at_export`, or the passphrase is too easy.
        NotPossibleNow: There is a workshop here already, or a later release wrote the export.
    """
    _refuse_taken()
    with export_files(place) as files:
        seen, rows = _proved(files, changed=changed)
        first = _first_owner(rows)
        good_passphrase(passphrase, (seen.workshop, first.name, first.sign_in))
        with one_at_a_time():
            # Somebody else may have opened or brought one while this one was proved.
            _refuse_taken()
            for name, made in rows.items():
                _write(name, made, files)
            # Every reference is proved here, not when the transaction ends and nobody is told which.
            connection.check_constraints()
            Person.objects.filter(pk=first.pk).update(password=make_password(passphrase))
            note_look_up(*Owner.objects.values_list("pk", flat=True))
            rebuild_now()
            for statement in connection.ops.sequence_reset_sql(no_style(), list(tables_written().values())):
                with connection.cursor() as cursor:
                    cursor.execute(statement)
        # After the records are in: a file is not taken back with them.
        _files_beside(files)
    read_tables_again()
    return replace(seen, erased_again=erase_again(erased_numbers(), now))


def _refuse_taken() -> None:
    if Workshop.objects.exists() or Person.objects.exists() or Event.objects.exists():
        raise NotPossibleNow(
            worded(
                "There is a workshop here already: an export comes into an empty home folder. Name "
                "another with PINCHBOLT_HOME."
            )
        )


def _proved(files: Mapping[str, bytes], *, changed: bool) -> tuple[ComesIn, dict[str, Rows]]:
    """What is in the files, and their rows; nothing is written yet."""
    manifest = _manifest(files)
    rows = _all_rows(files)
    _prove(files, manifest, rows, changed=changed)
    _prove_tables(files)
    return _seen(manifest, rows), rows


def _manifest(files: Mapping[str, bytes]) -> JsonRead:
    try:
        manifest = json.loads(files[MANIFEST])
        written = int(manifest["format"])
        files_told = manifest["files"]
    except (KeyError, ValueError, TypeError):
        raise InputRefused(
            worded(
                "There is no {manifest} that can be read: this is no export of pinchbolt.", manifest=MANIFEST
            )
        ) from None
    if written > FORMAT or not isinstance(files_told, dict):
        raise NotPossibleNow(
            worded(
                "This was written by a newer pinchbolt ({made_by}). Update first, then try again.",
                made_by=manifest.get("made_by"),
            )
        )
    read: JsonRead = manifest
    return read


def _all_rows(files: Mapping[str, bytes]) -> dict[str, Rows]:
    """Every row of every table, each cell proved; references are proved against the rows that come along."""
    found: dict[str, Rows] = {}
    ids: dict[type[models.Model], set[object]] = {}
    for name, model in tables_written().items():
        if name not in files:
            # A table that an earlier release did not have.
            found[name] = []
            ids[model] = set()
            continue
        made = [_made(name, model, at, told) for at, told in _lines(name, files[name], columns_of(model))]
        ids[model] = _ids(name, made)
        found[name] = made
    for name, rows in found.items():
        _refer(name, tables_written()[name], rows, ids)
    return found


def _lines(name: str, data: bytes, columns: tuple[Column, ...]) -> Iterator[tuple[int, dict[str, object]]]:
    """Every line with its number, as {column: value} of sound values."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as bad:
        raise InputRefused(
            worded(
                "{name}: byte {start} is no UTF-8. Save it as UTF-8, or export again.",
                name=name,
                start=figure_text(bad.start),
            )
        ) from None
    by_name = {column.name: column for column in columns}
    if name.endswith(".ndjson"):
        for at, line in enumerate(text.split("\n"), 1):
            if line.strip():
                yield at, _sound(name, at, by_name, _object(name, at, line), from_value)
        return
    read = csv.reader(io.StringIO(text, newline=""), strict=True)
    header = next(read, [])
    _refuse_header(name, header, by_name)
    try:
        for row in read:
            if len(row) != len(header):
                raise InputRefused(
                    worded(
                        "{name}, line {line_num}: {row} cells, and {header} columns. Correct the line.",
                        name=name,
                        line_num=read.line_num,
                        row=len(row),
                        header=len(header),
                    )
                )
            told: dict[str, object] = dict(zip(header, row, strict=True))
            yield (
                read.line_num,
                _sound(name, read.line_num, by_name, told, lambda column, cell: from_cell(column, str(cell))),
            )
    except csv.Error as bad:
        raise InputRefused(
            worded(
                "{name}, line {line_num}: {bad}. Correct the line.",
                name=name,
                line_num=read.line_num,
                bad=bad,
            )
        ) from None


def _object(name: str, at: int, line: str) -> dict[str, object]:
    try:
        told = json.loads(line)
    except ValueError:
        told = None
    if not isinstance(told, dict):
        raise InputRefused(
            worded("{name}, line {at}: a JSON object is needed. Correct the line.", name=name, at=at)
        )
    return told


def _refuse_header(name: str, header: list[str], by_name: Mapping[str, Column]) -> None:
    astray = [column for column in header if column not in by_name]
    lacking = [column for column in by_name if column not in header and not _may_lack(by_name[column])]
    if astray or lacking or len(set(header)) != len(header):
        what = (
            worded('column "{astray}" is not known', astray=astray[0])
            if astray
            else worded('column "{lacking}" is missing or there twice', lacking=(lacking or header)[0])
        )
        raise InputRefused(
            worded(
                "{name}, line 1: {what}. The columns are {by_name}.",
                name=name,
                what=what,
                by_name=", ".join(by_name),
            )
        )


def _may_lack(column: Column) -> bool:
    """A column that an earlier release did not have: it has a default, or may be unknown."""
    return column.null or column.has_default()


def _sound(
    name: str, at: int, by_name: Mapping[str, Column], told: Mapping[str, object], read: object
) -> dict[str, object]:
    found: dict[str, object] = {}
    assert callable(read)
    for column, value in told.items():
        if column not in by_name:
            raise InputRefused(
                worded(
                    '{name}, line {at}: "{column}" is not known. The columns are {by_name}.',
                    name=name,
                    at=at,
                    column=column,
                    by_name=", ".join(by_name),
                )
            )
        try:
            found[by_name[column].attname] = read(by_name[column], value)
        except ValueError as bad:
            raise InputRefused(
                worded(
                    '{name}, line {at}, column {column}: "{value}", and {bad}. Correct the cell.',
                    name=name,
                    at=at,
                    column=column,
                    value=str(value)[:40],
                    bad=bad,
                )
            ) from None
    lacking = [one for one, column in by_name.items() if one not in told and not _may_lack(column)]
    if lacking:
        raise InputRefused(
            worded(
                '{name}, line {at}: column "{lacking}" is missing. Correct the line.',
                name=name,
                at=at,
                lacking=lacking[0],
            )
        )
    return found


def _made(name: str, model: type[models.Model], at: int, told: Mapping[str, object]) -> models.Model:
    row = model(**told)
    if isinstance(row, Person):
        row.set_unusable_password()
    # Kept beside the row, so that a reference that leads nowhere is named by its line.
    row.__dict__["_line"] = at
    return row


def _ids(name: str, rows: Rows) -> set[object]:
    found: set[object] = set()
    for row in rows:
        if row.pk in found:
            raise InputRefused(
                worded(
                    "{name}, line {dict}: the id {pk} is there twice. Correct the line.",
                    name=name,
                    dict=row.__dict__["_line"],
                    pk=row.pk,
                )
            )
        found.add(row.pk)
    return found


def _refer(
    name: str, model: type[models.Model], rows: Rows, ids: Mapping[type[models.Model], set[object]]
) -> None:
    for column in columns_of(model):
        target = target_of(column)
        if target is None:
            continue
        for row in rows:
            value = getattr(row, column.attname)
            if value is not None and value not in ids[target]:
                raise InputRefused(
                    worded(
                        "{name}, line {dict}, column {column_name}: there is no row {value} for it to point "
                        "at. Correct the cell.",
                        name=name,
                        dict=row.__dict__["_line"],
                        column_name=column.name,
                        value=value,
                    )
                )


def _prove(
    files: Mapping[str, bytes], manifest: JsonRead, rows: Mapping[str, Rows], *, changed: bool
) -> None:
    """The files are those that were written, and all of them."""
    for name, told in manifest["files"].items():
        if name not in files:
            raise InputRefused(
                worded("{name} is missing: the manifest names it. Copy the export again, whole.", name=name)
            )
        if changed:
            continue
        if name in rows and len(rows[name]) != told["rows"]:
            raise InputRefused(
                worded(
                    "{name} has {rows} rows, and {told} were written. Copy the export again.",
                    name=name,
                    rows=figure_text(len(rows[name])),
                    told=figure_text(told["rows"]),
                )
            )
        if sha256(files[name]).hexdigest() != told["sha256"]:
            raise InputRefused(
                worded(
                    "{name} is not as it was written. Copy the export again; if it was changed on "
                    "purpose, add --changed.",
                    name=name,
                )
            )
    more = sorted(files.keys() - manifest["files"].keys() - {MANIFEST})
    if more and not changed:
        raise InputRefused(
            worded(
                "{more} is not in the manifest: it was not written out with the rest. Take it away; "
                "if it was added on purpose, add --changed.",
                more=more[0],
            )
        )
    for name, row, column in _beside(rows):
        told = beside_name(name, row.pk, column)
        if told not in files and not row._meta.get_field(column).null:
            raise InputRefused(
                worded(
                    "{told} is missing: {name} names it. Copy the export again, whole.", told=told, name=name
                )
            )


def _prove_tables(files: Mapping[str, bytes]) -> None:
    """Rows of the workshop's own are sound over the trade's, before anything is written."""
    with TemporaryDirectory() as place:
        for name, data in _own_tables(files):
            put_file(Path(place) / name, data)
        try:
            reference.load(Path(place))
        except InputRefused as refused:
            raise InputRefused(refused.sentence.replace(f"{place}/", "tables/")) from None


def _own_tables(files: Mapping[str, bytes]) -> Iterator[tuple[str, bytes]]:
    for name in files:
        folder, _, file = name.rpartition("/")
        if folder == "tables" and file.endswith(".toml"):
            yield file, files[name]


def _beside(rows: Mapping[str, Rows]) -> Iterator[tuple[str, models.Model, str]]:
    """Every row and column whose value lies beside as a file of its own."""
    for name, made in rows.items():
        for column in files_beside(tables_written()[name]):
            for row in made:
                yield name, row, column


def _seen(manifest: JsonRead, rows: Mapping[str, Rows]) -> ComesIn:
    return ComesIn(
        str(manifest.get("workshop", "")),
        sum(map(len, rows.values())),
        len(manifest["files"]),
        str(manifest.get("made_on", "")),
        str(manifest.get("made_by", "")),
        _first_owner(rows).name,
    )


def _first_owner(rows: Mapping[str, Rows]) -> Person:
    """The first owner of the workshop who works there."""
    people = [
        row
        for row in rows["people.csv"]
        if isinstance(row, Person) and row.is_active and row.role == Role.OWNER
    ]
    if not people:
        raise InputRefused(
            worded("people.csv: nobody in it owns the workshop. Give one active person that role.")
        )
    return min(people, key=lambda one: one.pk)


def _write(name: str, rows: Rows, files: Mapping[str, bytes]) -> None:
    """Write a table, some rows at a time: what lies beside them is in memory no longer than that."""
    if not rows:
        return
    model = type(rows[0])
    beside = files_beside(model)
    many = _AT_ONCE_BESIDE if beside else _AT_ONCE
    try:
        for at in range(0, len(rows), many):
            some = rows[at : at + many]
            for row, column in product(some, beside):
                setattr(row, column, files.get(beside_name(name, row.pk, column)))
            model._default_manager.bulk_create(some)
            for row, column in product(some, beside):
                setattr(row, column, None)
    except IntegrityError as bad:
        raise InputRefused(
            worded(
                "{name}: a row breaks a rule of the records ({bad}). Nothing was brought in.",
                name=name,
                bad=bad,
            )
        ) from None


def _files_beside(files: Mapping[str, bytes]) -> None:
    """Own tables and the list of erased owners, beside the records."""
    for name, data in _own_tables(files):
        put_file(Path(settings.SHOP_TABLES) / name, data)
    if ERASED_FILE in files and not Path(settings.ERASED_LIST).exists():
        put_file(Path(settings.ERASED_LIST), files[ERASED_FILE])
