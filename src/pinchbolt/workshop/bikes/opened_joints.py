"""Which joints work opens on a bike, and what must be found out before that is known."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass

from django.db.models import QuerySet

from pinchbolt.engines.build import Build, JointOn, clamped_by, joints_of, joints_opened, open_joints
from pinchbolt.records.models import Finding, Job, Line, PartDescription
from pinchbolt.records.prepared import prepared
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.bikes.part_questions import QuestionOfPart, question_about
from pinchbolt.workshop.common.trade_tables import tables


@dataclass(frozen=True, slots=True)
class JointQuestion:
    """A fact that decides which joints a bike has, and that nobody knows.

    `joints` are the names of those that wait for it; `critical`: A where one of them can throw the rider.
    """

    part: int
    part_words: str
    question: QuestionOfPart
    joints: tuple[str, ...]
    critical: str
    words: str


def place_of(finding: Finding | None) -> str:
    """Return where on the bike a finding's part is: front, rear, front left ...; "" for the whole bike or one in the middle."""
    return finding.part.place if finding is not None and finding.part is not None else ""


def place_of_line(line: Line) -> str:
    """Return where a line is done: the place that was said for it, else that of its finding's part."""
    return line.place or place_of(line.finding)


def opened_by_line(line: Line, build: Build) -> tuple[JointOn, ...]:
    """Return the joints that the work of a line opens on the bike as it is now."""
    operation = tables().operations.get(line.operation)
    if operation is None:
        return ()
    return joints_opened(build, operation, place_of_line(line))


def joints_of_lines(job: Job, lines: Collection[Line], build: Build) -> set[str]:
    """Return the joints that agreed lines open: as they were written, put right by what was found out of the parts since.

    Four bolts that turn out to be two are two; a stem that nobody had looked at brings its joint once somebody has. After
    the job is over nothing changes.
    """
    names = {name for line in lines for name in line.joints}
    state = job_state(job)
    if not lines or state.signed_off or state.ended:
        return names
    there = {one.name: one for one in joints_of(build) if one.stands}
    parts = tuple(part.id for part in build.parts)
    newest = _described_since(min(line.event_id for line in lines), parts)
    for line in lines:
        told = {part for part, event in newest.items() if event > line.event_id}
        if not told:
            continue
        now = {one.name for one in opened_by_line(line, build) if one.stands}
        names |= {name for name in now if not told.isdisjoint(_parts_in(build, there[name]))}
        names -= {name for name in line.joints if name not in there and _is_denied(name, build, told)}
    return names


@once_a_look
def _described_since(event: int, parts: tuple[int, ...]) -> Mapping[int, int]:
    """Parts of which something was found out since an event, each with the newest event that told it."""
    return dict(_descriptions_since(parts, event))


@prepared
def _descriptions_since(parts: tuple[int, ...], event: int) -> QuerySet[PartDescription, tuple[int, int]]:
    rows = PartDescription.objects.filter(part__in=parts, event__gt=event).order_by("event")
    return rows.values_list("part", "event")


def _parts_in(build: Build, joint: JointOn) -> set[int]:
    return {joint.part.id, *(part.id for part in clamped_by(build, joint))}


def _is_denied(name: str, build: Build, told: Collection[int]) -> bool:
    """Whether what was found out of a part that could bring the joint says that it does not."""
    joint, _, end = name.partition(":")
    row = tables().joints.get(joint)
    kinds = row.on if row is not None else ()
    return any(part.id in told and part.end in ("", end) for kind in kinds for part in build.of_kind(kind))


def to_find_out(ask: str) -> str:
    """Return how a fact is found out, as a sentence of its own: "Count them on the stem's face."."""
    words = ask or worded("look at the part")
    return f"{words[0].upper()}{words[1:]}."


def questions_of_lines(lines: Iterable[Line], build: Build) -> tuple[JointQuestion, ...]:
    """Return what must be found out before it is known which joints the work of these lines opens."""
    names = {one.name for line in lines for one in opened_by_line(line, build)}
    return joint_questions(build, lambda one: one.name in names)


def joint_questions(build: Build, wanted: Callable[[JointOn], bool]) -> tuple[JointQuestion, ...]:
    """Return the questions that decide which joints a bike has, of those that are wanted; the worst first."""
    found = []
    for one in open_joints(build):
        waiting = [joint for joint in one.joints if wanted(joint)]
        if not waiting:
            continue
        question = question_about(one.ask.fact, one.ask.part.side)
        part = one.ask.part
        names = ", ".join(dict.fromkeys(joint.row.name for joint in waiting))
        words = worded(
            "Not known: {words} ({part_words}). It decides about {names}. {to_find_out}",
            words=question.words,
            part_words=part.words,
            names=names,
            to_find_out=to_find_out(question.ask),
        )
        critical = min(joint.row.critical for joint in waiting)
        found.append(
            JointQuestion(
                part.id, part.words, question, tuple(joint.name for joint in waiting), critical, words
            )
        )
    return tuple(sorted(found, key=lambda one: one.critical))
