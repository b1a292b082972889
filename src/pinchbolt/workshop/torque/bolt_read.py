"""What a torque does to a bolt: its preload, as it was meant to be prepared and as it was found; and what was read on it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from pinchbolt.engines.build import joints_of
from pinchbolt.engines.torque import (
    BoltSpec,
    Preparation,
    greatest_for_reuse,
    judge_bolt,
    preload_by_long_form,
    preparation_by_spread,
    stress_area,
)
from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Bike, Bolt, Part
from pinchbolt.records.prepared import prepared
from pinchbolt.reference.rows.joints import JointRow
from pinchbolt.values import Interval, Reason
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.bikes.build_sheet import build_of, parts_on
from pinchbolt.workshop.bikes.joint_names import joint_id
from pinchbolt.workshop.common.checks import number
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.torque._sockets import judged_socket, said_of_socket


@dataclass(frozen=True, slots=True)
class BoltView:
    """What a torque buys in a bolt. [N], [-]

    `share` of the class's proof load is None where no class was read; the `_as_found` ends are None where the thread is
    prepared as meant.
    """

    thread: str
    property_class: str
    meant: str
    found: str
    preload: Interval
    share: Interval | None
    preload_as_found: Interval | None
    share_as_found: Interval | None
    words: tuple[str, ...]
    warnings: tuple[str, ...]
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class BoltRequest:
    """What was read on a joint's bolt: the class on its head, how its thread was found prepared, what turns it, its thread.

    '' is not read, and leaves what was read before, unless this is a `new_screw`: then nothing of the old one counts any
    more. `socket_mm` is its socket measured across the flats with a caliper: it
    is kept while what turns it stays the same. [mm]
    """

    tag: str
    joint: str
    property_class: str = ""
    preparation: str = ""
    drive: str = ""
    thread: str = ""
    socket_mm: float | None = None
    new_screw: bool = False


@dataclass(frozen=True, slots=True)
class PreloadRequest:
    """A torque on a bolt of the thread table, its class and its preparation where known. [N·m]

    With yield, friction, face and hole the long form is worked too. [MPa], [-], [mm]
    """

    thread: str
    torque: float
    property_class: str = ""
    meant: str = "grease"
    found: str = ""
    yield_stress: float | None = None
    friction: float | None = None
    face_mm: float | None = None
    hole_mm: float | None = None


@dataclass(frozen=True, slots=True)
class PreloadView:
    """The short form's preload, the stress area, and the long form's preload and torque at 90 % of yield. [mm2], [N], [N·m]"""

    bolt: BoltView
    stress_area: float
    long_form_preload: float | None
    long_form_torque: float | None


def preload(request: PreloadRequest) -> PreloadView:
    """Return what a torque buys in a bolt.

    Raises:
        InputRefused: A thread, class or preparation that is not in the table, a torque out of sense, or half a long form.
    """
    number(request.torque, "torque", worded("The torque"), 0.1, 400, "N·m")
    row = tables().threads.get(request.thread)
    if row is None:
        sentence = worded(
            'thread is "{thread}": {threads}. Choose one.',
            thread=request.thread[:20],
            threads=", ".join(tables().threads),
        )
        raise InputRefused(sentence, {"thread": sentence})
    seen = bolt_view(
        worded("the bolt"),
        request.thread,
        request.property_class,
        request.meant,
        request.found,
        Interval(request.torque, request.torque),
    )
    assert seen is not None  # the thread is in the table
    long = (request.yield_stress, request.friction, request.face_mm, request.hole_mm)
    given = [value for value in long if value is not None]
    if 0 < len(given) < len(long):
        sentence = worded(
            "The long form needs yield, friction, bearing face and hole together. Give all four, or none."
        )
        raise InputRefused(sentence, {"friction": sentence})
    worked = preload_by_long_form(row.d, row.pitch, *given) if given else None
    return PreloadView(
        seen,
        stress_area(row.d, row.pitch),
        worked.preload if worked else None,
        worked.torque if worked else None,
    )


def bolt_view(
    name: str, thread: str, property_class: str, meant: str, found: str, applied: Interval, takes: str = ""
) -> BoltView | None:
    """Return what *applied* buys in a bolt, or None where its thread is none of the table (inch, own, or several).

    *takes* is the class that the joint's figures take for granted.

    Raises:
        InputRefused: A class or preparation that is not in the table.
    """
    row = tables().threads.get(thread)
    if row is None:
        return None
    proof = tables().property_classes.get(property_class)
    if property_class and proof is None:
        sentence = worded(
            'property_class is "{property_class}": {property_classes}, or left out. Read the head again.',
            property_class=property_class[:30],
            property_classes=", ".join(tables().property_classes),
        )
        raise InputRefused(sentence, {"property_class": sentence})
    asked = BoltSpec(
        name,
        row.d,
        row.pitch,
        property_class,
        proof.proof if proof else None,
        _preparation("meant", meant),
        _preparation("preparation", found) if found else None,
    )
    judged = judge_bolt(asked, applied)
    reasons = (*judged.reasons, *_reuse(asked), *_taken_for_granted(takes, property_class))
    return BoltView(
        thread,
        property_class,
        meant,
        found or meant,
        judged.preload,
        judged.share,
        judged.preload_as_found,
        judged.share_as_found,
        tuple(reason.words for reason in reasons),
        (*judged.warnings, *_weaker(name, takes, property_class)),
        reasons,
    )


def _reuse(bolt: BoltSpec) -> tuple[Reason, ...]:
    """The torque up to which this bolt may be undone and used again."""
    if bolt.proof_stress is None:
        return ()
    words = worded(
        "A {property_class} bolt prepared with {name} may be used again up to "
        "{greatest_for_reuse:.1f} N·m (75 % of proof at the lowest friction); what it clamps "
        "nearly always bears less.",
        property_class=bolt.property_class,
        name=bolt.meant.name,
        greatest_for_reuse=greatest_for_reuse(bolt),
    )
    return (Reason(words, bolt.meant.name, worded("ISO 898-1:2013; short form T = K d F")),)


def _taken_for_granted(takes: str, read: str) -> tuple[Reason, ...]:
    if not takes or read:
        return ()
    return (
        Reason(
            worded("The figures take a bolt of class {takes} for granted: read its head.", takes=takes),
            takes,
            "",
        ),
    )


def _weaker(name: str, takes: str, read: str) -> tuple[str, ...]:
    """A bolt that is weaker than the one for which the figures were given."""
    classes = tables().property_classes
    if not takes or not read or classes[read].proof >= classes[takes].proof:
        return ()
    return (
        worded(
            "{name}: these figures take a bolt of class {takes} for granted, and this one is "
            "{read}. Change it for one of {takes}; do not tighten it to this torque.",
            name=name,
            takes=takes,
            read=read,
        ),
    )


def _preparation(field: str, name: str) -> Preparation:
    row = tables().nut_factors.get(name)
    if row is None:
        sentence = worded(
            'The preparation is "{name}": {nut_factors}. Choose the one that was found.',
            name=name[:30],
            nut_factors=", ".join(tables().nut_factors),
        )
        raise InputRefused(sentence, {field: sentence})
    return preparation_by_spread(name, row.k, row.spread, row.source)


def preparations() -> tuple[str, ...]:
    """Return the preparations of the table."""
    return tuple(tables().nut_factors)


def threads() -> tuple[str, ...]:
    """Return the threads of the table."""
    return tuple(tables().threads)


def property_classes() -> tuple[str, ...]:
    """Return the property classes of the table."""
    return tuple(tables().property_classes)


def read_bolt(request: BoltRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down what was read on a joint's bolt; the newest reading counts.

    Raises:
        InputRefused: The joint is not in the table, nothing was read, or a word that is not in the table.
    """
    with act("bolt read", by=by, key=key, now=now, request=request) as this:
        bike = bike_by_tag(request.tag)
        if this.repeated:
            return
        row = tables().joints.get(joint_id(request.joint))
        if row is None:
            sentence = worded(
                'The joint "{joint}" is not in the table. Choose one from the list of joints.',
                joint=request.joint[:40],
            )
            raise InputRefused(sentence, {"joint": sentence})
        _refuse_unread(request)
        last = _read(bike, request.joint)
        old = None if request.new_screw else last
        drive = request.drive or (old.drive if old else None) or None
        if request.socket_mm is not None:
            judged_socket(
                drive or "", number(request.socket_mm, "socket_mm", worded("The socket"), 1.0, 20.0, "mm")
            )
        on_part = _part_of(bike, request.joint)
        Bolt.objects.create(
            event=this.write(bike=bike, corrects=last.event if last else None),
            bike=bike,
            joint=request.joint,
            on_part=on_part,
            property_class=request.property_class or (old.property_class if old else ""),
            preparation=request.preparation or (old.preparation if old else ""),
            drive=drive,
            thread=request.thread or (old.thread if old else None) or None,
            socket_mm=request.socket_mm if request.socket_mm is not None else _socket_kept(old, drive),
        )


