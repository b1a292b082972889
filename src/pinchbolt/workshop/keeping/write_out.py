"""Leaving with everything: every table as an open file with its schema, the sheets as PDF, and a manifest that proves them."""

import csv
import io
import json
import os
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import IO

from django.conf import settings
from django.db import models
from django.db.migrations.loader import MigrationLoader

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Event
from pinchbolt.values import Json
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import one_moment
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.keeping._open_files import (
    FORMAT,
    as_cell,
    as_value,
    beside_name,
    columns_of,
    files_beside,
    schema_of,
    tables_written,
)

MANIFEST = "manifest.json"
ERASED_FILE = "erased-owners.txt"
README = worded(
    "Everything that a workshop's bench book holds, as open files.\n\nmanifest.json       "
    "format, release, day, and of every file its size, digest (SHA-256) and rows\n*.csv   "
    "            one table each: UTF-8, comma, decimal point, RFC 4180; what is not "
    "known is empty\n*.ndjson            one JSON object a line\nschema/*.json       a "
    "JSON Schema (2020-12) of a row of each file\npapers/*.pdf        sheets as they were "
    "handed out; papers.csv says which is which\nphotos/*.jpg        photos, by the id of "
    "their row in photos.csv\nproof-photos/*.jpg  photos of markings, receipts and of "
    "what broke, by the id of their row in proof-photos.csv\ntables/*.toml       rows of "
    "the workshop's own over the trade tables\nerased-owners.txt   numbers of owners who "
    "were erased\n\nIds never change: a column with the name of another table holds the id "
    "of a row there. Days are 2026-11-28, times have their offset,\nmoney is in the "
    "workshop's currency (workshop.csv). In a text column that may be unknown, a text "
    "known to be empty stands as two\nquotes. Cells that begin with = + - @ stand as they "
    "were written: a spreadsheet may read them as formulas.\nPeople come without "
    "passphrases, PINs and tokens. The same records give the same bytes; only the "
    "manifest holds the day.\n\npinchbolt import FOLDER brings all of it into an empty "
    "workshop.\n"
)


@dataclass(frozen=True, slots=True)
class WrittenOut:
    """What was written: where, how many files and rows."""

    place: str
    files: int
    rows: int


def write_out(place: Path, now: datetime, version: str) -> WrittenOut:
    """Write everything into a folder, or into one zip where *place* ends so; nothing is overwritten.

    Raises:
        NotPossibleNow: There is something at that place already.
    """
    if place.exists() and (place.is_file() or any(place.iterdir())):
        raise NotPossibleNow(
            worded(
                "{place} is there already: nothing is overwritten. Name an empty folder or a new file.",
                place=place,
            )
        )
    if place.suffix.lower() == ".zip":
        place.parent.mkdir(parents=True, exist_ok=True)
        unproved = place.with_name(f".{place.name}.{os.getpid()}")
        try:
            with _new(unproved) as out:
                zip_into(out, now, version)
            unproved.replace(place)
        finally:
            unproved.unlink(missing_ok=True)
    files = 0
    if place.suffix.lower() != ".zip":
        for name, data in everything_as_files(now, version):
            target = place / name
            target.parent.mkdir(parents=True, exist_ok=True)
            with _new(target) as out:
                out.write(data)
            files += 1
    rows = sum(model._default_manager.count() for model in tables_written().values())
    return WrittenOut(str(place), files, rows)


def _new(file: Path) -> IO[bytes]:
    """A file for this user alone, wherever it lies: it holds owners' names."""
    return open(file, "xb", opener=lambda path, flags: os.open(path, flags, 0o600))


def zip_into(out: IO[bytes], now: datetime, version: str) -> None:
    """Write everything into one zip, file by file."""
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in everything_as_files(now, version):
            packed.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), data, zipfile.ZIP_DEFLATED)


def everything_as_files(now: datetime, version: str) -> Iterator[tuple[str, bytes]]:
    """Give every file by its name, the manifest last; all of one moment, and whoever writes meanwhile does not wait."""
    told: Json = {}
    with one_moment():
        last = Event.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
        for name, data, rows in _files():
            told[name] = {"bytes": len(data), "sha256": sha256(data).hexdigest(), "rows": rows}
            yield name, data
        manifest = {
            "format": FORMAT,
            "made_by": worded("pinchbolt {version}", version=version),
            "made_on": local_day(now).isoformat(),
            "workshop": terms().name,
            "last_event": last,
            "records": sorted(
                name for app, name in MigrationLoader(None).graph.leaf_nodes() if app == "records"
            ),
            "files": told,
        }
    yield MANIFEST, _json(manifest)


def _files() -> Iterator[tuple[str, bytes, int]]:
    yield "README.txt", README.encode(), 0
    for name, model in tables_written().items():
        data, rows = _table(name, model)
        yield name, data, rows
        for column in files_beside(model):
            for pk, data in model._default_manager.order_by("pk").values_list("pk", column).iterator(50):
                if data is not None:
                    yield beside_name(name, pk, column), bytes(data), 0
        yield f"schema/{name.partition('.')[0]}.json", _json(schema_of(name, model)), 0
    folder = Path(settings.SHOP_TABLES)
    for file in sorted(folder.glob("*.toml")) if folder.is_dir() else ():
        yield f"tables/{file.name}", file.read_bytes(), 0
    erased = Path(settings.ERASED_LIST)
    if erased.exists():
        yield ERASED_FILE, erased.read_bytes(), 0


def _table(name: str, model: type[models.Model]) -> tuple[bytes, int]:
    """A table as bytes, rows by their id, and how many there are."""
    columns = columns_of(model)
    rows = (
        model._default_manager.order_by("pk")
        .values_list(*(column.attname for column in columns))
        .iterator(2000)
    )
    out, count = io.StringIO(newline=""), 0
    if name.endswith(".csv"):
        written = csv.writer(out, lineterminator="\r\n")
        written.writerow([column.name for column in columns])
        for row in rows:
            written.writerow([as_cell(column, value) for column, value in zip(columns, row, strict=True)])
            count += 1
    else:
        for row in rows:
            told = {column.name: as_value(column, value) for column, value in zip(columns, row, strict=True)}
            out.write(json.dumps(told, ensure_ascii=False, sort_keys=True) + "\n")
            count += 1
    return out.getvalue().encode(), count


def _json(value: object) -> bytes:
    return (json.dumps(value, ensure_ascii=False, indent=2, sort_keys=True) + "\n").encode()
