"""A marking is taken over: typed beside its photo, or one of what was read off the photo. Nothing is taken over by itself."""

from dataclasses import dataclass
from datetime import datetime
from functools import partial

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.bikes.change_build import READ_OFF, DescribeRequest, describe
from pinchbolt.workshop.bikes.mark_limit import MarkLimitRequest
from pinchbolt.workshop.proof.keep_photo import with_photo
from pinchbolt.workshop.proof.what_is_marked import CLASS, LIMIT, TORQUE, MarkTarget, target_of
from pinchbolt.workshop.stays.mark_and_judge import mark_and_judge
from pinchbolt.workshop.torque.bolt_read import BoltRequest, read_bolt
from pinchbolt.workshop.torque.read_marking import MarkingRequest, read_marking


@dataclass(frozen=True, slots=True)
class TakeMarkingRequest:
    """What is marked: `greatest`, or `least` too where a range is printed, `target` where it is named as the one to use; else
    `text`. In the unit of what is marked. `read` says how it came off the photo, in words; "": it was typed.
    """

    job: int
    what: str
    of: str
    name: str
    greatest: float | None = None
    least: float | None = None
    target: float | None = None
    text: str = ""
    read: str = ""


def take_marking(
    request: TakeMarkingRequest, photo: bytes | None, *, by: int, key: str, now: datetime
) -> MarkTarget:
    """Write a marking down by the act that is its own, and keep its photo beside it.

    Raises:
        NotFound: Nothing of that name is marked at this bike.
        InputRefused: No value, one out of sense, or the photo is none; then nothing is written.
        NotPossibleNow: The part came off meanwhile.
    """
    job = job_by_id(request.job)
    target = target_of(job, request.what, request.of, request.name)
    write = partial(_write, request, target, by=by, key=key, now=now)
    with_photo(photo, request.read or worded("typed beside the photo"), key, write)
    return target


def _write(request: TakeMarkingRequest, target: MarkTarget, *, by: int, key: str, now: datetime) -> None:
    """Each kind of marking by the act that is its own."""
    job = job_by_id(request.job)
    tag = job.bike.tag
    if target.what == TORQUE:
        torque = MarkingRequest(tag, target.of, target.name, request.greatest, request.least, request.target)
        read_marking(torque, by=by, key=key, now=now)
    elif target.what == LIMIT:
        limit = MarkLimitRequest(int(target.of), target.name, _figure(request, target))
        mark_and_judge(limit, job.pk, by=by, key=key, now=now)
    elif target.what == CLASS:
        bolt = BoltRequest(tag, target.of, property_class=_text(request))
        read_bolt(bolt, by=by, key=key, now=now)
    else:
        value = _text(request) if target.is_text else _figure(request, target)
        describe(DescribeRequest(int(target.of), {target.name: value}, READ_OFF), by=by, key=key, now=now)


def _figure(request: TakeMarkingRequest, target: MarkTarget) -> float:
    if request.greatest is None:
        sentence = worded(
            "No figure is given: take one of what was read, or type what is marked, in {unit}.",
            unit=target.unit,
        )
        raise InputRefused(sentence, {"greatest": sentence})
    return request.greatest


def _text(request: TakeMarkingRequest) -> str:
    if not request.text.strip():
        sentence = worded("Nothing is given: take one of what was read, or type what is marked.")
        raise InputRefused(sentence, {"text": sentence})
    return request.text.strip()
