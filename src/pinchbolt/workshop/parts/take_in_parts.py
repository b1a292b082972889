"""Taking a file of parts into the bins: whole, or on request the good lines; and what lies there."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from decimal import Decimal

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import BinMove, BinPart, Event
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.bikes.bin_moves import CAME, COUNTED, wants_counting
from pinchbolt.workshop.parts.parts_file import LineRefused, PartRead, PartsFileRead, parts_of
from pinchbolt.workshop.parts.sold_by import sold_otherwise, write_sold_by
from pinchbolt.workshop.parts.wanted import set_aside_in

_FIELDS = ("kind", "place", "words", "facts", "meets", "price", "minutes", "bin", "gtin")


@dataclass(frozen=True, slots=True)
class PartsRequest:
    """A file of parts as text, its columns as ours = theirs, and whether good lines are kept where others are refused."""

    text: str
    columns: Mapping[str, str] = field(default_factory=dict)
    keep_good: bool = False


@dataclass(frozen=True, slots=True)
class PartsTaken:
    """What became of a file: new parts, those put right, those that were so already, refused lines, unused columns."""

    new: int
    put_right: int
    as_it_was: int
    refused: tuple[LineRefused, ...]
    used: Mapping[str, str]
    unused: tuple[str, ...]
    written: bool
    words: str


@dataclass(frozen=True, slots=True)
class BinView:
    """A part in the bins or to order."""

    number: str
    kind: str
    place: str
    words: str
    price: Decimal
    minutes: int | None
    bin: str
    count: int
    meets: str
    facts: Mapping[str, object]
    gtin: str = ""
    aside: int = 0
    wants_counting: bool = False

    @property
    def free(self) -> int:
        """How many lie there that nobody's job holds."""
        return max(0, self.count - self.aside)

    @property
    def lies(self) -> str:
        """Where it is to be had."""
        if self.count < 0:
            return worded(
                "the book says {count}: count {bin}", count=self.count, bin=self.bin or worded("the bin")
            )
        aside = worded(", {aside} of them set aside", aside=self.aside) if self.aside else ""
        count = (
            worded(": more were there than the book had, count {bin}", bin=self.bin or worded("the bin"))
            if self.wants_counting
            else ""
        )
        return (
            f"{self.count} in {self.bin or worded('the bins')}{aside}{count}"
            if self.count
            else worded("to order{count}", count=count)
        )


def try_parts(request: PartsRequest) -> PartsTaken:
    """Return what taking this file in would do; nothing is written.

    Raises:
        InputRefused: The file cannot be read, or a needed column is nowhere.
    """
    return _sorted_out(_read(request), written=False)[0]


def take_in_parts(request: PartsRequest, *, by: int, key: str, now: datetime) -> PartsTaken:
    """Take a file of parts in; a number that is there already is put right by the file.

    A count that is there already is never overwritten: what was counted today puts it right, as a move.

    Raises:
        InputRefused: The file cannot be read, or a line is refused and good ones alone were not asked for: then nothing
            is written, and each refused line is named.
    """
    with act("parts taken in", by=by, key=key, now=now, request=request, private=("text",)) as this:
        read = _read(request)
        if read.refused and not request.keep_good:
            raise _refusal(read)
        taken, new, changed = _sorted_out(read, written=True)
        if this.repeated:
            return taken
        BinPart.objects.bulk_create(new)
        BinPart.objects.bulk_update(changed, _FIELDS, batch_size=200)
        this.said = {"new": taken.new, "put_right": taken.put_right, "refused": len(taken.refused)}
        _write_counts(this.write(), read)
        write_sold_by(read.parts)
        return taken


def _write_counts(event: Event, read: PartsFileRead) -> None:
    """First moves of new parts; of known ones the difference to what was counted today. All at once: a file may have 50,000 lines."""
    rows = BinPart.objects.in_bulk([part.number for part in read.parts], field_name="number")
    known = set(BinMove.objects.filter(part__in=rows.values()).values_list("part", flat=True))
    moves, changed = [], []
    for part in read.parts:
        row = rows[part.number]
        is_new = row.pk not in known and not row.count
        wanted = part.counted_today if part.counted_today is not None else part.count if is_new else row.count
        if wanted != row.count:
            why = COUNTED if part.counted_today is not None else CAME
            moves.append(BinMove(part=row, event=event, count=wanted - row.count, why=why))
            row.count = wanted
            changed.append(row)
    BinMove.objects.bulk_create(moves, batch_size=500)
    BinPart.objects.bulk_update(changed, ["count"], batch_size=200)


