"""The bike leaves: only signed off, or plainly as unsafe, and with what was declined acknowledged."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event, Job, SentText
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import Where, job_state
from pinchbolt.workshop.common.checks import short
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.leaving.bill import bill_for, standing_bill
from pinchbolt.workshop.leaving.call_back import CallBack, back_of
from pinchbolt.workshop.leaving.sign_off import sign_off_list


@dataclass(frozen=True, slots=True)
class HandOverRequest:
    """`acknowledged`: the owner heard and accepts what was declined. `as_unsafe`: the bike leaves carried, not ridden.

    `paid`: how, as a note on the bill: cash, card, transfer, other, not yet. `how_known`: by what somebody else than the owner
    may have it.
    """

    job: int
    acknowledged: bool = False
    as_unsafe: bool = False
    taken_by: str = ""
    paid: str = "not yet"
    how_known: str = ""


KNOWN_BY = ("has the tag", "owner rang", "known to us", "letter")


@dataclass(frozen=True, slots=True)
class CollectorRequest:
    """Somebody else than the owner collects the bike: name, and how we know (an ID is looked at, never copied)."""

    job: int
    name: str
    how_known: str


@dataclass(frozen=True, slots=True)
class CollectorView:
    """Who was named to collect the bike, how we know, who wrote it down and when."""

    name: str
    how_known: str
    by: str
    at: datetime


@dataclass(frozen=True, slots=True)
class HandedOver:
    """The job is closed; when the bike should be back, and why; the number of its bill, "" where nothing was done."""

    job: int
    call_back: CallBack | None
    warnings: tuple[str, ...]
    bill: str = ""
    taken_by: str = ""
    how_known: str = ""


def hand_over(request: HandOverRequest, *, by: int, key: str, now: datetime) -> HandedOver:
    """Hand the bike over, make its bill and set the call-back.

    Raises:
        NotPossibleNow: The bike is not signed off (the sentence names what stands open), or is gone already.
        InputRefused: A safety line was declined and the owner has not acknowledged it, or no such way of paying.
    """
    with act("handed over", by=by, key=key, now=now, request=request, private=("taken_by",)) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return _handed_over(job)
        taken_by = short(request.taken_by, "taken_by", worded("Who takes the bike"), 120)
        _known_way(request.how_known)
        warnings = _may_leave(request, job, now)
        this.said = {
            "job": job.pk,
            "as_unsafe": request.as_unsafe,
            "acknowledged": request.acknowledged,
            "warnings": list(warnings),
            "how_known": request.how_known,
        }
        event = this.write(job=job)
        if taken_by:
            # A name is nothing for an event: it goes when the owner is erased.
            SentText.objects.create(event=event, text=taken_by)
        back = back_of(job, now)
        if back is not None:
            this.also("call-back set", "call-back", job=job, said=as_json(back))
        bill = bill_for(this, job, now, request.paid)
        number = str(bill) if bill is not None else ""
        return HandedOver(job.pk, back, warnings, number, taken_by, request.how_known)


def _may_leave(request: HandOverRequest, job: Job, now: datetime) -> tuple[str, ...]:
    """Return the warnings that go with the bike, or refuse."""
    state = job_state(job)
    seen = sign_off_list(job, now)
    if state.ended:
        raise NotPossibleNow(
            worded("{tag} is {words}: its job is over already.", tag=job.bike.tag, words=state.words)
        )
    if not state.signed_off and not request.as_unsafe:
        first = seen.stops[0] if seen.stops else worded("nobody has signed it off.")
        more = worded(" And {stops} more.", stops=len(seen.stops) - 1) if len(seen.stops) > 1 else ""
        raise NotPossibleNow(
            worded(
                "{tag} cannot leave as ready: {first}{more} Finish and sign off, or hand it over as "
                "unsafe to ride.",
                tag=job.bike.tag,
                first=first,
                more=more,
            ),
            {f"stop_{n}": stop for n, stop in enumerate(seen.stops)},
        )
    warnings = tuple(worded("Declined by the owner: {words}", words=words) for words in seen.declined_safety)
    warnings += tuple(worded("Not seen at this visit: {words}", words=words) for words in seen.left_unseen)
    if request.as_unsafe and not state.signed_off:
        warnings = (
            worded("NOT SAFE TO RIDE: carry this bike or push it. Do not ride it."),
            *(worded("Not done: {stop}", stop=stop) for stop in seen.stops),
            *warnings,
        )
    if warnings and not request.acknowledged:
        sentence = worded(
            "{warnings} Read it to the owner and tick the box before the bike leaves.", warnings=warnings[0]
        )
        raise InputRefused(sentence, {"acknowledged": sentence})
    return warnings


def _handed_over(job: Job) -> HandedOver:
    event = (
        Event.objects.filter(job=job, kind="handed over", corrected_by__isnull=True).order_by("-pk").first()
    )
    back = (
        Event.objects.filter(job=job, kind="call-back set", corrected_by__isnull=True).order_by("-pk").first()
    )
    return HandedOver(
        job.pk,
        CallBack.from_said(back.said) if back else None,
        tuple(event.said.get("warnings", ())) if event else (),
        bill.number if (bill := standing_bill(job)) is not None else "",
        _name_of(event),
        str(event.said.get("how_known", "")) if event else "",
    )


def _name_of(event: Event | None) -> str:
    """Who took the bike, where it was written down and the name was not erased since."""
    row = SentText.objects.filter(event=event).first() if event is not None else None
    return row.text if row is not None else ""


def _known_way(how: str) -> None:
    if how and how not in KNOWN_BY:
        sentence = worded(
            'How we know is "{how}": {known_by}. Choose one.', how=how[:40], known_by=", ".join(KNOWN_BY)
        )
        raise InputRefused(sentence, {"how_known": sentence})


def name_collector(request: CollectorRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down beforehand that somebody else collects the bike.

    Raises:
        InputRefused: No name, or no way of knowing.
        NotPossibleNow: The bike is gone.
    """
    with act("collector named", by=by, key=key, now=now, request=request, private=("name",)) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return
        if job_state(job).ended:
            raise NotPossibleNow(worded("{tag} is gone already.", tag=job.bike.tag))
        name = short(request.name, "name", worded("Who collects the bike"), 120, needed=True)
        _known_way(request.how_known or "-")
        SentText.objects.create(event=this.write(job=job), text=name)


def collector_of(job: Job) -> CollectorView | None:
    """Return who was named last to collect the bike, or None."""
    rows = Event.objects.filter(job=job, kind="collector named", corrected_by__isnull=True)
    event = rows.select_related("by").order_by("-pk").first()
    if event is None:
        return None
    return CollectorView(_name_of(event), str(event.said.get("how_known", "")), event.by.name, event.at)


def handed_over(job: Job) -> HandedOver | None:
    """Return how a job ended, or None while the bike is here."""
    return _handed_over(job) if job_state(job).where is Where.GONE else None
