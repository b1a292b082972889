"""Parts that are wanted, for a job or for the bins: to order, ordered, here, wrong, sent back, each by an act."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import Exists, OuterRef, Q, QuerySet

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import BinPart, Event, Job, Line, Supplier, WantedMove, WantedPart
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act, one_at_a_time
from pinchbolt.workshop.acts.lookups import job_by_id, line_by_id
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.state import Where, job_state, still_open
from pinchbolt.workshop.bikes.bin_moves import CAME, USED, move_bin
from pinchbolt.workshop.common.checks import local_day, number, short
from pinchbolt.workshop.parts.lines_taken_up import lines_before, taken_up

WANTED, ORDERED, LATE, ARRIVED, BIN = "wanted", "ordered", "late", "arrived", "from the bins"
WRONG, BACK, CREDITED, KEPT, GIVEN = (
    "wrong",
    "sent back",
    "credited",
    "kept for the bins",
    "given to the owner",
)
DROPPED, FITTED = "not wanted", "fitted"
# Where a part may go from where it is.
WAYS: Mapping[str, tuple[str, ...]] = {
    WANTED: (ORDERED, BIN, DROPPED),
    ORDERED: (ARRIVED, LATE, DROPPED),
    ARRIVED: (WRONG, KEPT),
    BIN: (DROPPED,),
    WRONG: (BACK, KEPT, GIVEN),
    BACK: (CREDITED, KEPT),
}
# Where it is here, or will not be waited for any more.
HERE = (ARRIVED, BIN, FITTED)
OVER = (FITTED, KEPT, GIVEN, CREDITED, DROPPED)
_ACTS = {
    ORDERED: "part ordered", LATE: "part late", ARRIVED: "part came", BIN: "part from the bins", WRONG: "part wrong",
    BACK: "part sent back", CREDITED: "part credited", KEPT: "part kept", GIVEN: "part given", DROPPED: "part not wanted",
    FITTED: "part fitted",
}  # fmt: skip
WRONGS = ("not what we ordered", "does not fit", "damaged", "wrong from us")
_MOST_DAYS = 400
# Of what came for the bins and lies there, so many of the newest are still shown: they may turn out to be wrong.
_SHOWN = 50


@dataclass(frozen=True, slots=True)
class WantRequest:
    """A part that is wanted: for a job's line (`part` its place among the line's parts), or for the bins (no job)."""

    words: str
    job: int | None = None
    line: int | None = None
    part: int | None = None
    count: int = 1
    number: str = ""
    bin_number: str = ""


@dataclass(frozen=True, slots=True)
class WantedMoveRequest:
    """Where a wanted part goes now, with what belongs to it: supplier, price of one to us, day expected, count, words."""

    wanted: int
    to: str
    supplier: str = ""
    price: Decimal | None = None
    due: date | None = None
    count: int | None = None
    words: str = ""


@dataclass(frozen=True, slots=True)
class WantedView:
    """A wanted part as it stands: `state`, from whom, until when, and whose job it is for ("" = for the bins)."""

    id: int
    words: str
    count: int
    number: str
    state: str
    supplier: str
    price: Decimal | None
    due: date | None
    since: datetime
    by: str
    job: int | None
    tag: str
    line: int | None
    part: int | None
    said: str
    bin: str

    def is_over(self, today: date) -> bool:
        """Whether its day went by without it."""
        return self.state == ORDERED and self.due is not None and self.due < today

    @property
    def ways(self) -> tuple[str, ...]:
        """Where it may go from here."""
        return WAYS.get(self.state, ())


def want_part(request: WantRequest, *, by: int, key: str, now: datetime) -> int:
    """Write down that a part is wanted.

    Raises:
        InputRefused: No words, a count out of sense, or no such number in the bins.
        NotPossibleNow: The job is closed, or the line is of another job.
    """
    with act("part wanted", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return this.done_before.pk
        job = job_by_id(request.job) if request.job is not None else None
        line = line_by_id(request.line) if request.line is not None else None
        if job is not None:
            still_open(job)
        if line is not None and (job is None or line.job_id != job.pk):
            raise NotPossibleNow(worded("This line belongs to another job. Reload the page."))
        words = short(request.words, "words", worded("The part"), 200, needed=True)
        count = int(number(request.count, "count", worded("The count"), 1, 999, "pieces"))
        row = WantedPart.objects.create(
            event=this.write(job=job),
            job=job,
            line=line,
            part=request.part,
            words=words,
            count=count,
            number=short(request.number, "number", worded("The supplier's number"), 60),
            bin_part=_bin_of(request.bin_number) if request.bin_number.strip() else None,
        )
        return int(row.pk)


def take_from_bins(request: WantRequest, *, by: int, key: str, now: datetime) -> int:
    """Set a part out of the bins aside for a line; it is used when the line is done.

    Raises:
        InputRefused: No such number in the bins.
        NotPossibleNow: The job is closed, or what lies there is set aside for others.
    """
    with one_at_a_time():
        wanted = want_part(request, by=by, key=f"{key[:56]}-want", now=now)
        move_wanted(WantedMoveRequest(wanted, BIN), by=by, key=f"{key[:56]}-bin", now=now)
        return wanted


def move_wanted(request: WantedMoveRequest, *, by: int, key: str, now: datetime) -> WantedView:
    """Move a wanted part on.

    Raises:
        NotFound: No such part.
        InputRefused: A day gone by, a count or price out of sense, no such number in the bins.
        NotPossibleNow: From where it is it can't go there.
    """
    kind = _ACTS.get(request.to)
    if kind is None or request.to == FITTED:
        raise InputRefused(
            worded('A part goes to "{to}": {acts}. Choose one.', to=request.to[:20], acts=", ".join(_ACTS))
        )
    with act(kind, by=by, key=key, now=now, request=request) as this:
        row = wanted_by_id(request.wanted)
        seen = wanted_view(row)
        if this.repeated:
            return seen
        if request.to not in WAYS.get(seen.state, ()):
            raise NotPossibleNow(
                worded(
                    "{words} is {state}: it can't become {to}. Reload the page.",
                    words=row.words,
                    state=seen.state,
                    to=request.to,
                )
            )
        if request.to == BIN and row.bin_part is None:
            raise NotPossibleNow(
                worded(
                    "{words} has no bin: take it out of a bin by its number, on the job's page of parts.",
                    words=row.words,
                )
            )
        if request.to == BIN:
            _free_in_bin(row)
        event = this.write(job=row.job)
        WantedMove.objects.create(event=event, wanted=row, **_checked(request, seen, now))
        _into_bins(event, row, request, seen)
        if request.to in (ARRIVED, BIN, DROPPED) and seen.job is not None:
            job_may_go_on(this, job_by_id(seen.job))
        return wanted_view(wanted_by_id(row.pk))


def _checked(request: WantedMoveRequest, seen: WantedView, now: datetime) -> dict[str, object]:
    """What is written of a move; what it does not say anew stays as it was."""
    today = local_day(now)
    if request.due is not None and not 0 <= (request.due - today).days <= _MOST_DAYS:
        sentence = worded(
            "{due:%d %b %Y} is gone by, or more than a year ahead. Choose another day.", due=request.due
        )
        raise InputRefused(sentence, {"due": sentence})
    if request.price is not None and not (request.price.is_finite() and 0 <= request.price <= 100_000):
        sentence = worded(
            "It costs us {price}: 0 to 100,000 is possible. Type it again.", price=str(request.price)[:20]
        )
        raise InputRefused(sentence, {"price": sentence})
    count = (
        None
        if request.count is None
        else int(number(request.count, "count", worded("The count"), 1, 999, "pieces"))
    )
    if request.to == WRONG and request.words not in WRONGS:
        sentence = worded("What is wrong with it? {wrongs}. Choose one.", wrongs=", ".join(WRONGS))
        raise InputRefused(sentence, {"words": sentence})
    keeps_due = request.to != LATE
    return {
        "state": request.to,
        "supplier": _supplier(request.supplier or seen.supplier),
        "price": seen.price if request.price is None else request.price.quantize(Decimal("0.01")),
        "due": request.due or (seen.due if keeps_due else None),
        "count": count,
        "words": short(request.words, "words", worded("The word on it"), 200),
    }


def _supplier(name: str) -> Supplier | None:
    plain = short(name, "supplier", worded("The supplier"), 120)
    return Supplier.objects.get_or_create(name=plain)[0] if plain else None


def _into_bins(event: Event, row: WantedPart, request: WantedMoveRequest, before: WantedView) -> None:
    """What came for the bins, more than was wanted for a line, or is kept, lies there; what is wrong lies there no more."""
    if row.bin_part is None:
        return
    came = request.count or row.count
    # What came for the bins was put into them when it came.
    lies_there = row.job is None and before.state == ARRIVED
    if request.to == ARRIVED:
        move_bin(event, row.bin_part, came if row.job is None else max(0, came - row.count), CAME)
    elif request.to == WRONG and lies_there:
        not_from_under_a_job(row.bin_part, row.count)
        move_bin(event, row.bin_part, -row.count, WRONG)
    elif request.to == KEPT and not lies_there:
        move_bin(event, row.bin_part, row.count, CAME)


def set_aside_in(parts: Iterable[int]) -> dict[int, tuple[WantedPart, ...]]:
    """Return what is set aside in each of these bins: it lies there until its line is done, and is nobody else's."""
    found: dict[int, tuple[WantedPart, ...]] = {}
    taken = WantedMove.objects.filter(wanted=OuterRef("pk"), state=BIN, event__corrected_by__isnull=True)
    for row in _not_over().filter(Exists(taken), bin_part__in=parts):
        if row.bin_part_id is not None:
            found[row.bin_part_id] = (*found.get(row.bin_part_id, ()), row)
    return found


