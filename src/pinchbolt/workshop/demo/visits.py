"""The year of visits, each played through the use cases, and the jobs that stand in the workshop today."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from itertools import count

from django.utils import timezone

from pinchbolt.engines.build import all_hold, limits_on
from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Bike, Finding, Job, Part
from pinchbolt.workshop.acts.lookups import bike_by_tag, job_by_id
from pinchbolt.workshop.bikes.build_sheet import build_of, parts_on
from pinchbolt.workshop.bikes.building import kind_and_place
from pinchbolt.workshop.bikes.change_build import ConfirmRequest, confirm_corner
from pinchbolt.workshop.bikes.joint_names import joint_names
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.demo.demo_ride_files import rides_between
from pinchbolt.workshop.demo.scenario import Row, Scenario
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.leaving.sign_off import (
    LookRequest,
    SignOffRequest,
    items_for,
    look_at_item,
    sign_off,
)
from pinchbolt.workshop.rides.note_distance import KNOWN, DistanceRequest, note_distance
from pinchbolt.workshop.rides.take_in_rides import RidesRequest, digest_of, take_in_rides
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.line_parts import LinePart
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner, estimate
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import (
    AsideRequest,
    LineDoneRequest,
    StandRequest,
    finish_line,
    put_on_stand,
    set_aside,
    start_work,
)
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
from pinchbolt.workshop.torque.read_marking import MarkingRequest, read_marking
from pinchbolt.workshop.torque.record_done import DoneByHandRequest, DoneRequest, record_done, tighten_by_hand
from pinchbolt.workshop.torque.torque_sheet import AddJointRequest, add_joint, torque_sheet

_LAST_HERE = {"MY-01-v5": "ready", "MY-02-v5": "part", "MY-05-v6": "stand", "MY-07-v4": "owner"}
_MARKED_PART = {"bar": "handlebar", "seat_maker": "child seat"}


@dataclass
class Year:
    """The scenario, who and what by name, and a counter for request marks."""

    told: Scenario
    people: Mapping[str, int]
    instruments: Mapping[str, int]
    marks: "count[int]" = field(default_factory=count)

    def mark(self) -> str:
        """Return the next request mark."""
        return f"demo-act-{next(self.marks):05d}"


def play_year(year: Year) -> None:
    """Play every visit; those that are still here today stop half-way."""
    for visit in year.told.visits:
        _play(visit, year)


def _play(visit: Row, year: Year) -> None:
    day = year.told.day(visit["date"])
    by, other = year.people[visit["by"]], year.people[visit["second_look_by"]]
    stays = _LAST_HERE.get(visit["id"])
    promise = _at(year.told.today + timedelta(days=1), 17) if stays else None
    for row in year.told.rows("distance", bike=visit["bike"], end=visit["date"]):
        if row["known"] == "ride files":
            _ride_files(visit["bike"], row, day, by, year)
            continue
        known = row["known"] if row["known"] in KNOWN else "owner's word"
        stretch = DistanceRequest(year.told.day(row["start"]), day, row["km"], known, tag=visit["bike"])
        note_distance(stretch, by=by, key=year.mark(), now=_at(day, 8))
    asked = CheckInRequest(tag=visit["bike"], owner_words=visit["said"])
    job = job_by_id(check_in(asked, by=by, key=year.mark(), now=_at(day, 9)).job)
    if promise is not None:
        job.promise = promise
        job.save(update_fields=["promise"])
    _read(visit, job, by, year, _at(day, 10))
    lines = _propose(visit, job, by, year, _at(day, 11))
    if stays == "owner":
        _ask(job, by, year, _at(day, 12))
        return
    if lines:
        _ask(job, by, year, _at(day, 12))
        _answer(job, lines, by, year, _at(day, 13))
    if any(agreed for agreed in lines.values()):
        stand = _stand(visit["by"], stays)
        start_work(StandRequest(job.pk, stand), by=by, key=year.mark(), now=_at(day, 14))
        _tighten(visit, job, by, year, _at(day, 15), half=stays == "stand")
        if stays == "stand":
            return
        if stays == "part":
            words = "rim not in yet; wheel hangs by the stand, its screws in tray 4"
            set_aside(AsideRequest(job.pk, "part", words), by=by, key=year.mark(), now=_at(day, 15, 30))
            return
        for line, agreed in lines.items():
            if agreed:
                finish_line(LineDoneRequest(job.pk, line), by=by, key=year.mark(), now=_at(day, 16))
    _leave(job, by, other, year, _at(day, 17), hand=stays != "ready")


def _ride_files(tag: str, row: Row, day: date, by: int, year: Year) -> None:
    """The owner brings the files of all rides since the last visit."""
    seen = rides_between(tag, year.told.day(row["start"]), day, row["km"])
    take_in_rides(RidesRequest(tag, digest_of(seen)), seen, by=by, key=year.mark(), now=_at(day, 8))


def _stand(name: str, stays: str | None) -> int:
    """Each works on their own stand; whoever is still on it today keeps it."""
    stand = {"Ines Holloway": 1, "Tobias Quill": 2, "Wren Abara": 3}[name]
    return stand if stays is not None or stand != 2 else 2


def _read(visit: Row, job: Job, by: int, year: Year, now: datetime) -> None:
    on_bike = {str(part): part for part in parts_on(job.bike)}
    for row in year.told.rows("reading", visit=visit["id"]):
        part = _current(on_bike, row["part"], year.told)
        instrument = year.instruments.get(row["instrument"])
        asked = ReadingRequest(
            job=job.pk,
            part=part.pk,
            limit=row["limit"],
            instrument=instrument,
            value=row.get("value"),
            # A gauge that stays out says nothing about the low end.
            low=row.get("low") or None,
            high=row.get("high"),
            place=row["place"],
        )
        take_reading(asked, by=by, key=year.mark(), now=now)


def _current(on_bike: Mapping[str, Part], part_id: str, told: Scenario) -> Part:
    """Return the part of this kind that is on the bike now; the scenario's own numbering follows the same changes."""
    row = next(one for one in told.raw["part"] if one["id"] == part_id)
    kind, place = kind_and_place(row["kind"])
    return on_bike[f"{place} {kind}".strip()]


