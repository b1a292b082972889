"""What all parts of a joint accept together: marking before shop table before trade table."""

from collections.abc import Iterable
from math import inf, isfinite

from pinchbolt.engines.torque.refusals import ConflictInJoint, figure
from pinchbolt.engines.torque.safe_window import exact
from pinchbolt.engines.torque.torque_types import (
    Governs,
    JointSpec,
    JointWindow,
    LimitKind,
    TorqueMarking,
    TorqueRange,
)
from pinchbolt.errors import InputRefused, Unknown
from pinchbolt.values import Reason
from pinchbolt.values.about import percent
from pinchbolt.values.wording import coded, worded

# The aim keeps this far from either end, so that an ordinary tool has room: a little over the 6 % of a tested
# click wrench. Common practice, no source.
ROOM_FOR_THE_TOOL = 1.10
# A joint without a table whose only figure is a greatest value is tightened as near under it as a tested click
# wrench is sure to reach: (1 - 0.06) / (1 + 0.06) = 0.887, less a step of the scale.
NEAR_UNDER_A_LONE_MARKING = 0.85
# A maker's target without a range takes for granted a tool in its class, set to its scale. Common practice, no source.
EITHER_SIDE_OF_A_TARGET = 0.10
# Above this many times the table's greatest, a marking is asked about: 55 for 5.5. From memory.
SLIP_OF_THE_KEYPAD = 2.0

RULE = worded("every part must take it")
BY_CUSTOM = worded("common practice, no source")


def window(joint: JointSpec) -> JointWindow:
    """Return the torque that every part of *joint* accepts, where to aim, and which source decides each end.

    Cap = least of the greatest values; floor = greatest of the least values. A marked greatest value always counts.
    The table's greatest counts for every clamped part that has no marking of its own, and drops out once all have
    one. A marked least takes the table's place; without one the table's least stands.

    Args:
        joint: Table rows and markings of one joint. [N·m]

    Returns:
        Floor, cap and aim, what decides them, and what the table alone would have said. [N·m]

    Raises:
        InputRefused: A value is not finite, not above 0, or a range is reversed.
        ConflictInJoint: One source asks for more than another allows; both are named.
        Unknown: The table is no default for this joint and nothing could be read on its parts.

    Valid for: Joints tightened to a torque. Says nothing about preload, which depends on friction.

    Example:
        >>> bar = JointSpec("face", "stem face", ("stem", "handlebar"), TorqueRange(4.0, 6.0, 5.0, "shop list"),
        ...                  markings=(TorqueMarking("stem", 6.0, 4.0), TorqueMarking("handlebar", 5.0)))
        >>> answer = window(bar)
        >>> answer.floor, answer.cap, answer.cap_by.named
        (4.0, 5.0, "the handlebar's marking")

    Source: Trade rule, common practice, no source; the marking on the part and its maker's sheet win over any table.
    """
    _refuse_bad_values(joint)
    if joint.table_is_no_default and not joint.markings:
        raise Unknown(
            worded(
                "{name}: makers differ too much for a table value. Look up this frame or shock and "
                "enter its torque as a marking.",
                name=joint.name,
            )
        )
    cap_by = min(_greatest_values(joint), key=lambda limit: limit.value)
    floor_by = max(_least_values(joint, cap_by), key=lambda limit: limit.value)
    if floor_by.value > cap_by.value:
        raise _conflict(joint, floor_by, cap_by)
    aim = _aim(joint, floor_by.value, cap_by.value)
    table = _table(joint)
    return JointWindow(
        joint=joint.id,
        floor=floor_by.value,
        cap=cap_by.value,
        aim=aim,
        floor_by=floor_by,
        cap_by=cap_by,
        without_markings=(0.0, inf) if joint.table_is_no_default else (table.least, table.greatest),
        reasons=tuple(_reasons(joint, floor_by, cap_by, aim)),
        warnings=tuple(_slips(joint)),
    )


def _table(joint: JointSpec) -> TorqueRange:
    """The table in force: the shop's own row where it has one."""
    return joint.shop if joint.shop is not None else joint.trade


def _table_kind(joint: JointSpec) -> LimitKind:
    return "shop table" if joint.shop is not None else "trade table"


def _part(name: str) -> str:
    return name.strip().casefold()


def _limits(joint: JointSpec) -> list[TorqueMarking]:
    return [marking for marking in joint.markings if marking.means == "greatest"]


def _targets(joint: JointSpec) -> list[TorqueMarking]:
    return [marking for marking in joint.markings if marking.means == "target"]


def _unmarked(joint: JointSpec) -> list[str]:
    """Clamped parts without a greatest value of their own."""
    marked = {_part(marking.part) for marking in _limits(joint)}
    return [part for part in joint.parts if _part(part) not in marked]


