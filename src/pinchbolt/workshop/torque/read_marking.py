"""Writing down a torque that is marked on a part, or that its maker names for it."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Marking
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.common.checks import local_day, number, short
from pinchbolt.workshop.torque._markings import before_it, part_marked
from pinchbolt.workshop.torque.joint_windows import joint_on, joint_row, kinds_clamped
from pinchbolt.workshop.torque.torque_sheet import JointView, joint_view


@dataclass(frozen=True, slots=True)
class MarkingRequest:
    """A torque marking read off a part of a joint: greatest, and least where a range is printed. [N·m]

    `target_n_m` is a torque that the part or its maker plainly names as the one to use; it limits nothing.
    """

    tag: str
    joint: str
    part: str
    greatest_n_m: float | None = None
    least_n_m: float | None = None
    target_n_m: float | None = None


def read_marking(request: MarkingRequest, *, by: int, key: str, now: datetime) -> JointView:
    """Write down what is marked on a part; the newest marking of a part counts, as long as the part is on the bike.

    Raises:
        InputRefused: The joint is not in the table, the part not in the joint, or the torque out of sense.
    """
    with act("marking read", by=by, key=key, now=now, request=request) as this:
        bike = bike_by_tag(request.tag)
        row = joint_row(request.joint)
        if this.repeated:
            return joint_view(request.joint, bike, None, local_day(now))
        part = short(request.part, "part", worded("The part"), 60, needed=True)
        build = build_of(bike)
        kinds = kinds_clamped(joint_on(build, request.joint), build, row)
        if part not in kinds:
            sentence = worded(
                '"{part}" is not clamped by {name}: {kinds}. Choose one.',
                part=part,
                name=row.name,
                kinds=", ".join(kinds),
            )
            raise InputRefused(sentence, {"part": sentence})
        _refuse_bad_marking(request, part)
        on_part = part_marked(build, joint_on(build, request.joint), part)
        old = before_it(bike, request.joint, part, on_part)
        Marking.objects.create(
            event=this.write(bike=bike, corrects=old.event if old else None),
            bike=bike,
            joint=request.joint,
            part=part,
            on_part=on_part,
            greatest=request.greatest_n_m,
            least=request.least_n_m,
            target=request.target_n_m,
        )
        return joint_view(request.joint, bike, None, local_day(now))


def _refuse_bad_marking(request: MarkingRequest, part: str) -> None:
    greatest, least, target = request.greatest_n_m, request.least_n_m, request.target_n_m
    if greatest is None and target is None:
        sentence = worded(
            "Nothing was read on the {part}: give its greatest or only value, or the value its maker names.",
            part=part,
        )
        raise InputRefused(sentence, {"greatest_n_m": sentence})
    if greatest is not None:
        number(greatest, "greatest_n_m", worded("The marking on the {part}", part=part), 0.1, 120, "N·m")
    if target is not None:
        number(
            target,
            "target_n_m",
            worded("The value named for the {part}", part=part),
            0.1,
            greatest or 120,
            "N·m",
        )
    if least is None:
        return
    if greatest is None:
        sentence = worded(
            "The {part} has a least value alone: a range has a greatest one too. Read it again.", part=part
        )
        raise InputRefused(sentence, {"least_n_m": sentence})
    number(least, "least_n_m", worded("The least value on the {part}", part=part), 0.1, greatest, "N·m")
