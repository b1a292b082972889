"""A list of owners and bikes as its writer keeps it: read, its columns laid on ours, each row sound or stopped with its reason."""

import csv
import io
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from hashlib import sha256

from pinchbolt.errors import InputRefused
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.keeping.list_columns import ColumnGuessed, guessed_columns, kind_told

MOST_BYTES, MOST_ROWS, MOST_COLUMNS = 20_000_000, 50_000, 100
_SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
_DAY = re.compile(r"(\d{1,4})[./-](\d{1,2})[./-](\d{2,4})")
DAY_FIRST, MONTH_FIRST = "day first", "month first"


@dataclass(frozen=True, slots=True)
class ListFile:
    """A file as it was found: encoding and separator in words, header, rows with their line, digest of its bytes."""

    encoding: str
    separator: str
    header: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    digest: str

    @property
    def guessed(self) -> tuple[ColumnGuessed, ...]:
        """Where each column goes, as it looks."""
        return guessed_columns(self.header, [row for _, row in self.rows[:200]])


@dataclass(frozen=True, slots=True)
class ListRow:
    """One row as it will be taken: the owner, and the bike where there is one (`kind` ""  where there is none)."""

    line: int
    name: str
    phone: str
    owner: Mapping[str, str]
    further: tuple[tuple[str, str], ...]
    kind: str
    bike_words: str
    frame_number: str
    speeds: int | None
    km_a_week: float | None
    bike_note: str


@dataclass(frozen=True, slots=True)
class RowStopped:
    """A row that can't be taken, and why."""

    line: int
    why: str


@dataclass(frozen=True, slots=True)
class ListRead:
    """The rows of a list, those that stop, and how its days are read ("" where no day had to be read)."""

    rows: tuple[ListRow, ...]
    stopped: tuple[RowStopped, ...]
    days: str


def read_list(data: bytes) -> ListFile:
    """Read a file of owners and bikes: UTF-8, UTF-16, else the Western letters of older spreadsheets.

    Raises:
        InputRefused: Too large, no table, or too many rows or columns.
    """
    if len(data) > MOST_BYTES:
        raise InputRefused(
            worded(
                "The file has {data} bytes: {most_bytes} are allowed. Send it in pieces.",
                data=figure_text(len(data)),
                most_bytes=figure_text(MOST_BYTES),
            )
        )
    if data[:2] == b"PK" or data[:4] == b"\xd0\xcf\x11\xe0":
        raise InputRefused(worded("This is a spreadsheet file: save it as CSV first."))
    text, encoding = _text(data)
    if "\x00" in text or not text.strip():
        raise InputRefused(worded("The file is empty, or no text: save the list as CSV and send it again."))
    separator = _separator(text)
    read = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    rows: list[tuple[int, tuple[str, ...]]] = []
    try:
        header = tuple(" ".join(cell.split())[:80] for cell in next(read))
        if len(header) > MOST_COLUMNS:
            raise InputRefused(
                worded(
                    "The list has {header} columns: {most_columns} are allowed. Take out those that say "
                    "nothing of an owner or a bike.",
                    header=figure_text(len(header)),
                    most_columns=MOST_COLUMNS,
                )
            )
        for row in read:
            if any(cell.strip() for cell in row):
                rows.append((read.line_num, tuple(row)))
                if len(rows) > MOST_ROWS:
                    raise InputRefused(
                        worded(
                            "The list has more than {most_rows} rows. Send it in pieces.",
                            most_rows=figure_text(MOST_ROWS),
                        )
                    )
    except csv.Error as bad:
        raise InputRefused(
            worded(
                "Line {line_num}: {bad}. Correct the line and send the list again.",
                line_num=read.line_num,
                bad=bad,
            )
        ) from None
    if len(header) < 2 or not rows:
        raise InputRefused(
            worded(
                "The file has no columns that can be told apart, or no row below its header. Save it as CSV."
            )
        )
    return ListFile(encoding, _SEPARATORS[separator], header, tuple(rows), sha256(data).hexdigest())


def _text(data: bytes) -> tuple[str, str]:
    for start, name in ((b"\xff\xfe", "UTF-16"), (b"\xfe\xff", "UTF-16")):
        if data.startswith(start):
            return data.decode("utf-16", "replace"), name
    try:
        return data.decode("utf-8-sig"), "UTF-8"
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace"), "Windows-1252"


def _separator(text: str) -> str:
    """The sign that parts the header into most columns, outside quotes."""
    header = re.sub(r'"[^"]*"', "", text.partition("\n")[0])
    counts = Counter({one: header.count(one) for one in _SEPARATORS})
    return counts.most_common(1)[0][0]


