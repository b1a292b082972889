"""Lines for the estimate: suggested from findings, or chosen from the menu of operations."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal

from django.db.models import QuerySet

from pinchbolt.engines.build import Build, PartOn, all_hold, end_of, joints_opened, price_of
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Bike, Finding, Job, Line
from pinchbolt.reference.rows.proposals import Proposal
from pinchbolt.reference.rows.work import Operation, PartWanted, part_wanted
from pinchbolt.values import Verdict
from pinchbolt.values.money import smallest_coin, to_the_penny
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import finding_by_id, job_by_id, line_by_id, terms
from pinchbolt.workshop.acts.shop_terms import TAX_CLASSES, in_coins
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.opened_joints import place_of, place_of_line
from pinchbolt.workshop.common.checks import local_day, short
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.stays.note_finding import FindingView, findings_of
from pinchbolt.workshop.wear.waiting import Waiting, waiting_for

_MOST_PRICE = 1_000_000
READ_AGAIN = "Nothing is done for it today: it stands on the bike's page and is read again at the next visit."


@dataclass(frozen=True, slots=True)
class LinePart:
    """A part on a line: name, shelf price of one with tax, count, class of its tax (standard, reduced, zero)."""

    name: str
    each: Decimal
    count: int = 1
    tax_class: str = "standard"


@dataclass(frozen=True, slots=True)
class ProposeRequest:
    """A line: an operation of the menu, for a finding or on the owner's wish; `parts` None = the usual ones at shelf price.

    `place` is the end at which work on one end is done (front or rear), needed where no finding says it; `count` is how
    many times it is done there.
    """

    job: int
    operation: str
    finding: int | None = None
    words: str = ""
    parts: tuple[LinePart, ...] | None = None
    place: str = ""
    count: int = 1


@dataclass(frozen=True, slots=True)
class WithdrawRequest:
    """A line to take off the estimate again."""

    job: int
    line: int


@dataclass(frozen=True, slots=True)
class ChangeRequest:
    """A line whose parts are others than proposed at first."""

    job: int
    line: int
    parts: tuple[LinePart, ...]


@dataclass(frozen=True, slots=True)
class Suggestion:
    """What a finding asks for: one tap makes it a line."""

    finding: int
    operation: str
    name: str
    why: str
    parts: tuple[LinePart, ...]


@dataclass(frozen=True, slots=True)
class Advice:
    """What a finding asks for that is no line: a refusal with what is done instead (`refused`, `instead`), or words."""

    finding: int
    refusal: str
    refused: str
    instead: str
    why: str


@dataclass(frozen=True, slots=True)
class Proposed:
    """The line that was written."""

    line: int


def propose(request: ProposeRequest, *, by: int, key: str, now: datetime) -> Proposed:
    """Write one line for the estimate.

    Raises:
        InputRefused: The operation is not on the menu, or a part's price or count is out of sense.
        NotPossibleNow: The job is closed, or the same line is there already.
    """
    with act("proposed", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return Proposed(Line.objects.get(event=this.done_before).pk)
        job = job_by_id(request.job)
        still_open(job)
        operation = tables().operations.get(request.operation)
        if operation is None:
            sentence = (
                f'The operation "{request.operation[:40]}" is not on the menu. Choose one from the menu.'
            )
            raise InputRefused(sentence, {"operation": sentence})
        finding = _finding(request, job)
        place = _place(request, operation, finding, job)
        _refuse_twice(operation, finding, place, job)
        parts = (
            _times(usual_parts(operation, job.bike, finding, place), request)
            if request.parts is None
            else request.parts
        )
        waiting = (
            waiting_for(finding, operation.id, parts, job.bike, local_day(now))
            if finding
            else Waiting(None, ())
        )
        line = Line.objects.create(
            event=this.write(job=job),
            job=job,
            finding=finding,
            operation=operation.id,
            words=short(request.words, "words", "The line", 200) or operation.name,
            verdict=finding.verdict if finding else Verdict.WATCH,
            safety=bool(finding and finding.safety),
            parts=[_checked(part) for part in parts],
            joints=[
                one.name
                for one in joints_opened(build_of(job.bike), operation, place or place_of(finding))
                if one.stands
            ],
            cost_of_waiting=waiting.cost,
            waiting_reasons=list(waiting.reasons),
            place=place or None,
            count=request.count,
        )
        return Proposed(line.pk)


def _place(request: ProposeRequest, operation: Operation, finding: Finding | None, job: Job) -> str:
    """The end at which a line is done; asked before anything is written, so that no part of the other end is replaced."""
    if not operation.at_place:
        return ""
    build = build_of(job.bike)
    on = build.part(finding.part_id) if finding is not None and finding.part_id is not None else None
    found = on.side if on is not None else end_of(place_of(finding))
    ends = ends_of(operation, build)
    place = request.place or found or (ends[0] if len(ends) == 1 else "")
    if not place or place not in (*ends, found):
        sentence = f'"{operation.name}" is done at one end: {" or ".join(ends)}. Say which one.'
        raise InputRefused(sentence, {"place": sentence})
    if found and place != found:
        sentence = f'What was found is at the {found}: "{operation.name}" is put on there. Choose {found}.'
        raise InputRefused(sentence, {"place": sentence})
    return place


def ends_of(operation: Operation, build: Build) -> tuple[str, ...]:
    """Return the ends at which work on one end can be done on this bike, by the parts that it brings or is done on."""
    kinds = {part_wanted(text).kind for text in operation.parts} | set(operation.touches)
    sides = {part.side for part in build.parts if part.kind.id in kinds and part.end}
    return tuple(end for end in ("front", "rear") if end in sides) or ("front", "rear")


def _refuse_twice(operation: Operation, finding: Finding | None, place: str, job: Job) -> None:
    """The same work at the same place is one line: two ends are two, and more of it is a count."""
    for line in open_lines(job).filter(operation=operation.id):
        if (
            place_of_line(line) == (place or place_of(finding))
            if place
            else line.finding_id == (finding.pk if finding else None)
        ):
            where = f", {place}," if place else ""
            raise NotPossibleNow(
                f'"{operation.name}"{where} is on the estimate already. Change the line that is there.'
            )


def _times(parts: Sequence[LinePart], request: ProposeRequest) -> tuple[LinePart, ...]:
    """The usual parts, as many times as the work is done."""
    return tuple(replace(part, count=part.count * request.count) for part in parts)


def withdraw(request: WithdrawRequest, *, by: int, key: str, now: datetime) -> None:
    """Take a line off the estimate by a correcting event; a line that was answered stays.

    Raises:
        NotPossibleNow: The line was answered, or is of another job.
    """
    with act("withdrawn", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        line = line_by_id(request.line)
        still_open(line.job)
        if line.job_id != request.job:
            raise NotPossibleNow("This line belongs to another job. Reload the page.")
        if line.answers.exists():
            raise NotPossibleNow(
                f'The owner answered "{line.words}": it stays on the estimate as agreed or declined.'
            )
        this.write(job=line.job, corrects=line.event)


def change_line(request: ChangeRequest, *, by: int, key: str, now: datetime) -> Proposed:
    """Propose a line anew with other parts, in the place of one that the owner has not answered.

    Raises:
        InputRefused: A part's price or count is out of sense.
        NotPossibleNow: The line was answered, changed or withdrawn before, or is of another job.
    """
    with act("proposed", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return Proposed(Line.objects.get(event=this.done_before).pk)
        old = line_by_id(request.line)
        still_open(old.job)
        if old.job_id != request.job:
            raise NotPossibleNow("This line belongs to another job. Reload the page.")
        if old.answers.exists():
            raise NotPossibleNow(
                f'The owner answered "{old.words}": it stays as it was priced. Propose a further line.'
            )
        parts = [_checked(part) for part in request.parts]
        bike, today = old.job.bike, local_day(now)
        waiting = (
            waiting_for(old.finding, old.operation, request.parts, bike, today)
            if old.finding
            else Waiting(None, ())
        )
        line = Line.objects.create(
            event=this.write(job=old.job, corrects=old.event),
            job=old.job,
            finding=old.finding,
            operation=old.operation,
            words=old.words,
            verdict=old.verdict,
            safety=old.safety,
            parts=parts,
            joints=old.joints,
            cost_of_waiting=waiting.cost,
            waiting_reasons=list(waiting.reasons),
            place=old.place,
            count=old.count,
        )
        return Proposed(line.pk)


def open_lines(job: Job) -> QuerySet[Line]:
    """Return the lines of a job that were not withdrawn, in order."""
    return (
        Line.objects.filter(job=job, event__corrected_by__isnull=True)
        .select_related("finding", "finding__part")
        .order_by("pk")
    )


def suggestions(job: Job) -> tuple[Suggestion, ...]:
    """Return what the findings of a job ask for and is not on the estimate yet, worst first."""
    taken = {key for line in open_lines(job) for key in _done_by(line.operation, place_of_line(line))}
    build = build_of(job.bike)
    found: list[Suggestion] = []
    for seen in findings_of(job):
        if not seen.limit:
            continue
        on = build.part(seen.part) if seen.part is not None else None
        for row in _asked_by(seen, build, on):
            if not row.operation:
                continue
            operation = tables().operations[row.operation]
            key = (operation.id, place_at(operation, on))
            if key in taken:
                continue
            parts = _priced_parts(row.parts or operation.parts, build, on)
            found.append(Suggestion(seen.id, operation.id, operation.name, row.words, parts))
            taken.add(key)
    return tuple(found)


def advice(job: Job) -> tuple[Advice, ...]:
    """Return what is refused on the findings of a job, and what is said of them without a line; worst finding first."""
    build = build_of(job.bike)
    found: list[Advice] = []
    for seen in findings_of(job):
        on = build.part(seen.part) if seen.part is not None else None
        rows = _asked_by(seen, build, on) if seen.limit else []
        if seen.limit and not rows and seen.rank > Verdict.SOUND.rank:
            found.append(Advice(seen.id, "", "", "", READ_AGAIN))
        for row in rows:
            refused = tables().refusals.get(row.refusal)
            if refused is not None:
                found.append(Advice(seen.id, refused.id, refused.words, refused.do, row.words))
            elif not row.operation:
                found.append(Advice(seen.id, "", "", "", row.words))
    return tuple(found)


def _asked_by(seen: FindingView, build: Build, on: PartOn | None) -> list[Proposal]:
    """The rows that speak of a finding: by its limit and verdict, what the bike is, and how far the reading went."""
    rows = proposals_for(build, on, seen.limit, seen.rank)
    kept = seen.forecast.reading if seen.forecast is not None else None
    shown = kept.low if kept is not None else None
    return [row for row in rows if row.past is None or (shown is not None and shown >= row.past)]


def place_at(operation: Operation, on: PartOn | None) -> str:
    """Return the end at which an operation would be done for this part; "" where it is done once on a bike."""
    return on.end if on is not None and operation.at_place else ""


def _done_by(operation: str, place: str) -> tuple[tuple[str, str], ...]:
    """What a line makes needless: the same work at its place, at both ends where nobody said which."""
    row = tables().operations.get(operation)
    if row is None or not row.at_place:
        return ((operation, ""),)
    return tuple((operation, end) for end in ((place,) if place else ("", "front", "rear")))


def proposals_for(build: Build, on: PartOn | None, limit: str, rank: int) -> list[Proposal]:
    """Return what a reading of this limit with a verdict of this rank asks for on this bike; where nobody knows, all."""
    return [
        row
        for row in tables().proposals.values()
        if limit in row.limits
        and rank >= Verdict(row.from_verdict).rank
        and all_hold(build, row.when, on).answer is not False
    ]


def _finding(request: ProposeRequest, job: Job) -> Finding | None:
    if request.finding is None:
        return None
    finding = finding_by_id(request.finding)
    if finding.job.bike_id != job.bike_id:
        raise NotPossibleNow("This finding belongs to another bike. Reload the page.")
    return finding


def usual_parts(
    operation: Operation, bike: Bike, finding: Finding | None, place: str = ""
) -> tuple[LinePart, ...]:
    """Return the usual parts of an operation at the shelf price for this bike; a part without a price is left out."""
    build = build_of(bike)
    on = build.part(finding.part_id) if finding is not None and finding.part_id is not None else None
    if on is None and place:
        kinds = {part_wanted(text).kind for text in operation.parts}
        on = next((part for part in build.parts if part.kind.id in kinds and part.side == place), None)
    row = proposal_of(operation.id, build, on, finding)
    return _priced_parts((row.parts if row else ()) or operation.parts, build, on)


def proposal_of(operation: str, build: Build, on: PartOn | None, finding: Finding | None) -> Proposal | None:
    """Return the row of the proposals by which a finding asks for this operation on this bike; None on the owner's wish."""
    if finding is None:
        return None
    return next(
        (
            row
            for row in tables().proposals.values()
            if row.operation == operation
            and finding.limit in row.limits
            and all_hold(build, row.when, on).answer is not False
        ),
        None,
    )