def _socket_kept(old: Bolt | None, drive: str | None) -> float | None:
    """The socket as it was measured before: the size of another drive says nothing of this one. [mm]"""
    return old.socket_mm if old is not None and old.drive == drive else None


def _part_of(bike: Bike, joint: str) -> Part | None:
    """The part that brings a joint: what was read on its bolt goes with it."""
    found = next((one for one in joints_of(build_of(bike)) if one.name == joint), None)
    return Part.objects.filter(pk=found.part.id).first() if found is not None and found.part.id else None


def _refuse_unread(request: BoltRequest) -> None:
    told = (request.property_class, request.preparation, request.drive, request.thread, request.new_screw)
    if not any(told) and request.socket_mm is None:
        sentence = worded(
            "Nothing was read on the bolt: give its class, how its thread was found prepared, "
            "what turns it, or its thread."
        )
        raise InputRefused(sentence, {"preparation": sentence})
    if request.drive and request.drive not in heads():
        sentence = worded(
            'What turns it is "{drive}": {heads}. Choose the one that fits.',
            drive=request.drive[:30],
            heads=", ".join(heads()),
        )
        raise InputRefused(sentence, {"drive": sentence})
    if request.thread and request.thread not in tables().threads:
        sentence = worded(
            'thread is "{thread}": {threads}. Choose one.',
            thread=request.thread[:20],
            threads=", ".join(tables().threads),
        )
        raise InputRefused(sentence, {"thread": sentence})
    if request.preparation:
        _preparation("preparation", request.preparation)
    # Refuses a class that is not in the table.
    bolt_view("bolt", next(iter(tables().threads)), request.property_class, "dry", "", Interval(1.0, 1.0))


