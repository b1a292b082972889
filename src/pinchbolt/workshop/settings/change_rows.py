"""Rows of the tables changed by the workshop: an act with what the row said before, and the file written from it.

A row takes only if all tables are sound with it. The file before stays under `earlier`.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from django.utils import timezone

from pinchbolt import reference
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event
from pinchbolt.reference import Tables
from pinchbolt.reference.gather import SHOP_SOURCE
from pinchbolt.reference.rows.base import Row
from pinchbolt.reference.write import file_of, own_row, with_row
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.setting_changes import PRICE_TABLES, refuse_unseen
from pinchbolt.workshop.common.checks import short
from pinchbolt.workshop.common.trade_tables import (
    EARLIER,
    digests,
    own_files,
    own_folder,
    put_file,
    read_tables_again,
    tables_in_use,
)
from pinchbolt.workshop.settings._row_softer import softer_fields
from pinchbolt.workshop.settings.row_fields import as_plain, as_typed, fields_on, row_in, row_name, row_table

_ID = re.compile(r"[^a-z0-9]+")
Fields = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class RowRequest:
    """A row as the workshop wants it: what was typed in each field, empty where it is as in the trade table. `why` in words."""

    table: str
    id: str
    typed: Mapping[str, str]
    why: str = ""
    seen: int | None = None


@dataclass(frozen=True, slots=True)
class FillRequest:
    """Every shelf price of the trade times a factor, to the next step of money; rows of the workshop's own stay as they are."""

    factor: Decimal
    step: Decimal = Decimal("0.50")


@dataclass(frozen=True, slots=True)
class OwnOperationRequest:
    """An operation of the workshop's own: name, minutes (low, usual, high) or a fixed price, steps one a line, parts by kind."""

    name: str
    minutes: str
    steps: str
    fixed_price: str = ""
    tax_class: str = "standard"
    on_the_stand: bool = True
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ReadAgainRequest:
    """The files were changed by hand: read them, and write down that somebody did."""


@dataclass(frozen=True, slots=True)
class Tried:
    """A row as it would be: what the workshop's row would say, and the tables with it."""

    name: str
    fields: Fields
    tables: Tables
    softer: tuple[str, ...]


def try_row(request: RowRequest) -> Tried:
    """Lay a row over the tables without writing anything.

    Raises:
        InputRefused: A field can't be read, or the tables are not sound with it; each sentence stands at its field.
        NotFound: No such table or row.
    """
    row, trade = _row(request.table, request.id), row_in(reference.tables(), request.table, request.id)
    fields = _differing(request, row, trade)
    tables = _with(request.table, {request.id: fields})
    softer = softer_fields(request.table, row_in(tables, request.table, request.id), trade)
    return Tried(row_name(request.table, row), fields, tables, softer)