def _greatest_values(joint: JointSpec) -> list[Governs]:
    """Every greatest value that binds. A bolt's marking binds, but speaks for no clamped part."""
    found = [_by_marking(marking, marking.greatest) for marking in _limits(joint)]
    if joint.table_is_no_default:
        found += [_by_target(m, m.greatest * (1 + EITHER_SIDE_OF_A_TARGET)) for m in _targets(joint)]
        return found
    # With no clamped part named there is nobody a marking could speak for, so the table stays in.
    if _unmarked(joint) or not joint.parts or not found:
        found.append(
            Governs(
                float(_table(joint).greatest),
                _table_kind(joint),
                worded("the {table}", table=coded(_table_kind(joint))),
            )
        )
    return found


def _least_values(joint: JointSpec, cap: Governs) -> list[Governs]:
    """Every least value that binds; the table's only where no marking gives one."""
    found = [_by_marking(marking, marking.least) for marking in _limits(joint) if marking.least is not None]
    if not joint.table_is_no_default:
        table = Governs(
            float(_table(joint).least),
            _table_kind(joint),
            worded("the {table}", table=coded(_table_kind(joint))),
        )
        return found or [table]
    found += [_by_target(m, m.greatest * (1 - EITHER_SIDE_OF_A_TARGET)) for m in _targets(joint)]
    share = worded(
        "{near_under_a_lone_marking} of {named}, because no least is given",
        near_under_a_lone_marking=percent(NEAR_UNDER_A_LONE_MARKING),
        named=cap.named,
    )
    return found or [Governs(cap.value * NEAR_UNDER_A_LONE_MARKING, cap.kind, share)]


def _by_marking(marking: TorqueMarking, value: float) -> Governs:
    return Governs(float(value), "marking", worded("the {part}'s marking", part=marking.part))


def _by_target(marking: TorqueMarking, value: float) -> Governs:
    return Governs(
        float(value),
        "marking",
        worded(
            "{either_side_of_a_target} either side of the {part}'s target",
            either_side_of_a_target=percent(EITHER_SIDE_OF_A_TARGET),
            part=marking.part,
        ),
    )


def _aim(joint: JointSpec, floor: float, cap: float) -> float:
    """The target where one is given, else the usual torque; kept off both ends, or mid-way in a narrow window."""
    targets = _targets(joint)
    for marking in targets:
        if not floor <= marking.greatest <= cap:
            raise ConflictInJoint(
                worded(
                    "{name}: the {part} names {marked} N·m as the value to use, but the joint accepts "
                    "{floor} to {cap} N·m. Read the markings and the makers' sheets of all parts "
                    "again; a person decides.",
                    name=joint.name,
                    part=marking.part,
                    marked=figure(marking.greatest),
                    floor=figure(floor),
                    cap=figure(cap),
                )
            )
    if targets:
        return float(min(marking.greatest for marking in targets))
    # In decimal fractions, so that an aim half-way between two marks of a scale stays half-way.
    room = exact(ROOM_FOR_THE_TOOL)
    low, high = exact(floor) * room, exact(cap) / room
    if low > high:
        return float((exact(floor) + exact(cap)) / 2)
    return float(min(max(exact(_usual(joint, floor, cap)), low), high))


def _usual(joint: JointSpec, floor: float, cap: float) -> float:
    """Where the joint is usually set: the table's word, or where no table may speak, mid-range or near a lone mark."""
    if not joint.table_is_no_default:
        return _table(joint).typical
    has_range = any(marking.least is not None for marking in _limits(joint))
    return (floor + cap) / 2 if has_range else cap


def _conflict(joint: JointSpec, floor: Governs, cap: Governs) -> ConflictInJoint:
    asked = worded("{named} asks for at least {figure} N·m", named=floor.named, figure=figure(floor.value))
    allowed = worded("{named} allows at most {figure} N·m", named=cap.named, figure=figure(cap.value))
    if floor.kind != "marking":
        way_out = worded(
            "The marking is not exceeded. Find the maker's least value and enter it as a range, "
            "or fit parts that go together; a person decides."
        )
    elif cap.kind != "marking":
        parts = worded(" and ").join(_unmarked(joint)) or worded("the other parts")
        way_out = worded("Find the marking or the maker's sheet for: {parts}; a person decides.", parts=parts)
    else:
        way_out = worded("Read both markings again and ask both makers; a person decides.")
    return ConflictInJoint(
        worded(
            "{name}: {asked}, but {allowed}, so no torque suits both. {way_out}",
            name=joint.name,
            asked=asked,
            allowed=allowed,
            way_out=way_out,
        )
    )


def _reasons(joint: JointSpec, floor: Governs, cap: Governs, aim: float) -> Iterable[Reason]:
    table, kind = _table(joint), _table_kind(joint)
    for marking in joint.markings:
        yield Reason(_words_of(marking), joint.id, worded("marking on the {part}", part=marking.part))
    if joint.table_is_no_default:
        yield Reason(worded("No table stands in for the maker's sheet on this joint."), joint.id, BY_CUSTOM)
    else:
        span = worded(
            "{least} to {greatest} N·m, usually {typical} N·m",
            least=figure(table.least),
            greatest=figure(table.greatest),
            typical=figure(table.typical),
        )
        yield Reason(
            worded(
                "The {kind} gives {span}; that is what would hold without markings.",
                kind=coded(kind),
                span=span,
            ),
            joint.id,
            table.source,
        )
    yield Reason(
        worded(
            "Highest {figure} N·m by {named}; lowest {floor_figure} N·m by {floor_named}: {rule}.",
            figure=figure(cap.value),
            named=cap.named,
            floor_figure=figure(floor.value),
            floor_named=floor.named,
            rule=RULE,
        )
    )
    yield from _what_the_table_still_does(joint, floor, cap)
    yield Reason(
        worded(
            "Aim {figure} N·m: near the usual torque, a tenth off either end where there is room.",
            figure=figure(aim),
        ),
        "",
        BY_CUSTOM,
    )


