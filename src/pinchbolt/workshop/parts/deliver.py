"""A delivery comes: by scan or by list, each piece to the job that waits for it, the rest into its bin; taken in once."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Sum

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import UNDONE, BinMove, BinPart, Event, Supplier, WantedMove, WantedPart
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.bikes.bin_moves import CAME, move_bin, take_back_moves
from pinchbolt.workshop.common.checks import local_day, number, short
from pinchbolt.workshop.parts.sold_by import bins_scanned
from pinchbolt.workshop.parts.wanted import (
    ARRIVED,
    ORDERED,
    WantedView,
    job_may_go_on,
    not_from_under_a_job,
    on_order_of,
    open_wanted,
    wanted_by_id,
    wanted_view,
)

_MOST_LINES = 500
CAME_IN, TAKEN_BACK = "delivery came", "delivery taken back"
# A delivery is taken back until the next evening; later the bins are counted.
_BACK_WITHIN = timedelta(days=2)


@dataclass(frozen=True, slots=True)
class DeliveryLine:
    """So many of a part: what was scanned or typed (our number, the supplier's, a bar code), or a part that is on order."""

    count: int
    scanned: str = ""
    wanted: int | None = None


@dataclass(frozen=True, slots=True)
class DeliveryRequest:
    """A delivery: who it is from, the number on its slip ("": there is none, and it is the one of today), its lines."""

    supplier: str
    lines: tuple[DeliveryLine, ...]
    slip: str = ""


@dataclass(frozen=True, slots=True)
class DeliveryBackRequest:
    """A delivery that was taken in by mistake, by its event."""

    delivery: int


@dataclass(frozen=True, slots=True)
class DeliveryView:
    """What became of a delivery: each line in words, by the job that it is for or the bin that it lies in."""

    delivery: int
    supplier: str
    slip: str
    at: datetime
    by: str
    lines: tuple[str, ...]
    may_go_back: bool = False


def take_in_delivery(request: DeliveryRequest, *, by: int, key: str, now: datetime) -> DeliveryView:
    """Take a delivery in: jobs that wait for a part first, the oldest first; what is over goes into its bin.

    Raises:
        InputRefused: No supplier, no line, a count out of sense, a bar code that was misread or is of several parts.
        NotFound: Nothing here has this number.
        NotPossibleNow: This delivery was taken in already: it counts once.
    """
    with act(CAME_IN, by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return _view(this.done_before)
        supplier = short(request.supplier, "supplier", worded("The supplier"), 120, needed=True)
        slip = short(request.slip, "slip", worded("The number on the slip"), 60) or worded(
            "of {now:%d %b %Y}", now=local_day(now)
        )
        if not 1 <= len(request.lines) <= _MOST_LINES:
            sentence = worded(
                "The delivery has {lines} lines: 1 to {most_lines}. Scan what came.",
                lines=len(request.lines),
                most_lines=_MOST_LINES,
            )
            raise InputRefused(sentence, {"lines": sentence})
        _once(supplier, slip)
        row, _ = Supplier.objects.get_or_create(name=supplier)
        named = [_named(one) for one in request.lines]
        this.said = {"supplier": supplier, "slip": slip}
        event = this.write()
        told = [
            words
            for at, (line, there) in enumerate(zip(request.lines, named, strict=True))
            for words in _line_came(this, event, row, line.count, there, str(at))
        ]
        this.also("delivery lines", "lines", said={"delivery": event.pk, "lines": told})
        return _view(event)


def _once(supplier: str, slip: str) -> None:
    before = Event.objects.filter(
        kind=CAME_IN, said__supplier=supplier, said__slip=slip, corrected_by__isnull=True
    ).select_related("by")
    first = before.first()
    if first is not None:
        raise NotPossibleNow(
            worded(
                "The delivery {slip} of {supplier} was taken in on {at:%d %b %Y} by {name}: it "
                "counts once. Type the number on the slip of this one; or take that one back, if it "
                "was a mistake.",
                slip=slip,
                supplier=supplier,
                at=local_day(first.at),
                name=first.by.name,
            )
        )


def _named(line: DeliveryLine) -> BinPart | WantedPart:
    """What a line is: a part on order, or a number of the bins."""
    number(line.count, "count", worded("The count"), 1, 9999, "pieces")
    if line.wanted is not None:
        row = wanted_by_id(line.wanted)
        if wanted_view(row).state != ORDERED:
            raise NotPossibleNow(
                worded(
                    "{words} is {state}: it is not on its way. Reload the page.",
                    words=row.words,
                    state=wanted_view(row).state,
                )
            )
        return row
    found = bins_scanned(line.scanned)
    if len(found) > 1:
        names = ", ".join(f"{one.number} ({one.words})" for one in found[:5])
        sentence = worded(
            "{scanned} is the code of {names}. Type the number of the one that came.",
            scanned=line.scanned,
            names=names,
        )
        raise InputRefused(sentence, {"scanned": sentence})
    return found[0]


def _line_came(
    this: Act, event: Event, supplier: Supplier, came: int, there: BinPart | WantedPart, at: str
) -> list[str]:
    """One line: to those who wait, then into the bin."""
    part = there.bin_part if isinstance(there, WantedPart) else there
    # A line before this one may have brought it already: the scan and the list may both name it.
    waiting = (
        [there] if isinstance(there, WantedPart) and wanted_view(wanted_by_id(there.pk)).state == ORDERED
        else [] if part is None
        else _waiting_for(part, supplier)
    )  # fmt: skip
    left, told = came, []
    for row in waiting:
        took, words = _comes_to(this, row, supplier, left, f"{at}-{row.pk}")
        left -= took
        told += words
        if not left:
            break
    if left and part is None:
        told.append(
            worded(
                "{left} that nothing on order takes, of no bin: lay them down and write the part "
                "into the bins",
                left=left,
            )
        )
    elif left and part is not None:
        move_bin(event, part, left, CAME)
        told.append(
            worded(
                "{left} × {words} into {bin}", left=left, words=part.words, bin=part.bin or worded("the bins")
            )
        )
    return told


def _waiting_for(part: BinPart, supplier: Supplier) -> Sequence[WantedPart]:
    """Those on order that this can be, jobs before bins and the oldest first."""
    here = [(row, seen) for row, seen in on_order_of([part.pk]) if seen.supplier in ("", supplier.name)]
    return [row for row, _ in sorted(here, key=lambda each: (each[1].job is None, each[0].pk))]


def _comes_to(this: Act, row: WantedPart, supplier: Supplier, left: int, name: str) -> tuple[int, list[str]]:
    """What of a line a wanted part takes; a job takes all of its pieces or none, a bin what there is."""
    seen = wanted_view(row)
    if row.job is not None and left < row.count:
        return 0, [
            worded(
                "{tag} needs {count} × {words} and {left} came: they stay on order",
                tag=row.job.bike.tag,
                count=row.count,
                words=row.words,
                left=left,
            )
        ]
    took = min(left, row.count)
    event = this.also("part came", f"came-{name}", job=row.job, said={"wanted": row.pk})
    WantedMove.objects.create(
        event=event, wanted=row, state=ARRIVED, supplier=supplier, price=seen.price, due=seen.due, count=took
    )
    if row.job is not None:
        job_may_go_on(this, job_by_id(row.job.pk))
        return took, [worded("{took} × {words} for {tag}", took=took, words=row.words, tag=row.job.bike.tag)]
    if row.bin_part is not None:
        move_bin(event, row.bin_part, took, CAME)
    if took < row.count:
        _still_on_order(this, row, seen, supplier, row.count - took, name)
    where = (row.bin_part.bin if row.bin_part else "") or worded("the bins")
    short_by = worded(", {count} still on order", count=row.count - took) if took < row.count else ""
    return took, [
        worded(
            "{took} × {words} into {where}{short_by}",
            took=took,
            words=row.words,
            where=where,
            short_by=short_by,
        )
    ]


def _still_on_order(
    this: Act, row: WantedPart, seen: WantedView, supplier: Supplier, count: int, name: str
) -> None:
    """What did not come with the others is wanted still, of the same supplier."""
    event = this.also("part wanted", f"rest-{name}", said={"rest_of": row.pk})
    rest = WantedPart.objects.create(
        event=event, words=row.words, count=count, number=row.number, bin_part=row.bin_part
    )
    moved = this.also("part ordered", f"rest-ordered-{name}", said={"wanted": rest.pk})
    WantedMove.objects.create(event=moved, wanted=rest, state=ORDERED, supplier=supplier, price=seen.price)


def take_back_delivery(request: DeliveryBackRequest, *, by: int, key: str, now: datetime) -> None:
    """Take back a delivery that was taken in by mistake: what it brought is on order again, the bins are as before.

    Raises:
        NotFound: There is no such delivery.
        NotPossibleNow: It was taken back already, is older than two days, or something of it was used since.
    """
    with act(TAKEN_BACK, by=by, key=key, now=now, request=request) as this:
        event = Event.objects.filter(pk=request.delivery, kind=CAME_IN).first()
        if event is None:
            raise NotFound(
                worded("There is no delivery {delivery}. Choose one of the list.", delivery=request.delivery)
            )
        if this.repeated:
            return
        if now - event.at > _BACK_WITHIN:
            raise NotPossibleNow(worded("This delivery is older than two days: count the bins instead."))
        brought = _brought(event)
        used = WantedMove.objects.filter(
            wanted__moves__event__in=brought, event__pk__gt=event.pk, event__corrected_by__isnull=True
        ).exclude(event__in=brought)
        later = used.select_related("wanted").first()
        if later is not None:
            raise NotPossibleNow(
                worded(
                    "{words} is {state} since: take that back first.",
                    words=later.wanted.words,
                    state=later.state,
                )
            )
        _none_set_aside([event, *brought])
        this.write(corrects=event)
        take_back_moves(event)
        for one in brought:
            this.also(UNDONE, f"of-{one.pk}", job=one.job, corrects=one, said={"kind": one.kind})
            take_back_moves(one)


def _none_set_aside(events: Sequence[Event]) -> None:
    moves = BinMove.objects.filter(event__in=events).order_by().values("part").annotate(sum=Sum("count"))
    for part, moved in moves.values_list("part", "sum"):
        not_from_under_a_job(BinPart.objects.get(pk=part), moved)


def _brought(event: Event) -> list[Event]:
    return list(Event.objects.filter(key__startswith=f"{event.key}/", by=event.by_id).select_related("job"))


def deliveries(now: datetime, most: int = 12) -> tuple[DeliveryView, ...]:
    """Return the newest deliveries that stand."""
    rows = Event.objects.filter(kind=CAME_IN, corrected_by__isnull=True).select_related("by").order_by("-pk")
    return tuple(_view(one, now) for one in rows[:most])


def on_order_from(supplier: str) -> tuple[WantedView, ...]:
    """Return what is on order of a supplier, the oldest first."""
    return tuple(one for one in open_wanted() if one.state == ORDERED and one.supplier == supplier)


def _view(event: Event, now: datetime | None = None) -> DeliveryView:
    lines = Event.objects.filter(key=f"{event.key}/lines").values_list("said", flat=True).first() or {}
    return DeliveryView(
        event.pk,
        event.said["supplier"],
        event.said["slip"],
        event.at,
        event.by.name,
        tuple(lines.get("lines", ())),
        now is not None and now - event.at <= _BACK_WITHIN,
    )