def not_from_under_a_job(part: BinPart, count: int) -> None:
    """Refuse that so many go out of a bin again where jobs hold them since.

    Raises:
        NotPossibleNow: They are set aside.
    """
    held = set_aside_in([part.pk]).get(part.pk, ())
    part.refresh_from_db(fields=["count"])
    if count > 0 and held and part.count - count < sum(one.count for one in held):
        tags = ", ".join(sorted({one.job.bike.tag for one in held if one.job is not None}))
        raise NotPossibleNow(
            worded(
                "{words}: what came is set aside for {tags} since. Lay it back into its bin first.",
                words=part.words,
                tags=tags or worded("somebody"),
            )
        )


def _free_in_bin(row: WantedPart) -> None:
    """A part is promised once: what is set aside for another job is not there for this one."""
    part = row.bin_part
    if part is None:
        return
    part.refresh_from_db(fields=["count"])
    others = set_aside_in([part.pk]).get(part.pk, ())
    free = part.count - sum(one.count for one in others)
    if free >= row.count:
        return
    where = part.bin or worded("the bins")
    tags = ", ".join(sorted({one.job.bike.tag for one in others if one.job is not None}))
    aside = worded(", set aside for {tags}", tags=tags) if tags else ""
    raise NotPossibleNow(
        worded(
            "{words}: {count} in {where} by the book{aside}, {row_count} needed. Order it; or "
            "count the bin, if more lie there.",
            words=part.words,
            count=max(part.count, 0),
            where=where,
            aside=aside,
            row_count=row.count,
        )
    )