def bins(kind: str = "", most: int = 500) -> tuple[BinView, ...]:
    """Return what lies in the bins and what can be ordered, by kind and words; at most *most*."""
    rows = BinPart.objects.order_by("kind", "place", "words", "number")
    if kind:
        rows = rows.filter(kind=kind)
    return bin_views(rows[:most])


def bin_views(rows: Iterable[BinPart]) -> tuple[BinView, ...]:
    """Return rows of the bins as they are shown, with what is set aside in each."""
    found = list(rows)
    aside = {
        part: sum(one.count for one in held)
        for part, held in set_aside_in(row.pk for row in found if row.count).items()
    }
    unsure = wants_counting(row.pk for row in found)
    return tuple(
        BinView(
            one.number,
            one.kind,
            one.place,
            one.words,
            one.price,
            one.minutes,
            one.bin,
            one.count,
            one.meets,
            dict(one.facts),
            one.gtin,
            aside.get(one.pk, 0),
            one.pk in unsure,
        )
        for one in found
    )


def _read(request: PartsRequest) -> PartsFileRead:
    """The file as read; a line by the number of a used part is refused, since that part has a life of its own here."""
    read = parts_of(request.text, request.columns)
    numbers = [part.number for part in read.parts]
    used = set(
        BinPart.objects.filter(number__in=numbers, used_part__isnull=False).values_list("number", flat=True)
    )
    if not used:
        return read
    refused = [
        LineRefused(
            part.line,
            part.number,
            {
                "number": worded(
                    'number "{number}" is a used part that lies in the bins. Give the line another number.',
                    number=part.number,
                )
            },
        )
        for part in read.parts
        if part.number in used
    ]
    return replace(
        read,
        parts=tuple(part for part in read.parts if part.number not in used),
        refused=tuple(sorted((*read.refused, *refused), key=lambda one: one.line)),
    )


def _sorted_out(read: PartsFileRead, *, written: bool) -> tuple[PartsTaken, list[BinPart], list[BinPart]]:
    there = BinPart.objects.in_bulk([part.number for part in read.parts], field_name="number")
    resold = sold_otherwise(read.parts)
    new: list[BinPart] = []
    changed: list[BinPart] = []
    for part in read.parts:
        known = there.get(part.number)
        if known is None:
            new.append(_laid_on(BinPart(number=part.number), part))
        elif (
            any(getattr(known, name) != _value(part, name, known) for name in _FIELDS)
            or part.counted_today not in (None, known.count)
            or (part.number, part.supplier) in resold
        ):
            changed.append(_laid_on(known, part))
    same = len(read.parts) - len(new) - len(changed)
    words = worded(
        "{new} new, {changed} put right, {same} as it was, {refused} refused{written}.",
        new=len(new),
        changed=len(changed),
        same=same,
        refused=len(read.refused),
        written="" if written else worded("; nothing is written yet"),
    )
    taken = PartsTaken(len(new), len(changed), same, read.refused, read.used, read.unused, written, words)
    return taken, new, changed


def _value(part: PartRead, name: str, known: BinPart) -> object:
    value = getattr(part, name)
    if name == "gtin" and not value:
        # A file without bar codes takes none away.
        return known.gtin
    return dict(value) if name == "facts" else value


def _laid_on(row: BinPart, part: PartRead) -> BinPart:
    for name in _FIELDS:
        setattr(row, name, _value(part, name, row))
    return row


def _refusal(read: PartsFileRead) -> InputRefused:
    bad, all_lines = len(read.refused), len(read.parts) + len(read.refused)
    some = ", ".join(str(one.line) for one in read.refused[:8]) + (" ..." if bad > 8 else "")
    first = next(iter(read.refused[0].why.values()))
    sentence = worded(
        "{bad} of {all_lines} lines can't be read (line{s} {some}), so nothing was taken in: "
        "{first}. Correct them and send the file again, or ask for the good lines alone.",
        bad=bad,
        all_lines=all_lines,
        s="s" if bad > 1 else "",
        some=some,
        first=first.rstrip("."),
    )
    errors = {f"line {one.line}, {name}": why for one in read.refused[:100] for name, why in one.why.items()}
    return InputRefused(sentence, errors)
