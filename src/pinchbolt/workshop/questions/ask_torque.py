"""What a joint of the table accepts with what is marked on its parts, and which tool of this workshop to set where."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from pinchbolt.engines.build import Build, FactValue, JointFigures, JointOn, PartOn, figures_of
from pinchbolt.engines.torque import (
    JointSpec,
    JointWindow,
    Setting,
    TorqueMarking,
    TorqueRange,
    best_setting,
    parse_marking,
    window,
)
from pinchbolt.errors import InputRefused, NoSafeAnswer, Unknown
from pinchbolt.reference.rows.condition import word_of
from pinchbolt.reference.rows.joints import JointRow
from pinchbolt.reference.rows.kinds import PartKind
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.checks import number
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.tools.tool_board import torque_tools
from pinchbolt.workshop.torque.bolt_read import BoltView, bolt_view
from pinchbolt.workshop.torque.joint_windows import (
    asked_of_figures,
    has_no_torque,
    joint_row,
    why_these_figures,
)


@dataclass(frozen=True, slots=True)
class JointAnswer:
    """What a joint accepts and why, the tool of this workshop to take, and what that buys in its bolt. [N·m]

    `bolt` is None where the joint's thread is none of the metric ones of the table.
    """

    window: JointWindow
    setting: Setting
    bolt: BoltView | None


def as_printed(part: str, text: str) -> TorqueMarking:
    """Return what is printed on a part: the greatest or only value, and the least of a range, in N·m.

    Raises:
        InputRefused: No number, an unknown unit, or a range upside down.
    """
    return parse_marking(part, text)


def markings_by_part(
    greatest: Mapping[str, float], least: Mapping[str, float], target: Mapping[str, float]
) -> tuple[TorqueMarking, ...]:
    """Return what is marked on a joint's parts: greatest or only values, least values, and named targets. [N·m]

    Raises:
        InputRefused: A least value without a greatest one.
    """
    lonely = [part for part in least if part not in greatest]
    if lonely:
        sentence = worded(
            "The {lonely} has a least value alone: a range has a greatest one too. Read it again.",
            lonely=lonely[0],
        )
        raise InputRefused(sentence, {"marking": sentence})
    limits = (TorqueMarking(part, most, least.get(part)) for part, most in greatest.items())
    return (*limits, *(TorqueMarking(part, value, means="target") for part, value in target.items()))


@dataclass(frozen=True, slots=True)
class JointRequest:
    """A joint of the table, what is marked on its parts, and what is known of them and of its bolt. [N·m]

    `facts` are those of its parts, as "seat post.material": "aluminium"; a kind of part alone ("dropper post": "") says that
    it is there. Of what is not told the lowest figures hold.
    """

    joint: str
    markings: tuple[TorqueMarking, ...] = ()
    property_class: str = ""
    preparation: str = ""
    thread: str = ""
    facts: Mapping[str, str] = field(default_factory=dict)


def joint_setting(request: JointRequest, today: date) -> JointAnswer:
    """Return what a joint of the table accepts with these markings, the tool here to take, and what it buys.

    Several markings of one part all count: the smallest greatest value is the cap.

    Raises:
        InputRefused: The joint is not in the table, a part or fact is not in it, or a marking is out of sense.
        NoSafeAnswer: The markings disagree, no tool here is fine enough, or no torque tool is for this joint.
        Unknown: Only the maker's figure would do.
    """
    row = joint_row(request.joint)
    if has_no_torque(row):
        raise NoSafeAnswer(
            worded(
                "{name} takes no torque tool: {pattern}. Close it so; there is nothing to set.",
                name=row.name,
                pattern=row.pattern,
            )
        )
    _refuse_bad_markings(row, request.markings)
    figures = _figures(row, request)
    table = TorqueRange(figures.low, figures.high, figures.typical, figures.source)
    shop = table if figures.from_shop else None
    asked = JointSpec(row.id, row.name, row.parts, table, shop, request.markings, figures.makers_figure_only)
    asks = asked_of_figures(figures)
    try:
        found = window(asked)
    except Unknown as refusal:
        raise Unknown(" ".join((refusal.sentence, *asks))) from None
    found = replace(
        found, reasons=(*why_these_figures(figures), *found.reasons), warnings=(*asks, *found.warnings)
    )
    setting = best_setting(found, torque_tools(), today)
    thread = request.thread or row.thread
    bolt = bolt_view(
        row.name, thread, request.property_class, figures.prep, request.preparation, setting.applies
    )
    return JointAnswer(found, setting, bolt)


def _refuse_bad_markings(row: JointRow, markings: Iterable[TorqueMarking]) -> None:
    for one in markings:
        if one.part not in row.parts:
            sentence = worded(
                '"{part}" is not clamped by {name}: {parts}. Choose one.',
                part=one.part[:40],
                name=row.name,
                parts=", ".join(row.parts),
            )
            raise InputRefused(sentence, {"marking": sentence})
        for value in (one.greatest, one.least):
            if value is not None:
                number(value, "marking", worded("The marking on the {part}", part=one.part), 0.1, 120, "N·m")


def _figures(row: JointRow, request: JointRequest) -> JointFigures:
    """The figures that hold for parts of which only this is known."""
    known = tables()
    if request.thread and request.thread not in known.threads:
        sentence = worded(
            'thread is "{thread}": {threads}. Choose one.',
            thread=request.thread[:20],
            threads=", ".join(known.threads),
        )
        raise InputRefused(sentence, {"thread": sentence})
    told: dict[str, dict[str, FactValue]] = {kind: {} for kind in (row.on[0], *row.parts)}
    for name, value in request.facts.items():
        kind, _, fact = name.partition(".")
        there = known.kinds.get(kind.strip())
        asked = known.facts.get(fact.strip())
        if there is None or (fact and (asked is None or asked.id not in there.facts)):
            sentence = worded(
                '"{name}" is no fact of a part: write it as "seat post.material".', name=name[:60]
            )
            raise InputRefused(sentence, {"facts": sentence})
        if asked is not None and asked.one_of and value not in {word_of(one) for one in asked.one_of}:
            words = ", ".join(word_of(one) for one in asked.one_of)
            sentence = worded(
                '{name} is "{value}": {words}. Choose one.', name=name, value=value[:30], words=words
            )
            raise InputRefused(sentence, {"facts": sentence})
        facts = told.setdefault(there.id, {})
        if asked is not None:
            facts[asked.id] = FactValue(value, "owner's word")
    parts = tuple(
        PartOn(number, known.kinds[kind], _an_end(known.kinds[kind]), facts)
        for number, (kind, facts) in enumerate(told.items(), start=1)
    )
    return figures_of(Build(known, "road", parts), JointOn(row.id, row, parts[0]), request.thread)


def _an_end(kind: PartKind) -> str:
    return "front" if kind.ends == "each" else ""