def _propose(visit: Row, job: Job, by: int, year: Year, now: datetime) -> dict[int, bool]:
    """Propose what was done at this visit, and what was declined; returns line -> agreed."""
    lines: dict[int, bool] = {}
    for row in year.told.rows("work", visit=visit["id"]):
        part = _current({str(part): part for part in parts_on(job.bike)}, row["part"], year.told)
        finding = (
            Finding.objects.filter(job=job, part=part, event__corrected_by__isnull=True)
            .order_by("-pk")
            .first()
        )
        operation = _operation(part, finding, job.bike)
        line = propose(
            ProposeRequest(job.pk, operation, finding.pk if finding else None),
            by=by,
            key=year.mark(),
            now=now,
        )
        lines[line.line] = True
    for row in year.told.rows("declined", visit=visit["id"]):
        finding = (
            Finding.objects.filter(job=job, part__kind="rotor", event__corrected_by__isnull=True)
            .order_by("-pk")
            .first()
        )
        asked = ProposeRequest(
            job.pk,
            "rotor",
            finding.pk if finding else None,
            row["line"],
            (LinePart("rotor, 203 mm", Decimal(str(row["price"])).quantize(Decimal("0.01"))),),
        )
        lines[propose(asked, by=by, key=year.mark(), now=now).line] = False
    return lines


def _operation(part: Part, finding: Finding | None, bike: Bike) -> str:
    rows, build = tables().proposals.values(), build_of(bike)
    by_limit = next(
        (
            row.operation
            for row in rows
            if finding is not None and finding.limit in row.limits and row.operation
            if all_hold(build, row.when, build.part(part.pk)).answer is not False
        ),
        None,
    )
    return by_limit or next(row.operation for row in rows if part.kind in row.replaces)


def _ask(job: Job, by: int, year: Year, now: datetime) -> None:
    if not estimate(job).lines:
        propose(ProposeRequest(job.pk, "safety-check"), by=by, key=year.mark(), now=now)
    ask_owner(PriceRequest(job.pk), by=by, key=year.mark(), now=now)


