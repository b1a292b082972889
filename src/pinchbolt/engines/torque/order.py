"""Working order of the torque sheet: what must come first does, with as few changes of tool or setting as can be."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from pinchbolt.engines.torque.fewest_runs import Runs, bits, fewest_runs
from pinchbolt.engines.torque.refusals import NoSafeSetting
from pinchbolt.engines.torque.safe_window import counts_as_untested, deviation_on, exact, exact_settings, grid
from pinchbolt.engines.torque.setting import best_setting, setting_at
from pinchbolt.engines.torque.torque_types import JointWindow, Setting, ToolSpec
from pinchbolt.engines.torque.window import BY_CUSTOM
from pinchbolt.errors import InputRefused
from pinchbolt.values import Reason
from pinchbolt.values.about import percent
from pinchbolt.values.wording import worded

# Sets of joints the search may look at. A sheet of forty joints needs a few hundred; this is about two seconds.
MOST_LOOKS = 60_000
# What sharing settings would save is worked out for joints that may be moved this far from their aim, and said: nothing is
# moved for it. Common practice, no source.
NEAR_THE_AIM = 0.05
LOOKS_TO_SAY_WHAT_IS_SAVED = 2_000
# Rounds of moving joints to the run whose setting is nearer their aim; it settles in two or three.
ROUNDS = 4

Ranges = Mapping[int, tuple[Fraction, Fraction]]


@dataclass(frozen=True, slots=True)
class OnSheet:
    """A joint on the sheet. `window` None: by hand and feel. `row` names the table's joint, `end` front or rear.

    `may_move`: its setting may be shared a little off its aim; never where its failure throws the rider, or where a
    maker names the value to use.
    """

    id: str
    window: JointWindow | None
    row: str = ""
    end: str = ""
    drive: str = ""
    may_move: bool = False


@dataclass(frozen=True, slots=True)
class Before:
    """A rule of order: each joint of `first` comes before each of `then`, at the same end of the bike. Words say why.

    Joints are named by the rows of the joints table; `end` "front" or "rear" holds the rule to that end.
    """

    id: str
    first: tuple[str, ...]
    then: tuple[str, ...]
    words: str
    source: str
    end: str = ""


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line in working order. `setting` None: by hand, or `refused` says why no tool is safe."""

    joint: str
    setting: Setting | None
    new_setting: bool
    refused: str = ""


@dataclass(frozen=True, slots=True)
class SheetOrder:
    """The sheet in working order. `settings` counts how often a tool is taken up or set: never under `at_least`."""

    lines: tuple[SheetLine, ...]
    settings: int
    at_least: int
    proven: bool
    reasons: tuple[Reason, ...]


@dataclass(slots=True)
class _Run:
    """Joints done with one tool at one setting; tool None for those by hand."""

    joints: list[int]
    tool: ToolSpec | None = None
    shown: Fraction = Fraction(0)


def sheet_order(
    joints: Sequence[OnSheet],
    before: Sequence[Before],
    tools: Sequence[ToolSpec],
    today: date,
    most_looks: int = MOST_LOOKS,
    from_aim: float = 0.0,
) -> SheetOrder:
    """Return the sheet in working order with the fewest changes of setting, and whether fewer are impossible.

    Each joint has the setting that it has by itself, so that it has the same one on every sheet; those alike are done
    together where the order allows. With *from_aim*, joints that may be moved share a setting so far off their aim; each
    stays inside its own window at both ends of the tool's deviation.

    Args:
        joints: Joints of the sheet, in the order of the table. [N·m]
        before: Rules of order; rules about joints that are not on the sheet are passed over. [-]
        tools: Torque tools at hand. [N·m]
        today: Day of use. [date]
        most_looks: Sets of joints to look at before giving the best known. [-]
        from_aim: How far a shared setting may be from the aim of a joint, relative; 0 for none. [-]

    Returns:
        Lines in working order, number of settings, what no order can beat, and why. [N·m]

    Raises:
        InputRefused: Two joints of one id, rules that go in a circle, or a distance from the aim outside 0 to 1.

    Valid for: Sheets of up to forty joints are proved nearly always; `proven` says so. Changes of bit are put together
        where the order allows and are not counted.

    Source: Rules of order: their own rows. Search: see `fewest_runs`.
    """
    if not 0 <= from_aim <= 1:
        raise InputRefused(
            worded(
                "distance from the aim is {from_aim:g}: it is from 0 to 1. Write 5 % as 0.05.",
                from_aim=from_aim,
            )
        )
    earlier = _earlier(joints, before)
    ranges = _ranges(joints, tools, today, from_aim)
    found = _fewest(ranges, earlier, most_looks)
    runs = [_Run(list(bits(taken))) for taken in found.taken]
    _settle(runs, joints, earlier, ranges, tools, today)
    lines = _lines(runs, joints, earlier, tools, today)
    settings = sum(line.new_setting for line in lines)
    told = _reasons(joints, before, found, settings, tools, today)
    if not from_aim:
        told += _saved(joints, earlier, settings, tools, today)
    return SheetOrder(lines, settings, found.at_least, found.proven, tuple(told))