def change_row(request: RowRequest, *, by: int, key: str, now: datetime) -> None:
    """Change a row of the tables, or put it back to the trade table where nothing differs.

    Raises:
        InputRefused: As `try_row`; or the row is softer than the trade table and nobody says why.
        NotPossibleNow: Somebody changed it meanwhile, or a file was changed by hand and not read yet.
    """
    with act("row changed", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        why = short(request.why, "why", worded("The reason"), 200)
        tried = try_row(request)
        if tried.softer and not why:
            sentence = worded(
                "Softer than the trade table ({softer}): say why in a few words.",
                softer=", ".join(tried.softer),
            )
            raise InputRefused(sentence, {"why": sentence})
        page = "prices" if request.table in PRICE_TABLES else "limits"
        refuse_unseen(page, [f"{request.table}/{request.id}"], request.seen)
        write_rows(this, request.table, {request.id: tried.fields}, why)


def fill_prices(request: FillRequest, *, by: int, key: str, now: datetime) -> int:
    """Give every shelf price that is still the trade's as the trade's times a factor; return how many there are.

    Raises:
        InputRefused: A factor or step out of sense.
    """
    with act("row changed", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return len(this.done_before.said["now"])
        rows: dict[str, Fields] = {
            row: {**_own("price", row), "price": f"{price:f}"} for row, _, _, price in filled_prices(request)
        }
        if rows:
            write_rows(
                this,
                "price",
                rows,
                worded("times {factor}, to the next {step}", factor=request.factor, step=request.step),
            )
        return len(rows)


def filled_prices(request: FillRequest) -> list[tuple[str, str, Decimal, Decimal]]:
    """Return what `fill_prices` would do: id, name, the trade's price and the new one, in the order of the table."""
    if not (request.factor.is_finite() and Decimal("0.1") <= request.factor <= 1000):
        _refuse(
            "factor",
            worded(
                "The factor is {factor}: 0.1 to 1000 makes sense. Type it again.",
                factor=str(request.factor)[:12],
            ),
        )
    if not (request.step.is_finite() and Decimal("0.01") <= request.step <= 1000):
        _refuse(
            "step",
            worded(
                "The step is {step}: 0.01 to 1000 makes sense. Type it again.", step=str(request.step)[:12]
            ),
        )
    return [
        (row.id, row.name, row.price, _to_step(row.price * request.factor, request.step))
        for row in reference.tables().prices.values()
        if "price" not in _own("price", row.id)
    ]


def add_operation(request: OwnOperationRequest, *, by: int, key: str, now: datetime) -> str:
    """Put an operation of the workshop's own on the menu; return its id.

    Raises:
        InputRefused: A field is wrong, or an operation of this name is there.
    """
    with act("row changed", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return str(next(iter(this.done_before.said["now"]))).partition("/")[2]
        name = short(request.name, "name", worded("The name"), 80, needed=True)
        id = f"own-{_ID.sub('-', name.lower()).strip('-') or 'operation'}"
        if id in tables_in_use().tables.operations:
            _refuse(
                "name",
                worded(
                    '"{name}" is on the menu already: change that row, or choose another name.', name=name
                ),
            )
        typed = {"minutes": request.minutes, "steps": request.steps, "fixed_price": request.fixed_price}
        said = {
            one.name: as_plain(one, typed[one.name])
            for one in row_table("operation").fields
            if typed.get(one.name, "").strip()
        }
        fields: dict[str, object] = {
            "name": name, "minutes": [], "shares": ["on-stand"] if request.on_the_stand else [], "steps": [], "tools": [],
            "parts": list(request.parts), "needs": [], "checks": [worded("as agreed with the owner")], "next": "",
            "tax_class": request.tax_class, "source": SHOP_SOURCE, "certain": "medium", **said,
        }  # fmt: skip
        for needed, what in (
            ("minutes", worded("its minutes: low, usual, high")),
            ("steps", worded("one step at least")),
        ):
            if not fields[needed]:
                _refuse(needed, worded("Fill in {what}.", what=what))
        write_rows(this, "operation", {id: fields}, "")
        return id


def read_files_again(request: ReadAgainRequest, *, by: int, key: str, now: datetime) -> None:
    """Take the files as they were changed by hand, and write down what they say otherwise than the trade.

    Raises:
        InputRefused: A file has a fault: it does not take, and the rows that were good last go on.
    """
    with act("tables read", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        found = read_tables_again()
        if found.refused is not None:
            raise found.refused
        this.said = {
            "digests": dict(found.digests),
            "rows": [_line(one) for one in found.tables.overlaid[:100]],
        }
        this.write()


def by_hand() -> tuple[str, ...]:
    """Return the files that no act wrote as they are now."""
    written, there = _written(), digests(own_files())
    return tuple(
        sorted(name for name in there.keys() | written.keys() if there.get(name) != written.get(name))
    )


def _written() -> Mapping[str, str]:
    """The marks of the files as acts wrote or read them last."""
    kinds = ("row changed", "tables read", "setting taken back")
    newest = Event.objects.filter(kind__in=kinds, said__has_key="digests").order_by("-pk").first()
    return dict(newest.said["digests"]) if newest else {}


def write_rows(
    this: Act, table: str, rows: Mapping[str, Fields], why: str, corrects: Event | None = None
) -> Event:
    """Write rows of one table inside an act: its event, then the file; nothing of either where the tables are not sound.

    Raises:
        InputRefused: The tables are not sound with them.
        NotPossibleNow: The file was changed by hand and not read yet.
    """
    before = {f"{table}/{id}": dict(_own(table, id)) for id in rows}
    text = _text(table, rows)
    name = file_of(table)
    _load(table, {name: text})
    this.said = {
        "page": "prices" if table in PRICE_TABLES else "limits",
        "table": table,
        "was": before,
        "now": {f"{table}/{id}": dict(fields) for id, fields in rows.items()},
        "why": why,
        "digests": {**_written(), **digests({name: text})},
    }
    event = this.write(corrects=corrects)
    own = own_folder()
    if (own / name).exists():
        stamp = f"{timezone.localtime(this.now):%Y-%m-%d-%H%M%S}"
        put_file(own / EARLIER / f"{name}.{stamp}", (own / name).read_bytes())
    put_file(own / name, text)
    read_tables_again()
    return event


def _row(table: str, id: str) -> Row:
    row = row_in(tables_in_use().tables, table, id)
    if row is None:
        _refuse("id", worded('There is no row "{id}" there: find it by its name.', id=id[:60]))
        raise AssertionError
    return row


def _differing(request: RowRequest, row: Row, trade: Row | None) -> Fields:
    """What the workshop's row says: fields that were typed otherwise than the trade has them, and those that no screen shows."""
    shown, errors = {one.name: one for one in fields_on(request.table, row)}, dict[str, str]()
    fields: dict[str, object] = {
        name: value for name, value in _own(request.table, request.id).items() if name not in shown
    }
    for name, one in shown.items():
        typed = request.typed.get(name, "").replace("\r\n", "\n").strip()
        as_trade = as_typed(getattr(trade, name)) if trade is not None else ""
        if typed and typed != as_trade:
            try:
                value = as_plain(one, typed)
            except InputRefused as refused:
                errors |= refused.errors
                continue
            if trade is None or value != as_plain_of(one.sort, getattr(trade, name)):
                fields[name] = value
    if errors:
        raise InputRefused(next(iter(errors.values())), errors)
    return fields


def as_plain_of(sort: str, value: object) -> object:
    """Return a value of a typed row as the files keep it, so that what is the same is seen to be."""
    if isinstance(value, tuple):
        return list(value)
    if isinstance(value, Decimal):
        return f"{value:.2f}"
    return str(value) if sort == "pick" else value


def _own(table: str, id: str) -> Fields:
    text = own_files().get(file_of(table), b"")
    return own_row(text, table, (id,))


def _text(table: str, rows: Mapping[str, Fields]) -> bytes:
    name = file_of(table)
    found = own_files().get(name, b"")
    as_read = tables_in_use().digests.get(name)
    if name in by_hand() or as_read != digests({name: found} if found else {}).get(name):
        raise NotPossibleNow(
            worded(
                "{name} was changed by hand: read the files again first, under limits and torques.", name=name
            )
        )
    for id, fields in rows.items():
        found = with_row(found, table, (id,), fields).encode()
    return found


def _with(table: str, rows: Mapping[str, Fields]) -> Tables:
    name = file_of(table)
    return _load(table, {name: _text(table, rows)})


def _load(table: str, instead: Mapping[str, bytes]) -> Tables:
    """The tables with a changed file; a fault stands at its field, without the name of a folder."""
    own = own_folder()
    try:
        return reference.load(own if own.is_dir() else None, instead)
    except InputRefused as refused:
        shown = {one.name for one in row_table(table).fields}
        errors: dict[str, str] = {}
        for place, sentence in refused.errors.items():
            name = place.rpartition("/")[2].partition("[")[0]
            errors[name if name in shown else "row"] = sentence.replace(f"{own}/", "")
        raise InputRefused(next(iter(errors.values())), errors) from None


def _to_step(price: Decimal, step: Decimal) -> Decimal:
    """The next step up or down; never nothing for what costs something."""
    steps = (price / step).quantize(Decimal(1), ROUND_HALF_UP)
    return (max(steps, Decimal(1)) * step if price else price).quantize(Decimal("0.01"))


def _line(one: reference.Overlaid) -> str:
    return worded(
        "{file}, {id}{field}: {now} (was {was})",
        file=one.file,
        id=one.id,
        field=f", {one.field}" if one.field else "",
        now=one.now,
        was=one.was,
    )


def _refuse(name: str, sentence: str) -> None:
    raise InputRefused(sentence, {name: sentence})