def _bin_of(number: str) -> BinPart:
    row = BinPart.objects.filter(number=number.strip()[:60]).first()
    if row is None:
        sentence = worded(
            'Nothing in the bins has the number "{number}". Look at the list of the bins.', number=number[:40]
        )
        raise InputRefused(sentence, {"bin_number": sentence})
    return row


def job_may_go_on(this: Act, job: Job) -> None:
    """Within an act that brought a part: the last part that a job waited for is here: it waits no longer."""
    if job_state(job).where is not Where.PART:
        return
    if all(one.state in (*HERE, *OVER) for one in wanted_of(job)):
        this.also("part arrived", f"all-here-{job.pk}", job=job, said={"job": job.pk})


def fit_wanted(this: Act, line: Line) -> None:
    """Within the act that a line is done: its parts are fitted, those out of the bins used."""
    for row in _rows().filter(line__in=lines_before(line.pk)):
        seen = wanted_view(row)
        if seen.state not in (ARRIVED, BIN):
            continue
        event = this.also("part fitted", f"fitted-{row.pk}", job=line.job, said={"wanted": row.pk})
        WantedMove.objects.create(event=event, wanted=row, state=FITTED)
        if seen.state == BIN and row.bin_part is not None:
            move_bin(event, row.bin_part, -row.count, USED, line)


def _rows() -> QuerySet[WantedPart]:
    """Wanted parts that stand, with what their view reads."""
    return (
        WantedPart.objects.filter(event__corrected_by__isnull=True)
        .select_related("event__by", "job__bike", "bin_part")
        .prefetch_related("moves__event__by", "moves__supplier", "moves__event__corrected_by__corrected_by")
        .order_by("pk")
    )