def _what_the_table_still_does(joint: JointSpec, floor: Governs, cap: Governs) -> Iterable[Reason]:
    """Say where the table still speaks for a part, and where a marking has set it aside."""
    if joint.table_is_no_default or not joint.markings:
        return
    table, kind = _table(joint), _table_kind(joint)
    unmarked = _unmarked(joint)
    if unmarked:
        yield Reason(
            worded(
                "No greatest value is known for: {unmarked}. The {kind}'s {figure} N·m stands in for "
                "it; a marking on another part does not lift it.",
                unmarked=", ".join(unmarked),
                kind=coded(kind),
                figure=figure(table.greatest),
            ),
            joint.id,
            table.source,
        )
    elif cap.kind == "marking" and cap.value > table.greatest:
        yield Reason(
            worded(
                "Every clamped part is marked, so the {kind}'s greatest, {figure} N·m, no longer counts.",
                kind=coded(kind),
                figure=figure(table.greatest),
            ),
            joint.id,
            table.source,
        )
    if floor.kind == "marking" and floor.value < table.least:
        yield Reason(
            worded(
                "{named} is content with less than the {kind}'s least, {figure} N·m.",
                named=floor.named.capitalize(),
                kind=coded(kind),
                figure=figure(table.least),
            ),
            joint.id,
            table.source,
        )


def _words_of(marking: TorqueMarking) -> str:
    if marking.means == "target":
        return worded(
            "The {part} names {figure} N·m as the value to use.",
            part=marking.part,
            figure=figure(marking.greatest),
        )
    if marking.least is None:
        return worded(
            "The {part} is marked {figure} N·m, read as the greatest value.",
            part=marking.part,
            figure=figure(marking.greatest),
        )
    return worded(
        "The {part} is marked {figure} to {marking_figure} N·m.",
        part=marking.part,
        figure=figure(marking.least),
        marking_figure=figure(marking.greatest),
    )


def _slips(joint: JointSpec) -> Iterable[str]:
    """Markings so far over the table that a slip is likelier than such a part; two of one part that differ."""
    top = _table(joint).greatest
    said: dict[str, list[TorqueMarking]] = {}
    for marking in _limits(joint):
        said.setdefault(_part(marking.part), []).append(marking)
    for several in said.values():
        figures = sorted({marking.greatest for marking in several})
        if len(figures) > 1:
            told = worded(" and ").join(figure(one) for one in figures)
            yield worded(
                "The {part} has markings of {told} N·m: the smallest counts. Read it again.",
                part=several[0].part,
                told=told,
            )
    for marking in joint.markings:
        if marking.greatest > SLIP_OF_THE_KEYPAD * top:
            yield (
                worded(
                    "The {part}'s marking is {marked} N·m: such a joint usually takes at most {top} "
                    "N·m. Was another value meant, or another unit? Read it again.",
                    part=marking.part,
                    marked=figure(marking.greatest),
                    top=figure(top),
                )
            )


def _refuse_bad_values(joint: JointSpec) -> None:
    for kind, table in (("trade table", joint.trade), ("shop table", joint.shop)):
        if table is None:
            continue
        ends = (table.least, table.typical, table.greatest)
        if not all(isfinite(end) for end in ends) or not 0 < table.least <= table.typical <= table.greatest:
            raise InputRefused(
                worded(
                    "{name}: the {kind}'s row is {least:g}, {typical:g}, {greatest:g} N·m: least, usual "
                    "and greatest rise in that order from above 0. Correct the row.",
                    name=joint.name,
                    kind=coded(kind),
                    least=table.least,
                    typical=table.typical,
                    greatest=table.greatest,
                )
            )
    for marking in joint.markings:
        if not isfinite(marking.greatest) or marking.greatest <= 0:
            raise InputRefused(
                worded(
                    "{name}: the {part}'s marking is {greatest:g} N·m: a torque is above 0. Read it again.",
                    name=joint.name,
                    part=marking.part,
                    greatest=marking.greatest,
                )
            )
        least = marking.least
        if least is not None and not 0 < least <= marking.greatest:
            raise InputRefused(
                worded(
                    "{name}: the {part}'s marking is {least:g} to {greatest:g} N·m: the least is above 0 "
                    "and not above the greatest. Read it again.",
                    name=joint.name,
                    part=marking.part,
                    least=least,
                    greatest=marking.greatest,
                )
            )