def _fewest(ranges: Sequence[Ranges], earlier: Sequence[int], most_looks: int) -> Runs:
    labels = _labels(ranges)
    borne = 0
    for label in labels:
        borne |= label
    everything = (1 << len(earlier)) - 1
    return fewest_runs(labels, earlier, everything & ~borne, most_looks)


def _saved(
    joints: Sequence[OnSheet], earlier: Sequence[int], settings: int, tools: Sequence[ToolSpec], today: date
) -> list[Reason]:
    """What moving the joints that may be moved would save; it is said, and nothing is moved."""
    if not any(joint.may_move for joint in joints):
        return []
    found = _fewest(_ranges(joints, tools, today, NEAR_THE_AIM), earlier, LOOKS_TO_SAY_WHAT_IS_SAVED)
    fewer = sum(label >= 0 for label in found.labels)
    if fewer >= settings:
        return []
    words = worded(
        "Each joint has the setting that it has by itself. {fewer} settings would do if "
        "those that can't throw the rider were set up to {near_the_aim} off their aim; none "
        "is moved for that.",
        fewer=fewer,
        near_the_aim=percent(NEAR_THE_AIM),
    )
    return [Reason(words, "", BY_CUSTOM)]


def _rules_met(joints: Sequence[OnSheet], before: Sequence[Before]) -> list[tuple[int, int, Before]]:
    """Rules about joints on this sheet, as places. A joint without an end belongs to both ends."""
    rows: dict[str, list[int]] = {}
    for place, joint in enumerate(joints):
        rows.setdefault(joint.row or joint.id, []).append(place)
    return [
        (a, b, rule)
        for rule in before
        for a in _places(rows, rule.first)
        for b in _places(rows, rule.then)
        if a != b and len({joints[a].end, joints[b].end, rule.end} - {""}) <= 1
    ]


def _places(rows: Mapping[str, list[int]], wanted: Sequence[str]) -> list[int]:
    return [place for row in wanted for place in rows.get(row, ())]


def _earlier(joints: Sequence[OnSheet], before: Sequence[Before]) -> list[int]:
    """For each joint the joints that come before it, as bits; a circle is refused."""
    if len({joint.id for joint in joints}) < len(joints):
        raise InputRefused(
            worded(
                "two joints on the sheet have the same id: each joint is on it once. Name the end, "
                "front or rear."
            )
        )
    earlier = [0] * len(joints)
    for a, b, _ in _rules_met(joints, before):
        earlier[b] |= 1 << a
    done = 0
    while True:
        open_now = [j for j in range(len(joints)) if not done >> j & 1 and not earlier[j] & ~done]
        if not open_now:
            break
        for joint in open_now:
            done |= 1 << joint
    stuck = [joints[j].id for j in range(len(joints)) if not done >> j & 1]
    if stuck:
        raise InputRefused(
            worded(
                "rules of order go in a circle through {stuck}: one must come first. Correct the table.",
                stuck=", ".join(stuck),
            )
        )
    return earlier


