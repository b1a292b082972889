"""All that speaks for a claim on one sheet: how it was bought, how far it went, what was read with what, how it was tightened."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q

from pinchbolt.records.models import (
    Bike,
    DoneValue,
    Event,
    InstrumentCheck,
    Marking,
    Part,
    Photo,
    ProofPhoto,
    RoundTick,
    ToolCheck,
)
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import part_by_id
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.bikes.build_view import BuildPartView, BuildView, build_seen_of
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.table_words import code_in_words, joint_name
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.proof.open_claim import ClaimView, claim_by_id
from pinchbolt.workshop.rides.part_distance import distance_at, readings_of
from pinchbolt.workshop.stays.note_finding import shown_words
from pinchbolt.workshop.tools.found_out import doubts

# A tool that many jobs shared has a year of values: the newest are told, and how many there are.
MOST_ROWS, MOST_PHOTOS = 30, 8
NOT_KNOWN = "not known"


@dataclass(frozen=True, slots=True)
class ProofShown:
    """A photo on the sheet: its act, what it shows, and its day. `stay`: the job at which it was taken, None of one kept beside an act."""

    event: int
    words: str
    day: date
    stay: int | None = None


@dataclass(frozen=True, slots=True)
class ClaimSheetView:
    """A claim with all that speaks for it; every list in plain sentences, the newest first. `left_out`: rows not told here."""

    claim: ClaimView
    bike_words: str
    frame_number: str
    distance: str
    build: tuple[str, ...]
    markings: tuple[str, ...]
    readings: tuple[str, ...]
    torques: tuple[str, ...]
    checks: tuple[str, ...]
    photos: tuple[ProofShown, ...]
    left_out: int
    lacking: tuple[str, ...]


@one_look()
def claim_sheet(claim: int, now: datetime) -> ClaimSheetView:
    """Return the sheet of a claim.

    Raises:
        NotFound: There is no such claim.
    """
    today = local_day(now)
    seen = claim_by_id(claim, today)
    if seen.kind != "part":
        return _of_tool(seen)
    part = part_by_id(seen.thing)
    event = Event.objects.select_related("bike").get(pk=claim)
    bike = event.bike
    joints = _joints_of(part, bike)
    torques, left = _torques(joints, bike)
    rows = Marking.objects.filter(on_part=part, event__corrected_by__isnull=True)
    marks = list(rows.select_related("event__by").order_by("-pk"))
    shown = _of_marks(marks)
    proved = {one.event for one in shown}
    photos = (*_of_claim(seen), *shown, *_of_stays(bike))
    return ClaimSheetView(
        claim=seen,
        bike_words=bike.words if bike else "",
        frame_number=bike.frame_number if bike else "",
        distance=_distance(part, seen.day),
        build=_build(bike),
        markings=tuple(_marking(row, proved) for row in marks),
        readings=_readings(part),
        torques=torques,
        checks=(),
        photos=photos[:MOST_PHOTOS],
        left_out=left + max(len(photos) - MOST_PHOTOS, 0),
        lacking=_lacking(seen, photos),
    )


def _of_tool(seen: ClaimView) -> ClaimSheetView:
    """A tool's own sheet: its checks, and how many bolts of how many bikes it closed. No bike is named: they are others'."""
    rows = (
        DoneValue.objects.filter(tool=seen.thing, event__corrected_by__isnull=True)
        if seen.kind == "tool"
        else None
    )
    used = (
        worded(
            "{count} bolts on record, of {stays} stays",
            count=rows.count(),
            stays=rows.values("job").distinct().count(),
        )
        if rows is not None
        else ""
    )
    photos = _of_claim(seen)
    checks = _tool_checks(seen.thing) if seen.kind == "tool" else _gauge_checks(seen.thing)
    return ClaimSheetView(
        claim=seen,
        bike_words="",
        frame_number="",
        distance=used,
        build=(),
        markings=(),
        readings=(),
        torques=(),
        checks=checks[:MOST_ROWS],
        photos=photos[:MOST_PHOTOS],
        left_out=max(len(checks) - MOST_ROWS, 0),
        lacking=_lacking(seen, photos),
    )


def _day(day: date) -> str:
    return f"{day.day} {day:%b %Y}"


def _distance(part: Part, day: date) -> str:
    km, share, known = distance_at(part, day)
    if km is None:
        return worded("how far it went is {not_known}", not_known=NOT_KNOWN)
    sd = km * share
    return worded(
        "about {km} km when it broke (likely {low} to {high}), by {known}",
        km=figure_text(km, 0),
        low=figure_text(max(km - 1.28 * sd, 0), 0),
        high=figure_text(km + 1.28 * sd, 0),
        known=known,
    )


def _build(bike: Bike | None) -> tuple[str, ...]:
    """The bike's parts with what is known of each by a hand, an eye or a marking."""
    if bike is None:
        return ()
    seen: BuildView = build_seen_of(bike)
    return tuple(_part_words(part) for part in seen.parts)