def _answer(job: Job, lines: dict[int, bool], by: int, year: Year, now: datetime) -> None:
    answer(AnswerRequest(job.pk, lines, how="by phone"), by=by, key=year.mark(), now=now)


def _tighten(visit: Row, job: Job, by: int, year: Year, now: datetime, *, half: bool) -> None:
    """Read the markings of the scenario, add its joints to the sheet, and tighten each joint as the sheet says."""
    for row in year.told.rows("torque", visit=visit["id"]):
        names = [name for name in joint_names(build_of(job.bike)) if name.partition(":")[0] == row["joint"]]
        joint = names[0] if names else row["joint"]
        if joint not in {seen.joint for seen in torque_sheet(job, now.date())}:
            add_joint(AddJointRequest(job.pk, joint), by=by, key=year.mark(), now=now)
        for part, greatest in row.get("marking", {}).items():
            marking = MarkingRequest(job.bike.tag, joint, _MARKED_PART.get(part, part), greatest)
            read_marking(marking, by=by, key=year.mark(), now=now)
    sheet = torque_sheet(job, now.date())
    for joint in sheet[: len(sheet) // 2] if half else sheet:
        if joint.setting is not None:
            done = DoneRequest(
                job.pk, joint.joint, int(joint.setting.tool), joint.setting.set, joint.setting.set, sure=True
            )
            record_done(done, by=by, key=year.mark(), now=now)
        elif joint.by_hand:
            tighten_by_hand(DoneByHandRequest(job.pk, joint.joint), by=by, key=year.mark(), now=now)


def _leave(job: Job, by: int, other: int, year: Year, now: datetime, *, hand: bool) -> None:
    """Bike as shown, list, second look, sign-off, handover; what stands open makes the bike leave as unsafe, and the sheet says so."""
    confirm_corner(ConfirmRequest(job.bike.tag), by=by, key=year.mark(), now=now)
    items = items_for(job.bike)
    look_at_item(LookRequest(job.pk, tuple(item.id for item in items)), by=by, key=year.mark(), now=now)
    seconds = tuple(item.id for item in items if item.second)
    look_at_item(LookRequest(job.pk, seconds, second=True), by=other, key=year.mark(), now=now)
    try:
        sign_off(SignOffRequest(job.pk), by=by, key=year.mark(), now=now)
        unsafe = False
    except NotPossibleNow:
        unsafe = True
    if hand:
        hand_over(
            HandOverRequest(job.pk, acknowledged=True, as_unsafe=unsafe), by=by, key=year.mark(), now=now
        )


def open_jobs(year: Year, now: datetime) -> None:
    """Two bikes that came in this morning: one on the rack untouched, one on a stand for its walk-round."""
    by = year.people["Juno Marl"]
    morning = now - timedelta(hours=2)
    tourer = CheckInRequest(
        tag="MY-12",
        owner_words="winter store is over; brakes and tyres looked at, please",
        left_with="front bag, lock key",
        promise=_at(year.told.today + timedelta(days=2), 12),
        distance_km=310,
    )
    check_in(tourer, by=by, key=year.mark(), now=morning)
    child = CheckInRequest(
        tag="MY-10",
        owner_words="Pip says it clicks; needed for Saturday",
        promise=_at(year.told.today + timedelta(days=3), 10),
    )
    job = check_in(child, by=by, key=year.mark(), now=morning)
    wren = year.people["Wren Abara"]
    put_on_stand(StandRequest(job.job, 3), by=wren, key=year.mark(), now=now - timedelta(hours=1))
    build = build_of(bike_by_tag("MY-10"))
    on, row = next(
        (part, one.row) for part in build.parts for one in limits_on(build, part) if one.row.unit == "percent"
    )
    asked = ReadingRequest(
        job.job, on.id, row.id, instrument=year.instruments["chain-gauge-go-nogo"], high=0.5
    )
    take_reading(asked, by=wren, key=year.mark(), now=now - timedelta(minutes=40))


def _at(day: date, hour: int, minute: int = 0) -> datetime:
    return timezone.make_aware(datetime.combine(day, time(hour, minute)))
