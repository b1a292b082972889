"""What a bad check casts back: readings and done values since the last good one stand, and are in doubt."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from pinchbolt.records.models import DoneValue, InstrumentCheck, Reading, ToolCheck
from pinchbolt.records.prepared import prepared
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.checks import local_day

# A look at a tool says nothing of its torque; these two do.
OF_TORQUE = ("tool checked", "tool tried")


@dataclass(frozen=True, slots=True)
class Doubtful:
    """A reading or a done value that was taken with what was found out afterwards."""

    tag: str
    job: int | None
    what: str
    day: date


def doubtful_readings(check: InstrumentCheck) -> tuple[Doubtful, ...]:
    """Return the readings with this instrument since its last good check; none where this check is good."""
    if check.good:
        return ()
    earlier = check.instrument.checks.filter(good=True, event__corrected_by__isnull=True, day__lte=check.day)
    last = earlier.exclude(pk=check.pk).order_by("day", "pk").last()
    rows = Reading.objects.filter(
        instrument=check.instrument, event__corrected_by__isnull=True, day__lte=check.day
    )
    if last is not None:
        rows = rows.filter(day__gt=last.day)
    rows = rows.select_related("part", "event__bike").order_by("day", "pk")
    return tuple(
        Doubtful(
            row.event.bike.tag if row.event.bike else "", row.job_id, f"{row.part}: {row.limit}", row.day
        )
        for row in rows
    )


def doubts(rows: Iterable[DoneValue]) -> dict[int, str]:
    """Return for each done value whose tool failed its next check a sentence that says so, by the row's id."""
    found = list(rows)
    checks: dict[int, list[ToolCheck]] = {}
    tools = {row.tool_id for row in found if row.tool_id is not None}
    for check in _torque_checks(tuple(sorted(tools))):
        checks.setdefault(check.tool_id, []).append(check)
    said = {}
    for row in found:
        after = (check for check in checks.get(row.tool_id or 0, ()) if _is_after(check, row))
        following = next(after, None)
        if following is not None and not following.good:
            said[row.pk] = worded(
                "In doubt: {name} failed its check on {day:%d %b %Y}. Tighten again with another tool.",
                name=following.tool.name,
                day=following.day,
            )
    return said


@prepared
def _torque_checks(tools: tuple[int, ...]) -> QuerySet[ToolCheck]:
    rows = ToolCheck.objects.filter(
        tool__in=tools, event__kind__in=OF_TORQUE, event__corrected_by__isnull=True
    )
    return rows.select_related("tool").order_by("day", "pk")


def _is_after(check: ToolCheck, row: DoneValue) -> bool:
    """Whether a check came after a done value; on the same day the order of writing decides."""
    day = local_day(row.event.at)
    return check.day > day or (check.day == day and check.pk > row.pk)


def doubtful_done(check: ToolCheck) -> tuple[Doubtful, ...]:
    """Return the standing done values with this tool that this check puts in doubt; none where it is good."""
    if check.good:
        return ()
    rows = list(
        DoneValue.objects.filter(tool=check.tool, event__corrected_by__isnull=True)
        .select_related("job__bike", "event")
        .order_by("pk")
    )
    said = doubts(rows)
    return tuple(
        Doubtful(row.job.bike.tag, row.job_id, f"{row.joint}: {row.done_n_m:g} N·m", local_day(row.event.at))
        for row in rows
        if row.pk in said and _is_after(check, row) and row.done_n_m is not None
    )