def _ranges(
    joints: Sequence[OnSheet], tools: Sequence[ToolSpec], today: date, from_aim: float
) -> list[dict[int, tuple[Fraction, Fraction]]]:
    """For each tool the settings each joint may be done at: its own best one, and where it may move those near its aim."""
    found: list[dict[int, tuple[Fraction, Fraction]]] = [{} for _ in tools]
    for place, joint in enumerate(joints):
        window = joint.window
        own = None if window is None else _own(window, tools, today)
        if window is None or own is None:
            continue
        number, shown = own
        found[number][place] = (shown, shown)
        if joint.may_move and from_aim:
            for other, span in _near(window, tools, today, from_aim, like=tools[number]):
                low, high = found[other].get(place, span)
                found[other][place] = (min(low, span[0]), max(high, span[1]))
    return found


def _own(window: JointWindow, tools: Sequence[ToolSpec], today: date) -> tuple[int, Fraction] | None:
    """The tool and the setting that a joint has by itself; None where none is safe."""
    try:
        best = best_setting(window, tools, today)
    except NoSafeSetting:
        return None
    return next(number for number, tool in enumerate(tools) if tool.id == best.tool), exact(best.set)


def _near(
    window: JointWindow, tools: Sequence[ToolSpec], today: date, from_aim: float, like: ToolSpec
) -> Iterator[tuple[int, tuple[Fraction, Fraction]]]:
    """Safe settings near the aim of a joint, of every tool that is tested where its own is."""
    aim, share = exact(window.aim), exact(from_aim)
    for number, tool in enumerate(tools):
        if counts_as_untested(tool, today) != counts_as_untested(like, today):
            continue
        span = exact_settings(exact(window.floor), exact(window.cap), tool, today)
        if span is None:
            continue
        closer = grid(tool).within(max(span[0], aim * (1 - share)), min(span[1], aim * (1 + share)))
        if closer is not None:
            yield number, closer


def _labels(ranges: Sequence[Ranges]) -> list[int]:
    """Joints served by each setting worth a look: any other may be raised to the lowest upper end and lose none."""
    return [
        sum(1 << place for place, (low, high) in spans.items() if low <= shown <= high)
        for spans in ranges
        for shown in sorted({high for _, high in spans.values()})
    ]


def _settle(
    runs: list[_Run],
    joints: Sequence[OnSheet],
    earlier: Sequence[int],
    ranges: Sequence[Ranges],
    tools: Sequence[ToolSpec],
    today: date,
) -> None:
    """Choose tool and setting of each run nearest the aims of its joints, and move joints to nearer runs, in turns."""
    for _ in range(ROUNDS):
        for run in runs:
            _choose(run, joints, ranges, tools, today)
        if not _move(runs, joints, earlier, ranges, tools):
            return
    for run in runs:
        _choose(run, joints, ranges, tools, today)


def _choose(
    run: _Run, joints: Sequence[OnSheet], ranges: Sequence[Ranges], tools: Sequence[ToolSpec], today: date
) -> None:
    """Put *run* on the tool in date, and the setting, with the least sum of relative distances from the aims."""
    able = [place for place in run.joints if any(place in spans for spans in ranges)]
    if not able:
        return
    best: tuple[bool, float, float, int, Fraction] | None = None
    for number, tool in enumerate(tools):
        if not all(place in ranges[number] for place in able):
            continue
        scale = grid(tool)
        low = max(ranges[number][place][0] for place in able)
        high = min(ranges[number][place][1] for place in able)
        span = scale.within(low, high) if low <= high else None
        if span is None:
            continue
        for shown in sorted({scale.nearest(exact(_aim(joints[place])), *span) for place in able}):
            away = sum(_away(joints[place], shown) for place in able)
            way = (counts_as_untested(tool, today), away, deviation_on(tool, today), number, shown)
            best = way if best is None or way < best else best
    assert best is not None  # the label that made this run is such a setting
    run.tool, run.shown = tools[best[3]], best[4]


def _aim(joint: OnSheet) -> float:
    assert joint.window is not None  # only joints with a window have a range of settings
    return joint.window.aim


def _away(joint: OnSheet, shown: Fraction) -> float:
    """Relative distance of a setting from a joint's aim."""
    return abs(float(shown) - _aim(joint)) / _aim(joint)


