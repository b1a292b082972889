"""What a joint of a bike accepts: by its parts, its bolt and the markings on them."""

from collections.abc import Iterable, Iterator

from pinchbolt.engines.build import Build, JointFigures, JointOn, clamped_by, figures_of, lowest_figures
from pinchbolt.engines.build import joints_of as joints_of_build
from pinchbolt.engines.torque import JointSpec, JointWindow, Setting, TorqueRange, weak_keys, window
from pinchbolt.engines.torque import TorqueMarking as MarkingAskedOf
from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Bike, Marking
from pinchbolt.reference.rows.joints import JointCase, JointRow
from pinchbolt.values import Reason
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.joint_names import joint_id
from pinchbolt.workshop.bikes.opened_joints import to_find_out
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.tools.check_tool import key_limits
from pinchbolt.workshop.torque._markings import markings_at
from pinchbolt.workshop.torque.bolt_read import thread_read

_FINGER_TIGHT = 1.0  # N·m


def joint_row(joint: str) -> JointRow:
    """Return the joints-table row of a joint's name on a bike."""
    row = tables().joints.get(joint_id(joint))
    if row is None:
        sentence = worded(
            'The joint "{joint}" is not in the table. Choose one from the list of joints.', joint=joint[:40]
        )
        raise InputRefused(sentence, {"joint": sentence})
    return row


def joint_on(build: Build, name: str) -> JointOn | None:
    """Return a joint of a bike by its name, or None where the build sheet brings none of that name."""
    return next((one for one in joints_of_build(build) if one.name == name), None)


def kinds_clamped(joint: JointOn | None, build: Build, row: JointRow) -> tuple[str, ...]:
    """Return the kinds of part that a joint clamps on this bike; all that its row names where it is not on the build sheet."""
    if joint is None:
        return row.parts
    there = clamped_by(build, joint)
    return tuple(kind for kind in row.parts if any(kind in build.stands_for(part) for part in there))


def figures_here(joint: JointOn | None, build: Build, row: JointRow, thread: str) -> JointFigures:
    """Return the figures that hold for a joint of this bike; the lowest of all where it is not on the build sheet."""
    return lowest_figures(build.tables, row) if joint is None else figures_of(build, joint, thread)


def joint_window(name: str, bike: Bike, build: Build | None = None) -> JointWindow:
    """Return what all parts of this joint on this bike accept together; *build* where it was read before.

    Raises:
        NoSafeAnswer: The parts disagree.
        Unknown: Only the maker's figure would do, and it was not read.
    """
    there = build_of(bike) if build is None else build
    row, joint = joint_row(name), joint_on(there, name)
    figures = figures_here(joint, there, row, thread_read(bike, name))
    return window_by(figures, kinds_clamped(joint, there, row), markings_at(bike, name))


def window_by(figures: JointFigures, parts: tuple[str, ...], marked: list[Marking]) -> JointWindow:
    """Return what parts accept together by these figures and these markings."""
    row = figures.row
    table = TorqueRange(figures.low, figures.high, figures.typical, figures.source)
    read = tuple(one for marking in marked for one in _as_read(marking, parts))
    # A marking by a word that the table does not have for this joint limits it all the same.
    others = dict.fromkeys(one.part for one in read if one.part not in parts)
    return window(
        JointSpec(
            id=row.id,
            name=row.name,
            parts=(*parts, *others),
            trade=table,
            shop=table if figures.from_shop else None,
            markings=read,
            table_is_no_default=figures.makers_figure_only,
        )
    )


def _as_read(marking: Marking, parts: tuple[str, ...]) -> Iterator[MarkingAskedOf]:
    """A marking as the torque engine takes it: what limits, and apart from it what is only named as the value to use."""
    kind = marking.on_part.kind if marking.on_part is not None else ""
    word = kind if marking.part not in parts and kind in parts else marking.part
    if marking.greatest is not None:
        yield MarkingAskedOf(word, marking.greatest, marking.least)
    if marking.target is not None:
        yield MarkingAskedOf(word, marking.target, means="target")


def why_these_figures(figures: JointFigures) -> tuple[Reason, ...]:
    """Return which case of the table counts, where it is not the joint's own row."""
    case = figures.case
    if case is None:
        return ()
    sure = "" if figures.sure else worded(", which nobody has ruled out")
    said = (
        worded("no figure but the maker's")
        if case.makers_figure_only
        else worded("{low:g} to {high:g} N·m", low=case.low, high=case.high)
    )
    return (Reason(f"{case.words[0].upper()}{case.words[1:]}{sure}: {said}.", case.id, case.source),)


def asked_of_figures(figures: JointFigures) -> tuple[str, ...]:
    """Return what is not known and holds the figures down, and what would free them."""
    if not figures.asks and not figures.threads:
        return ()
    if figures.makers_figure_only:
        taken = worded("only the maker's figure will do meanwhile")
    else:
        taken = worded(
            "the lowest figures hold meanwhile, {low:g} to {high:g} N·m", low=figures.low, high=figures.high
        )
    facts = [f"{ask.fact.name} ({ask.part.words})" for ask in figures.asks]
    how = [ask.fact.ask or worded("look at the part") for ask in figures.asks]
    if figures.threads:
        facts.append(worded("the thread of the bolt"))
        how.append(
            worded(
                "measure the bolt ({threads}, or the usual {thread})",
                threads=" or ".join(figures.threads),
                thread=figures.row.thread,
            )
        )
    return (
        worded(
            "Not known: {facts}; {taken}. To find out: {fromkeys}.",
            facts=worded(" and ").join(facts),
            taken=taken,
            fromkeys="; ".join(dict.fromkeys(how)),
        ),
    )


def cases_of(row: JointRow) -> tuple[JointCase, ...]:
    """Return the cases of a joint."""
    return tables().cases_of.get(row.id, ())


def weak_at(setting: Setting, drives: Iterable[str]) -> tuple[str, ...]:
    """Return a warning for each key that is the weak part at what the bolt may get."""
    keys = {
        drive: limits
        for tool in tables().tools.values()
        if (limits := key_limits(tool)) is not None
        for drive in tool.covers
    }
    return weak_keys(setting.applies.high, tuple(drives), keys)


def is_by_hand(found: JointWindow) -> bool:
    """Return whether a joint takes so little torque that it is done by hand: 1 N·m at most (pad pins, preload caps, covers).

    Common practice, no source; its lock (clip, threadlock, pinch bolt) is what holds it.
    """
    return found.cap <= _FINGER_TIGHT


def has_no_torque(row: JointRow) -> bool:
    """Return whether no torque tool is for this joint: a lever or a knurled nut, or the tension of a spoke."""
    return row.closed_by != "torque"


def known_drives(row: JointRow, read: Iterable[str]) -> tuple[str, ...]:
    """Return what turns a joint: the head that was read on it, or every usual one of the table."""
    return tuple(one for one in read if one) or row.drive


def unknown_of(joint: JointOn | None) -> tuple[str, ...]:
    """Return what is not known of a joint's parts, and what is done meanwhile."""
    if joint is None:
        return ()
    return tuple(
        worded(
            "{name} ({words}) is not known: {row_name} stands in, which no part can object to. {to_find_out}",
            name=ask.fact.name,
            words=ask.part.words,
            row_name=joint.row.name,
            to_find_out=to_find_out(ask.fact.ask),
        )
        for ask in joint.asks
    )