def _priced_parts(parts: Sequence[str], build: Build, on: PartOn | None) -> tuple[LinePart, ...]:
    wanted = [part_wanted(text) for text in parts]
    rows = [(price_of(build, one.kind, on)[0], one) for one in wanted]
    return tuple(
        LinePart(row.name, row.price, _count(one, build, on), row.tax_class)
        for row, one in rows
        if row is not None
    )


def _count(wanted: PartWanted, build: Build, on: PartOn | None) -> int:
    """How many: as a fact of a part at the same end says, where there is one and somebody knows it."""
    side = on.side if on is not None else ""
    told = [
        value
        for part in build.parts
        if not side or part.side == side
        if (value := part.value(wanted.fact)) is not None
    ]
    return int(told[0]) if wanted.fact and told else wanted.count


def _checked(part: LinePart) -> dict[str, object]:
    """Refuse a price or count that can't be, and return the part as it is kept."""
    name = short(part.name, "parts", "The part's name", 120, needed=True)
    currency = terms().currency
    if not (in_coins(part.each, currency) and 0 <= part.each <= _MOST_PRICE):
        sentence = (
            f"{name} costs {str(part.each)[:20]}: 0 to {_MOST_PRICE:,} in steps of {smallest_coin(currency)} {currency} is "
            "possible. Type the price again."
        )
        raise InputRefused(sentence, {"parts": sentence})
    if not 1 <= part.count <= 999:
        sentence = f"{name} is counted {part.count} times: 1 to 999 is possible. Type the count again."
        raise InputRefused(sentence, {"parts": sentence})
    if part.tax_class not in TAX_CLASSES:
        sentence = (
            f'The tax class of {name} is "{part.tax_class[:20]}": {", ".join(TAX_CLASSES)}. Choose one.'
        )
        raise InputRefused(sentence, {"parts": sentence})
    each = to_the_penny(part.each, currency)
    return {"name": name, "each": f"{each:f}", "count": part.count, "tax_class": part.tax_class}