def _move(
    runs: list[_Run],
    joints: Sequence[OnSheet],
    earlier: Sequence[int],
    ranges: Sequence[Ranges],
    tools: Sequence[ToolSpec],
) -> bool:
    """Move joints to a run set safely and nearer their aim, where the order allows. True if any moved."""
    at = {place: number for number, run in enumerate(runs) for place in run.joints}
    moved = False
    for place in sorted(at):
        here = at[place]
        if (
            runs[here].tool is None
            or len(_with_range(runs[here], ranges)) < 2
            or not any(place in s for s in ranges)
        ):
            continue
        first = max((at[other] for other in bits(earlier[place])), default=0)
        last = min((at[other] for other in at if earlier[other] >> place & 1), default=len(runs) - 1)
        best = here
        for number in range(first, last + 1):
            if _bears(runs[number], place, ranges, tools) and _away(
                joints[place], runs[number].shown
            ) < _away(joints[place], runs[best].shown):
                best = number
        if best != here:
            runs[here].joints.remove(place)
            runs[best].joints.append(place)
            at[place] = best
            moved = True
    return moved


def _with_range(run: _Run, ranges: Sequence[Ranges]) -> list[int]:
    return [place for place in run.joints if any(place in spans for spans in ranges)]


def _bears(run: _Run, place: int, ranges: Sequence[Ranges], tools: Sequence[ToolSpec]) -> bool:
    if run.tool is None:
        return False
    span = ranges[tools.index(run.tool)].get(place)
    return span is not None and span[0] <= run.shown <= span[1]


def _lines(
    runs: Sequence[_Run],
    joints: Sequence[OnSheet],
    earlier: Sequence[int],
    tools: Sequence[ToolSpec],
    today: date,
) -> tuple[SheetLine, ...]:
    """Joints in order: run by run, what must come first first, one bit after the other."""
    lines: list[SheetLine] = []
    done, bit = 0, ""
    for run in runs:
        left, fresh = sorted(run.joints), True
        while left:
            open_now = [place for place in left if not earlier[place] & ~done]
            place = next((one for one in open_now if joints[one].drive == bit), open_now[0])
            left.remove(place)
            done |= 1 << place
            bit = joints[place].drive
            line = _line(joints[place], run, fresh, tools, today)
            fresh = fresh and line.setting is None
            lines.append(line)
    return tuple(lines)


def _line(joint: OnSheet, run: _Run, fresh: bool, tools: Sequence[ToolSpec], today: date) -> SheetLine:
    if joint.window is None:
        return SheetLine(joint.id, None, False)
    if run.tool is not None:
        setting = setting_at(joint.window, run.tool, run.shown, today)
        if setting is not None:
            return SheetLine(joint.id, setting, fresh)
    try:
        best_setting(joint.window, tools, today)
    except NoSafeSetting as refused:
        return SheetLine(joint.id, None, False, refused.sentence)
    raise AssertionError("a joint with a safe setting is in a run that has one")  # pragma: no cover


def _reasons(
    joints: Sequence[OnSheet],
    before: Sequence[Before],
    found: Runs,
    settings: int,
    tools: Sequence[ToolSpec],
    today: date,
) -> list[Reason]:
    one_each = _as_listed(joints, tools, today)
    proof = (
        worded("fewer are not possible")
        if found.proven
        else worded("at least {at_least} are needed; the search was cut short", at_least=found.at_least)
    )
    told = [
        Reason(
            worded(
                "{settings} settings for {joints} joints, {one_each} if each were done as listed at "
                "its own best setting; {proof}.",
                settings=settings,
                joints=len(joints),
                one_each=one_each,
                proof=proof,
            ),
            "",
            worded("search over the joints done, see docs/methods/torque.md"),
        )
    ]
    seen = {rule.id: rule for _, _, rule in _rules_met(joints, before)}
    told += [Reason(rule.words, rule.id, rule.source) for rule in seen.values()]
    return told


def _as_listed(joints: Sequence[OnSheet], tools: Sequence[ToolSpec], today: date) -> int:
    """Settings it would take joint by joint as listed, each at its own best setting."""
    last: tuple[str, float] | None = None
    count = 0
    for joint in joints:
        if joint.window is None:
            continue
        try:
            best = best_setting(joint.window, tools, today)
        except NoSafeSetting:
            continue
        if (best.tool, best.set) != last:
            count += 1
            last = (best.tool, best.set)
    return count
