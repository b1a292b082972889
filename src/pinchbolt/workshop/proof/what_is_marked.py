"""What can be read off a photo at a bike: torque at the joints of its sheet, limits of its parts, facts, classes of bolts."""

from collections.abc import Iterator
from dataclasses import dataclass

from pinchbolt.engines.build import Build, PartOn
from pinchbolt.errors import NotFound
from pinchbolt.records.models import Job
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.build_view import limits_to_mark
from pinchbolt.workshop.bikes.part_questions import question_about
from pinchbolt.workshop.common.table_words import joint_name
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.torque.bolt_read import property_classes, thread_read
from pinchbolt.workshop.torque.joint_windows import figures_here, joint_on, joint_row, kinds_clamped
from pinchbolt.workshop.torque.torque_sheet import joints_of

TORQUE, LIMIT, FACT, CLASS = "torque", "limit", "fact", "class"
# A marking this far under or over what the table has for a joint is doubted when it is read, never refused. Own choice.
_UNDER, _OVER = 0.25, 2.5


@dataclass(frozen=True, slots=True)
class MarkTarget:
    """One thing that may be marked: `of` is a joint or a part's id, `name` the part's word, the row of the limits, or the fact.

    `reads_as` is the kind of marking, `unit` what is typed; `usual` its range, None where none is known. `is_text`: a size or
    another word; `picks` are all answers where there are few.
    """

    what: str
    of: str
    name: str
    words: str
    reads_as: str
    unit: str
    usual: tuple[float, float] | None = None
    is_text: bool = False
    picks: tuple[str, ...] = ()

    @property
    def asked(self) -> dict[str, str]:
        """What names it in an address or a form."""
        return {"what": self.what, "of": self.of, "name": self.name}


def targets_of(job: Job) -> tuple[tuple[str, tuple[MarkTarget, ...]], ...]:
    """Return all that may be marked at a job's bike, in groups."""
    build = build_of(job.bike)
    joints = [one for name in joints_of(job, build) for one in _at_joint(job, build, name)]
    groups = (
        (worded("torque at the joints of the sheet"), tuple(one for one in joints if one.what == TORQUE)),
        (worded("limits of parts"), tuple(one for part in build.parts for one in _limits(build, part))),
        (
            worded("sizes, pressures and diameters"),
            tuple(one for part in build.parts for one in _facts(part)),
        ),
        (worded("classes of bolts"), tuple(one for one in joints if one.what == CLASS)),
    )
    return tuple((words, found) for words, found in groups if found)


def target_of(job: Job, what: str, of: str, name: str) -> MarkTarget:
    """Return one thing that may be marked.

    Raises:
        NotFound: Nothing of that name is at this bike.
        InputRefused: The joint is in no table.
    """
    build = build_of(job.bike)
    found: Iterator[MarkTarget]
    if what in (TORQUE, CLASS):
        found = _at_joint(job, build, of)
    else:
        parts = [part for part in build.parts if str(part.id) == of]
        found = (one for part in parts for one in (*_limits(build, part), *_facts(part)))
    target = next((one for one in found if (one.what, one.name) == (what, name)), None)
    if target is None:
        raise NotFound(
            worded(
                "Nothing of {tag} is marked like that: it may be off the bike by now. Choose from the list.",
                tag=job.bike.tag,
            )
        )
    return target


def _at_joint(job: Job, build: Build, joint: str) -> Iterator[MarkTarget]:
    row = joint_row(joint)
    on = joint_on(build, joint)
    figures = figures_here(on, build, row, thread_read(job.bike, joint))
    usual = None if figures.makers_figure_only else (_UNDER * figures.low, _OVER * figures.high)
    named = joint_name(joint)
    for word in kinds_clamped(on, build, row):
        yield MarkTarget(
            TORQUE,
            joint,
            word,
            worded("{named}: torque on the {word}", named=named, word=word),
            "torque",
            "N·m",
            usual,
        )
    if row.thread:
        words = worded("{named}: class on the bolt's head", named=named)
        yield MarkTarget(CLASS, joint, "", words, "bolt-class", "", None, True, property_classes())


def _limits(build: Build, part: PartOn) -> Iterator[MarkTarget]:
    for can in limits_to_mark(build, part):
        read = tables().limits[can.limit].marked_as
        if read:
            words = f"{part.words}: {can.words}, {can.binds}"
            yield MarkTarget(LIMIT, str(part.id), can.limit, words, read, can.unit, can.usual)


def _facts(part: PartOn) -> Iterator[MarkTarget]:
    for name in part.kind.facts:
        row = tables().facts.get(name)
        if row is None or not row.marked_as:
            continue
        asked = question_about(row, part.side)
        words = f"{part.words}: {row.name}"
        is_text = row.text or bool(asked.choices)
        yield MarkTarget(
            FACT, str(part.id), name, words, row.marked_as, asked.unit, None, is_text, asked.choices
        )