def lay_rows(file: ListFile, columns: Mapping[str, str], rest_kind: str = "", days: str = "") -> ListRead:
    """Return every row laid on our fields.

    Args:
        file: The file. [-]
        columns: Each of its columns: where it goes; two may go to one field and are joined. [-]
        rest_kind: Kind of the bikes whose words tell none; "" lets such rows stop. [-]
        days: "day first" or "month first"; "" where the list itself settles it. [-]

    Raises:
        InputRefused: Neither name nor phone is among the columns, or days can be read two ways.
    """
    if not {"name", "first_name", "last_name", "phone"} & set(columns.values()):
        raise InputRefused(
            worded("No column goes to the owner's name or phone: choose at least one of both.")
        )
    if rest_kind and rest_kind not in tables().bike_kinds:
        raise InputRefused(
            worded(
                'The kind of bike "{rest_kind}" is not in the table: {bike_kinds}. Pick one.',
                rest_kind=rest_kind[:30],
                bike_kinds=", ".join(tables().bike_kinds),
            )
        )
    if days not in ("", DAY_FIRST, MONTH_FIRST):
        sentence = worded(
            'Days are written "{days}": {day_first} or {month_first}. Choose one.',
            days=days[:20],
            day_first=DAY_FIRST,
            month_first=MONTH_FIRST,
        )
        raise InputRefused(sentence, {"days": sentence})
    places = [(at, columns.get(name, "")) for at, name in enumerate(file.header)]
    order = days or _order_of_days(file, [at for at, goes in places if goes == "last_here"])
    rows: list[ListRow] = []
    stopped: list[RowStopped] = []
    for line, cells in file.rows:
        told: dict[str, str] = {}
        for at, goes in places:
            cell = " ".join(cells[at].replace("\x00", "").split()) if goes and at < len(cells) else ""
            if cell:
                told[goes] = f"{told[goes]} {cell}" if goes in told else cell
        try:
            rows.append(_row(line, told, rest_kind, order))
        except InputRefused as no:
            stopped.append(RowStopped(line, no.sentence))
    return ListRead(tuple(rows), tuple(stopped), order)


def _order_of_days(file: ListFile, places: Sequence[int]) -> str:
    """Which way days are written: told by a figure over 12; asked where no row tells."""
    seen = [
        found for _, row in file.rows for at in places if at < len(row) and (found := _DAY.search(row[at]))
    ]
    loose = [(int(one[1]), int(one[2])) for one in seen if len(one[1]) <= 2]
    if any(first > 12 for first, _ in loose):
        return DAY_FIRST
    if any(second > 12 for _, second in loose):
        return MONTH_FIRST
    if loose:
        first, second = loose[0]
        sentence = worded(
            "Is {first:02d}/{second:02d} the day first or the month first? No row of the list tells: choose.",
            first=first,
            second=second,
        )
        raise InputRefused(sentence, {"days": sentence})
    return ""


def _row(line: int, told: Mapping[str, str], rest_kind: str, order: str) -> ListRow:
    name = told.get("name") or " ".join(filter(None, (told.get("first_name"), told.get("last_name"))))
    phone = told.get("phone", "")
    if not name and not phone:
        raise InputRefused(worded("no name and no phone"))
    for field, value, most in (
        ("name", name, 120),
        ("phone", phone, 40),
        (worded("frame number"), told.get("frame_number", ""), 60),
    ):
        if len(value) > most:
            raise InputRefused(
                worded(
                    "{field} has {value} characters: {most} are allowed",
                    field=field,
                    value=len(value),
                    most=most,
                )
            )
    address = ", ".join(
        filter(
            None,
            (
                told.get("address"),
                f"{told.get('postcode', '')} {told.get('town', '')}".strip(),
                told.get("land"),
            ),
        )
    )
    further = [("phone", told.get("phone_2", "")[:120]), ("e-mail", told.get("email", "")[:120])]
    owner = {
        "called": told.get("called", "")[:60],
        "belongs_to": told.get("belongs_to", "")[:120],
        "address": address[:300],
        "note": told.get("note", "")[:2000],
        "their_number": told.get("number", "")[:60],
    }
    words = " ".join(filter(None, (told.get("bike_maker"), told.get("bike_words"), told.get("colour"))))
    has_bike = bool(words or told.get("frame_number") or told.get("bike_kind"))
    kind = kind_told(told.get("bike_kind", "")) or kind_told(words) or rest_kind if has_bike else ""
    if has_bike and not kind:
        raise InputRefused(
            worded(
                'what kind of bike "{bike_kind}" is can\'t be told',
                bike_kind=(told.get("bike_kind") or words or told["frame_number"])[:40],
            )
        )
    return ListRow(
        line,
        name or phone,
        phone,
        {field: value for field, value in owner.items() if value},
        tuple(way for way in further if way[1]),
        kind,
        words[:200],
        told.get("frame_number", ""),
        _count(told.get("speeds", ""), 14),
        _count(told.get("km_a_week", ""), 2000),
        _bike_note(told, order),
    )


def _count(text: str, most: int) -> int | None:
    found = re.search(r"\d+", text)
    return int(found[0]) if found and 0 < int(found[0][:9]) <= most else None


def _bike_note(told: Mapping[str, str], order: str) -> str:
    """What a list says of a bike and no field holds: said as words, looked at by nobody."""
    day = _day(told["last_here"], order) if told.get("last_here") else None
    said = [
        (worded("last here"), f"{day:%d %b %Y}" if day else told.get("last_here", "")),
        (worded("its number there"), told.get("bike_number", "")),
        ("parts", told.get("parts", "")),
    ]
    words = "; ".join(f"{name}: {value}" for name, value in said if value)
    return worded("From a list, not looked at: {words}", words=words)[:2000] if words else ""


def _day(text: str, order: str) -> date | None:
    found = _DAY.search(text)
    if not found:
        return None
    first, second, third = (int(one) for one in found.groups())
    if len(found[1]) == 4:
        year, month, day = first, second, third
    else:
        year = third if third > 99 else 2000 + third
        day, month = (first, second) if order == DAY_FIRST else (second, first)
    try:
        return date(year, month, day)
    except ValueError:
        raise InputRefused(worded('"{text}" is no day', text=text[:20])) from None
