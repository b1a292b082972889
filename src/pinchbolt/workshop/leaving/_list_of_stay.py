"""Which items a stay is signed off by: as wide as its work, and proven by what stands on its torque sheet."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet

from pinchbolt.engines.build import Build, ItemAfter, WorkDone, end_of, items_after
from pinchbolt.records.models import Bike, DoneValue, Fitting, Job, Line, ListCheck
from pinchbolt.records.prepared import prepared
from pinchbolt.reference.rows.work import SignoffItem
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.bikes.joint_names import joint_end, joint_id
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.stays.line_parts import proposal_of
from pinchbolt.workshop.stays.standing import lines_that_may_be_open, open_lines
from pinchbolt.workshop.torque.torque_sheet import joints_of

# What the owner declined is read out and signed when the bike is handed over, after the sign-off (see hand_over.py).
AT_HANDOVER = "so-declined"
BY_VALUE = "done value"


def items_of_stay(job: Job, build: Build) -> tuple[ItemAfter, ...]:
    """Return the items of the list as far as the agreed and done work of a job asks for them."""
    wanted = lines_that_may_be_open(job)
    lines = [line for line in open_lines(job) if line.pk in wanted]
    work = [one for line in lines if (one := _work(line, build)) is not None]
    found = items_after(build, work, joints_of(job, build), _changed(job, build), _not_met(job))
    return tuple(one for one in found if one.row.id != AT_HANDOVER)


@once_a_look
def _not_met(job: Job) -> frozenset[str]:
    return frozenset(_items_not_met(job.pk))


@prepared
def _items_not_met(job: int) -> QuerySet[ListCheck, str]:
    looks = ListCheck.objects.filter(job=job, met=False, event__corrected_by__isnull=True)
    return looks.values_list("item", flat=True)


def _changed(job: Job, build: Build) -> set[tuple[str, str]]:
    """Kinds of part that came, went or moved since the bike came in, by a line or by hand on the build sheet, each with its end.

    What was on the bike before anybody wrote it down, what never was there and what was told late are no work of this stay.
    """
    rows = _moved_since(job.bike, local_day(job.opened_at))
    found = {(row.part.kind, end_of(row.part.place)) for row in rows}
    for row in rows:
        on = build.part(row.part_id)
        if on is not None:
            found |= {(kind, on.side) for kind in build.stands_for(on)}
    return found


@once_a_look
def _moved_since(bike: Bike, since: date) -> tuple[Fitting, ...]:
    return tuple(_moved(bike.pk, bike.pk, since, since))


@prepared
def _moved(bike: int, wheels_of: int, came_since: date, went_since: date) -> QuerySet[Fitting]:
    wheels = Fitting.objects.filter(bike=wheels_of, end__isnull=True).values("part")
    here = Q(bike=bike) | Q(wheel__in=wheels)
    moved = Q(start__gte=came_since, start_known=True) | Q(end__gte=went_since)
    rows = Fitting.objects.filter(here & moved).exclude(gone_to="never there")
    return rows.select_related("part")


def _work(line: Line, build: Build) -> WorkDone | None:
    """The work of a line, with the kinds that its finding's own row brings or ends."""
    operation = tables().operations.get(line.operation)
    if operation is None:
        return None
    finding = line.finding
    on = build.part(finding.part_id) if finding is not None and finding.part_id is not None else None
    row = proposal_of(operation.id, build, on, finding)
    return WorkDone(operation, on, () if row is None else (*row.parts, *row.replaces))


@dataclass(frozen=True, slots=True)
class Hand:
    """Who met an item: id and name."""

    id: int
    name: str


def proven(
    items: tuple[ItemAfter, ...], job: Job, build: Build, undone: Mapping[str, str]
) -> dict[str, Hand]:
    """Return the items that the done values of their own joints prove, each with who did the last of them.

    Such an item needs no look besides: of its joints on the sheet each was done inside its window.
    """
    sheet = joints_of(job, build)
    by = {joint: Hand(one, name) for joint, one, name in _done_by(job.pk)}
    found = {}
    for one in items:
        bolts = [name for name in sheet if answers_for(one.row, name)]
        if one.row.proof == BY_VALUE and bolts and all(name in by and name not in undone for name in bolts):
            found[one.row.id] = by[bolts[-1]]
    return found


@prepared
def _done_by(job: int) -> QuerySet[DoneValue, tuple[str, int, str]]:
    rows = DoneValue.objects.filter(job=job, event__corrected_by__isnull=True).order_by("pk")
    return rows.values_list("joint", "event__by", "event__by__name")


def answers_for(item: SignoffItem, joint: str) -> bool:
    """Return whether an item speaks for a joint: one of its own, and at its end where both have one."""
    end = end_of(joint_end(joint))
    return joint_id(joint) in item.joints and (not item.end or end in ("", item.end))