def wanted_by_id(wanted: int) -> WantedPart:
    """Return a wanted part.

    Raises:
        NotFound: No such part, or it was taken back.
    """
    row = _rows().filter(pk=wanted).first()
    if row is None:
        raise NotFound(worded("No part {wanted} is wanted. Choose one of the page of parts.", wanted=wanted))
    return row


@once_a_look
def wanted_of(job: Job) -> tuple[WantedView, ...]:
    """Return what is and was wanted for a job, what followed its lines out of an earlier one too."""
    followed = [old for old, (_, on) in taken_up().items() if on == job.pk]
    rows = (wanted_view(row) for row in _rows().filter(Q(job=job) | Q(line__in=followed)))
    return tuple(one for one in rows if one.job == job.pk)


@once_a_look
def open_wanted() -> tuple[WantedView, ...]:
    """Return every wanted part that is not over, the oldest first; of what came for the bins the newest alone."""
    rows, came = _not_over(), _came_for_bins()
    edge = came.order_by("-pk").values_list("pk", flat=True)[_SHOWN : _SHOWN + 1]
    for last in edge:
        moved_on = WantedMove.objects.filter(wanted=OuterRef("pk"), state__in=(WRONG, BACK))
        rows = rows.exclude(Exists(came.filter(wanted=OuterRef("pk"), pk__lte=last)) & ~Exists(moved_on))
    return tuple(wanted_view(row) for row in rows)


def on_order_of(parts: Iterable[int]) -> tuple[tuple[WantedPart, WantedView], ...]:
    """Return what is on order of these rows of the bins, each as it stands, the oldest first."""
    found = ((row, wanted_view(row)) for row in _not_over().filter(bin_part__in=parts))
    return tuple((row, seen) for row, seen in found if seen.state == ORDERED)


def _came_for_bins() -> QuerySet[WantedMove]:
    return WantedMove.objects.filter(
        state=ARRIVED, wanted__job__isnull=True, wanted__bin_part__isnull=False, event__corrected_by__isnull=True
    )  # fmt: skip


def _not_over() -> QuerySet[WantedPart]:
    over = WantedMove.objects.filter(wanted=OuterRef("pk"), state__in=OVER, event__corrected_by__isnull=True)
    return _rows().filter(~Exists(over))


def wanted_view(row: WantedPart) -> WantedView:
    """Return a wanted part as its newest moves that stand say."""
    moves = [one for one in sorted(row.moves.all(), key=lambda move: move.pk) if _stands(one.event)]
    states = [one for one in moves if one.state != LATE]
    newest = states[-1] if states else None
    last = moves[-1] if moves else None
    event = last.event if last else row.event
    line, job = taken_up().get(row.line_id or 0, (row.line_id, row.job_id))
    return WantedView(
        id=row.pk,
        words=row.words,
        count=row.count,
        number=row.number,
        state=newest.state if newest else WANTED,
        supplier=last.supplier.name if last and last.supplier else "",
        price=last.price if last else None,
        due=last.due if last else None,
        since=event.at,
        by=event.by.name,
        job=job,
        tag=row.job.bike.tag if row.job else "",
        line=line,
        part=row.part,
        said=last.words if last else "",
        bin=row.bin_part.bin or worded("the bins") if row.bin_part else "",
    )


def _stands(event: Event) -> bool:
    """Whether no correction that stands itself corrects it, out of what was read together."""
    return not any(not later.corrected_by.all() for later in event.corrected_by.all())


def waits_for(wanted: Sequence[WantedView], today: date) -> str:
    """Return what a job waits for and until when, in few words; "" where everything is here."""
    missing = [one for one in wanted if one.state in (WANTED, ORDERED, WRONG, BACK)]
    return "; ".join(f"{one.words}, {due_words(one, today)}" for one in missing)


def due_words(one: WantedView, today: date) -> str:
    """Return when a part is expected: due, due since, no day known, or what else it is."""
    if one.state == WANTED:
        return worded("to order")
    if one.state != ORDERED:
        return one.state
    if one.due is None:
        return worded("no day known")
    return worded(
        "due {due}{one_due:%a} {day} {one_due:%b}",
        due=worded("since ") if one.due < today else "",
        one_due=one.due,
        day=one.due.day,
    )