def _part_words(part: BuildPartView) -> str:
    facts = [
        f"{one.words} {code_in_words(one.fact, one.value) or one.shown}{f' {one.unit}' if one.unit else ''}"
        for one in part.facts
        if one.confirmed and one.shown
    ]
    return f"{part.words}: {', '.join(facts)}" if facts else part.words


def _marking(row: Marking, proved: Collection[int]) -> str:
    limit = tables().limits.get(row.limit)
    unit = limit.unit if limit else "N·m"
    what = limit.quantity if limit else joint_name(row.joint)
    said = [
        f"{name} {value:g} {unit}"
        for name, value in (
            (worded("at least"), row.least),
            (worded("at most"), row.greatest),
            (worded("to use"), row.target),
        )
        if value is not None
    ]
    photo = worded(", photo") if row.pk in proved else ""
    return worded(
        "{what}: marked {said}{photo} ({name}, {day})",
        what=what,
        said=", ".join(said),
        photo=photo,
        name=row.event.by.name,
        day=_day(local_day(row.event.at)),
    )


def _readings(part: Part) -> tuple[str, ...]:
    rows = list(readings_of(part))[-MOST_ROWS:]
    checks = _newest_checks({row.instrument_id for row in rows if row.instrument_id is not None})
    told = []
    for row in reversed(rows):
        limit = tables().limits.get(row.limit)
        by = row.instrument.name if row.instrument else worded("by eye")
        check = checks.get(row.instrument_id or 0)
        checked = (
            worded(
                ", checked {day}: {good}",
                day=_day(check.day),
                good=worded("good") if check.good else worded("out"),
            )
            if check
            else ""
        )
        checked = checked or (worded(", never checked here") if row.instrument else "")
        told.append(
            f"{_day(row.day)}: {limit.quantity if limit else row.limit}, {shown_words(row)}, {by}{checked}"
        )
    return tuple(told)


def _newest_checks(instruments: Iterable[int]) -> dict[int, InstrumentCheck]:
    rows = InstrumentCheck.objects.filter(instrument__in=list(instruments), event__corrected_by__isnull=True)
    return {row.instrument_id: row for row in rows.order_by("day", "pk")}


def _joints_of(part: Part, bike: Bike | None) -> tuple[str, ...]:
    """The joints of the bike that this part brings, or that a marking of torque on it names."""
    if bike is None:
        return ()
    own = next((one.joints for one in build_seen_of(bike).parts if one.id == part.pk), ())
    marked = Marking.objects.filter(on_part=part, event__corrected_by__isnull=True).exclude(joint="")
    return tuple(dict.fromkeys((*own, *marked.values_list("joint", flat=True))))


def _torques(joints: Sequence[str], bike: Bike | None) -> tuple[tuple[str, ...], int]:
    """Each done value and tick of a bolt round at these joints, with its tool and that tool's last check before it."""
    if bike is None or not joints:
        return (), 0
    stands = Q(joint__in=joints, event__corrected_by__isnull=True)
    done = list(
        DoneValue.objects.filter(stands, job__bike=bike).select_related("tool", "event__by").order_by("-pk")
    )
    ticks = list(
        RoundTick.objects.filter(stands, bike=bike).select_related("tool", "event__by").order_by("-pk")
    )
    said = doubts(done)
    both: list[DoneValue | RoundTick] = sorted([*done, *ticks], key=lambda row: -row.pk)
    checks = _checks_of({row.tool_id for row in both if row.tool_id is not None})
    told = tuple(
        _torque(row, said.get(row.pk, "") if isinstance(row, DoneValue) else "", checks)
        for row in both[:MOST_ROWS]
    )
    return told, max(len(both) - MOST_ROWS, 0)