def heads() -> tuple[str, ...]:
    """Return every drive that some joint of the table may have."""
    return tuple(dict.fromkeys(drive for row in tables().joints.values() for drive in row.drive))


def head_read(bike: Bike, joint: str) -> str:
    """Return what turns a joint's bolt as it was read, "" where nobody looked."""
    read = _read(bike, joint)
    return (read.drive if read else None) or ""


def thread_read(bike: Bike, joint: str) -> str:
    """Return the thread that was read on a joint's bolt, "" where nobody looked."""
    read = _read(bike, joint)
    return (read.thread if read else None) or ""


def socket_said(bike: Bike, joint: str) -> tuple[str, ...]:
    """Return a warning where the socket of a joint's screw was measured and is rounded, or can't be told."""
    read = _read(bike, joint)
    return said_of_socket(read.drive or "", read.socket_mm) if read else ()


def _read(bike: Bike, joint: str) -> Bolt | None:
    return _bolts_of(bike).get(joint)


@once_a_look
def _bolts_of(bike: Bike) -> Mapping[str, Bolt]:
    """What was read last on each joint's bolt."""
    here = {part.pk for part in parts_on(bike)}
    return {row.joint: row for row in _bolts(bike.pk) if row.on_part_id is None or row.on_part_id in here}


@prepared
def _bolts(bike: int) -> QuerySet[Bolt]:
    rows = Bolt.objects.filter(bike=bike, event__corrected_by__isnull=True)
    return rows.select_related("event").order_by("pk")


def bolt_of(bike: Bike, name: str, row: JointRow, applied: Interval) -> BoltView | None:
    """Return what *applied* buys in this joint's bolt on this bike, with what was read on it; None without a known thread."""
    read = _read(bike, name)
    return bolt_view(
        row.name,
        thread_read(bike, name) or row.thread,
        read.property_class if read else "",
        row.prep,
        read.preparation if read else "",
        applied,
        row.bolt_class,
    )