def _torque(row: DoneValue | RoundTick, doubt: str, checks: Mapping[int, Sequence[ToolCheck]]) -> str:
    day = local_day(row.event.at)
    value = (
        f"{row.done_n_m:g} N·m"
        if row.done_n_m is not None
        else "held"
        if isinstance(row, RoundTick) and row.held
        else worded("by hand")
    )
    tool = (
        worded(
            " with {name}{checked_before}",
            name=row.tool.name,
            checked_before=_checked_before(checks.get(row.tool_id or 0, ()), day),
        )
        if row.tool
        else ""
    )
    out = "" if row.inside else worded(", outside what the joint takes")
    return f"{_day(day)}: {joint_name(row.joint)}, {value}{tool}{out}, {row.event.by.name}{f'. {doubt}' if doubt else ''}"


def _checked_before(checks: Sequence[ToolCheck], day: date) -> str:
    """What the last check of a tool said before it was used."""
    check = next((one for one in reversed(checks) if one.day <= day), None)
    return (
        worded(
            ", checked {day}: {good}",
            day=_day(check.day),
            good=worded("good") if check.good else worded("out"),
        )
        if check
        else worded(", never checked here")
    )


def _checks_of(tools: Iterable[int]) -> Mapping[int, list[ToolCheck]]:
    """The checks of these tools that stand, the oldest first."""
    found: dict[int, list[ToolCheck]] = {}
    rows = ToolCheck.objects.filter(tool__in=list(tools), event__corrected_by__isnull=True)
    for row in rows.order_by("day", "pk"):
        found.setdefault(row.tool_id, []).append(row)
    return found


def _tool_checks(tool: int) -> tuple[str, ...]:
    rows = ToolCheck.objects.filter(tool=tool, event__corrected_by__isnull=True).order_by("-day", "-pk")
    return tuple(f"{_day(row.day)}: {row.words or ('good' if row.good else 'out')}" for row in rows)


def _gauge_checks(instrument: int) -> tuple[str, ...]:
    rows = InstrumentCheck.objects.filter(instrument=instrument, event__corrected_by__isnull=True)
    return tuple(f"{_day(row.day)}: {row.words or row.against}" for row in rows.order_by("-day", "-pk"))


def _of_claim(seen: ClaimView) -> tuple[ProofShown, ...]:
    """The receipt first, then what broke."""
    numbers = [*([seen.warranty.event] if seen.warranty and seen.warranty.photo else []), *seen.photos]
    rows = ProofPhoto.objects.filter(pk__in=numbers).defer("jpeg").select_related("event")
    found = {row.pk: row for row in rows}
    return tuple(
        ProofShown(one, found[one].words or worded("what broke"), local_day(found[one].event.at))
        for one in numbers
        if one in found
    )


def _of_marks(marks: Sequence[Marking]) -> tuple[ProofShown, ...]:
    rows = ProofPhoto.objects.filter(pk__in=[row.pk for row in marks]).defer("jpeg").select_related("event")
    return tuple(
        ProofShown(row.pk, worded("its marking"), local_day(row.event.at)) for row in rows.order_by("-pk")
    )


def _of_stays(bike: Bike | None) -> tuple[ProofShown, ...]:
    """Photos of parts and findings from this bike's stays, the newest first."""
    if bike is None:
        return ()
    rows = (
        Photo.objects.filter(job__bike=bike, about__in=("part", "finding"))
        .defer("jpeg")
        .select_related("event")
    )
    return tuple(
        ProofShown(row.pk, str(row.event.said.get("words") or row.about), local_day(row.event.at), row.job_id)
        for row in rows.order_by("-pk")[:MOST_PHOTOS]
    )


def _lacking(seen: ClaimView, photos: Sequence[ProofShown]) -> tuple[str, ...]:
    """What whoever answers will ask for and is not here, in words."""
    known = seen.warranty
    said = []
    if known is None or known.bought is None:
        said.append(worded("Day of buying not known: look for the receipt, or ask the seller."))
    elif known.covered is None:
        said.append(worded("How long it is covered is not known: ask the seller."))
    if known is not None and not known.photo:
        said.append(worded("No photo of the receipt is kept."))
    if not seen.photos:
        said.append(worded("No photo of what broke: take one before the part is cleaned or thrown away."))
    if known is not None and known.covered is False and known.until is not None:
        said.append(worded("It was covered until {day}: ask for goodwill.", day=_day(known.until)))
    return tuple(said)
