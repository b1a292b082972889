"""Which tools go into the bag: the fewest, lightest or cheapest that cover the joints of a file, or of bikes on record."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path

from pinchbolt.engines.build import Build
from pinchbolt.engines.kits import Aim, CoverJoint, CoverTool, Kit, Swap, lost_without
from pinchbolt.engines.kits import choose_kit as kit_of
from pinchbolt.engines.torque import Governs, JointWindow, coverage
from pinchbolt.errors import InputRefused, NoSafeAnswer, Unknown
from pinchbolt.records.models import Bike
from pinchbolt.records.models import Tool as ToolOnBoard
from pinchbolt.values import Reason
from pinchbolt.values.money import figure_text
from pinchbolt.values.tool_words import any_of
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import bike_by_tag, money_of_shop
from pinchbolt.workshop.acts.state import jobs_here
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.joint_names import joint_end, joint_id, joint_names
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.tools.tool_board import torque_tools
from pinchbolt.workshop.torque._kit_files import (
    BY_HAND,
    KitJoint,
    KitTool,
    read_joints,
    read_tools,
    tool_of_table,
)
from pinchbolt.workshop.torque.bolt_read import head_read
from pinchbolt.workshop.torque.joint_windows import (
    has_no_torque,
    is_by_hand,
    joint_row,
    joint_window,
    known_drives,
)

LEAST: Mapping[str, Aim] = {"count": "count", "mass": "grams", "price": "price"}
ALL = "all"
TORQUE = ("critical", "every", "none")
TOOLS = ("board", "table")
MOST_BIKES = 40
_ON_FLATS = ("spanner", "crowfoot")
Written = Callable[[Decimal], str]
"""How a price is said: in the shop's money, or as a file has it, which names no currency."""


@dataclass(frozen=True, slots=True)
class KitRequest:
    """Bikes by tag, which of their joints, what is to be least, which of them are kept to a torque, out of which tools.

    `choose` is "all" or a row of the table of joint choices; `torque` "critical" (those whose failure can throw the
    rider), "every" or "none"; `tools` "board" (what hangs here) or "table" (all that the trade table names).
    """

    bikes: tuple[str, ...]
    choose: str = ALL
    least: str = "count"
    torque: str = "critical"
    tools: str = "board"
    without: str = ""


@dataclass(frozen=True, slots=True)
class KitToolView:
    """A tool of the kit: what it turns and keeps of the joints asked about, and what would be lost without it. [g]"""

    id: str
    name: str
    grams: float
    price: Decimal | None
    turns: tuple[str, ...]
    keeps: tuple[str, ...]
    loses: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Dropped:
    """What leaving one tool out costs: the needs lost, and what the best kit without that tool would be, in words."""

    tool: str
    loses: tuple[str, ...]
    instead: str


@dataclass(frozen=True, slots=True)
class KitView:
    """A kit as every door shows it. `proven`: no set of these tools does better; `at_least` is what none is under. [g]

    `missing` are needs that no tool at hand meets, `cannot_tell` joints whose torque is not known, `by_hand` those that
    need no tool, `not_read` those whose head nobody has read: every usual one is in the kit. `ties` name other sets with
    the same figures.
    """

    least: str
    joints: int
    tools: tuple[KitToolView, ...]
    count: int
    grams: float
    price: Decimal | None
    at_least: float
    proven: bool
    proof: str
    torque_needed: int
    torque_kept: int
    missing: tuple[str, ...]
    cannot_tell: tuple[str, ...]
    by_hand: tuple[str, ...]
    ties: tuple[str, ...]
    more_ties: bool
    without: Dropped | None
    because: tuple[Reason, ...]
    not_read: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class JointsWanted:
    """Joints with their windows, and what can't be told or needs no tool."""

    joints: tuple[KitJoint, ...]
    cannot_tell: tuple[str, ...] = ()
    not_read: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BikeToPack:
    """A bike that a kit may be chosen for; `is_here` where it is in the workshop."""

    tag: str
    words: str
    owner: str
    is_here: bool


def bikes_to_pack(chosen: Sequence[str]) -> tuple[BikeToPack, ...]:
    """Return the bikes that are here and those chosen already, by their tags."""
    staying = set(jobs_here().values_list("bike__tag", flat=True))
    rows = Bike.objects.filter(tag__in=staying | set(chosen)).select_related("owner").order_by("tag")
    return tuple(BikeToPack(one.tag, one.words, one.owner.name, one.tag in staying) for one in rows)


def choices() -> tuple[tuple[str, str], ...]:
    """Return what a kit may be chosen for, with its words."""
    rows = tables().joint_choices.values()
    return ((ALL, worded("every joint")), *((row.id, row.name) for row in rows))


def kit_from_files(joints: Path, tools: Path, least: str, without: str, today: date) -> KitView:
    """Return the kit for the joints of one file out of the tools of another.

    Raises:
        InputRefused: A file can't be read, or `least` or `without` is not one that there is.
        Unknown: The least price is asked for and a price is missing.
    """
    return _kit(JointsWanted(read_joints(joints)), read_tools(tools), least, without, today, price_as_filed)


def kit_for_bikes(request: KitRequest, today: date) -> KitView:
    """Return the kit for bikes on record.

    Raises:
        InputRefused: No bike, too many, or a word that is not one of those allowed.
        NotFound: No bike has this tag.
        Unknown: The least price is asked for and a price is missing.
    """
    _refuse(request)
    found = joints_of_bikes([bike_by_tag(tag) for tag in dict.fromkeys(request.bikes)], request)
    tools = _on_board() if request.tools == "board" else tools_of_table()
    return _kit(found, tools, request.least, request.without, today, money_of_shop)


def _refuse(request: KitRequest) -> None:
    choices = (ALL, *tables().joint_choices)
    for field, value, allowed in (
        ("choose", request.choose, choices),
        ("torque", request.torque, TORQUE),
        ("tools", request.tools, TOOLS),
    ):
        if value not in allowed:
            sentence = worded(
                '{field} is "{value}": {allowed}. Choose one.',
                field=field,
                value=value[:40],
                allowed=", ".join(allowed),
            )
            raise InputRefused(sentence, {field: sentence})
    if not 1 <= len(request.bikes) <= MOST_BIKES:
        sentence = worded(
            "{bikes} bikes are chosen: 1 to {most_bikes} are possible. Choose the bikes of this kit.",
            bikes=len(request.bikes),
            most_bikes=MOST_BIKES,
        )
        raise InputRefused(sentence, {"bikes": sentence})


def joints_of_bikes(bikes: Sequence[Bike], request: KitRequest) -> JointsWanted:
    """Return the joints of bikes that a kit is for, with what can't be told and which heads nobody has read."""
    chosen = None if request.choose == ALL else set(tables().joint_choices[request.choose].joints)
    joints, untold, unread = list[KitJoint](), list[str](), list[str]()
    for bike in bikes:
        build = build_of(bike)
        for name in joint_names(build):
            if chosen is not None and joint_id(name) not in chosen:
                continue
            window, why_not = _window_asked(bike, build, name, request)
            untold += [why_not] if why_not else []
            one = _kit_joint(bike, name, window)
            joints.append(one)
            unread += [f"{one.name}: {any_of(one.drives)}"] if len(one.heads) > 1 else []
    if joints:
        joints += _besides(request)
    return JointsWanted(tuple(joints), tuple(untold), tuple(unread))


def _window_asked(
    bike: Bike, build: Build, name: str, request: KitRequest
) -> tuple[tuple[float, float] | None, str]:
    """The window that a joint is kept to, None where it need not be; and why it can't be told, where it can't."""
    row = joint_row(name)
    is_kept = request.torque == "every" or (request.torque == "critical" and row.critical == "A")
    if not is_kept or has_no_torque(row):
        return None, ""
    try:
        found = joint_window(name, bike, build)
    except (NoSafeAnswer, Unknown) as refusal:
        return None, f"{bike.tag}: {refusal.sentence}"
    return None if is_by_hand(found) else (found.floor, found.cap), ""


def _kit_joint(bike: Bike, name: str, window: tuple[float, float] | None) -> KitJoint:
    row, end = joint_row(name), joint_end(name)
    drives = known_drives(row, (head_read(bike, name),))
    heads = heads_of(drives)
    bits = tuple(head for head in heads if head != (BY_HAND,)) if window is not None else ()
    words = f"{bike.tag}: {row.name}{f', {end}' if end else ''}"
    return KitJoint(f"{bike.tag}/{name}", words, drives, window, heads, bits, row.counter)


def _besides(request: KitRequest) -> Iterable[KitJoint]:
    """What a kit must do apart from bolts."""
    choice = tables().joint_choices.get(request.choose)
    names = {drive: tool.name for tool in tables().tools.values() for drive in tool.covers}
    for drive in choice.besides if choice is not None else ():
        yield KitJoint(f"besides/{drive}", names.get(drive, drive), (drive,), None)


def heads_of(drives: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    """Return the heads behind these drives: spanner, crow-foot and cone spanner of one size take hold of the same flats."""
    found: dict[str, list[str]] = {}
    for drive in drives:
        kind, _, size = drive.rpartition("-")
        found.setdefault(f"flats {size}" if kind.endswith(_ON_FLATS) else drive, []).append(drive)
    return tuple(tuple(one) for one in found.values())


def _price_of(tool: str) -> Decimal | None:
    row = tables().tool_prices.get(tool)
    return row.price if row else None


def _on_board() -> tuple[KitTool, ...]:
    """The tools in use here. Two of a kind are told apart by a number."""
    by_id = {tool.id: tool for tool in torque_tools()}
    found: dict[str, KitTool] = {}
    for one in ToolOnBoard.objects.filter(in_use=True).order_by("pk"):
        hand, torque = tables().tools.get(one.table_id), by_id.get(str(one.pk))
        grams = float((hand or tables().torque_tools[one.table_id]).grams) if hand or torque else 0.0
        if hand is None and torque is None:
            continue
        name = one.table_id if one.table_id not in found else f"{one.table_id}-{one.pk}"
        found[name] = KitTool(
            name,
            one.name,
            grams,
            _price_of(one.table_id),
            hand.covers if hand else (),
            torque,
            hand.bits if hand else (),
        )
    return tuple(found.values())


def tools_of_table() -> tuple[KitTool, ...]:
    """Every tool of the trade table, torque tools as their class promises."""
    hand = [
        KitTool(row.id, row.name, float(row.grams), _price_of(row.id), row.covers, None, row.bits)
        for row in tables().tools.values()
    ]
    torque = [
        KitTool(row.id, row.name, float(row.grams), _price_of(row.id), (), tool_of_table(row.id, row.id))
        for row in tables().torque_tools.values()
    ]
    return (*hand, *torque)


def price_as_filed(price: Decimal) -> str:
    """Return a price of a file, which names no currency, in words."""
    return worded("a price of {price}", price=price)


def _kit(
    found: JointsWanted, tools: Sequence[KitTool], least: str, without: str, today: date, written: Written
) -> KitView:
    if least not in LEAST:
        sentence = worded(
            'least is "{least}": {allowed}. Choose one.', least=least[:40], allowed=", ".join(LEAST)
        )
        raise InputRefused(sentence, {"least": sentence})
    by_hand = tuple(joint.name for joint in found.joints if BY_HAND in joint.drives)
    asked = [joint for joint in found.joints if BY_HAND not in joint.drives]
    joints = [
        CoverJoint(one.id, one.name, one.drives, one.window is not None, one.heads, one.bits, one.held)
        for one in asked
    ]
    able = able_tools(asked, tools, today)
    kit = kit_of(joints, able, LEAST[least])
    names = {tool.id: tool.name for tool in tools}
    kept = {joint for tool in able if tool.id in kit.tools for joint in tool.keeps}
    return KitView(
        least=least,
        joints=len(found.joints),
        tools=tuple(_tool_seen(tool, kit, joints, able) for tool in able if tool.id in kit.tools),
        count=kit.count,
        grams=kit.grams,
        price=kit.price,
        at_least=kit.at_least,
        proven=kit.proven,
        proof=_proof(kit, least, len(tools), written),
        torque_needed=sum(joint.needs_torque for joint in joints),
        torque_kept=sum(joint.needs_torque and joint.id in kept for joint in joints),
        missing=tuple(worded("no tool at hand can {words}", words=need.words) for need in kit.missing),
        cannot_tell=found.cannot_tell,
        by_hand=by_hand,
        ties=tuple(_tie(swap, names) for swap in kit.as_good),
        more_ties=kit.more_as_good,
        without=_dropped(without, kit, joints, able, least, written) if without else None,
        because=kit.reasons,
        not_read=found.not_read,
    )


def able_tools(joints: Sequence[KitJoint], tools: Sequence[KitTool], today: date) -> list[CoverTool]:
    """The tools as the kits engine takes them: what each is sure to keep comes from the torque engine."""
    given = Governs(0.0, "trade table", worded("as given"))
    windows = [
        JointWindow(one.id, *one.window, sum(one.window) / 2, given, given, one.window, ())
        for one in joints
        if one.window is not None
    ]
    sure = coverage(windows, [tool.torque for tool in tools if tool.torque is not None], today)
    return [
        CoverTool(
            tool.id,
            tool.name,
            tool.grams,
            frozenset(tool.drives),
            sure[tool.torque.id] if tool.torque is not None else frozenset(),
            tool.price,
            frozenset(tool.bits),
        )
        for tool in tools
    ]


def _tool_seen(
    tool: CoverTool, kit: Kit, joints: Sequence[CoverJoint], tools: Sequence[CoverTool]
) -> KitToolView:
    return KitToolView(
        id=tool.id,
        name=tool.name,
        grams=tool.grams,
        price=tool.price,
        turns=tuple(one.name for one in joints if not tool.drives.isdisjoint(one.drives)),
        keeps=tuple(one.name for one in joints if one.needs_torque and one.id in tool.keeps),
        loses=tuple(need.words for need in lost_without(kit.tools, tool.id, joints, tools)),
    )


def _proof(kit: Kit, least: str, offered: int, written: Written) -> str:
    figures = {
        "count": tools_counted(kit.count),
        "mass": f"{kit.grams:g} g",
        "price": "" if kit.price is None else written(kit.price),
    }
    if kit.proven:
        open_still = (
            worded(" No tool at hand does the rest: {missing}.", missing=len(kit.missing))
            if kit.missing
            else ""
        )
        return worded(
            "No set of these {offered} tools does better than {figures}.{open_still}",
            offered=offered,
            figures=figures[least],
            open_still=open_still,
        )
    bounds = {
        "count": worded("{at_least:.6g} tools", at_least=kit.at_least),
        "mass": f"{kit.at_least:.6g} g",
        "price": written(Decimal(f"{kit.at_least:.2f}")),
    }
    return worded(
        "{figures} found; there may be a better set, not under {bounds}: the search ran out of time.",
        figures=figures[least],
        bounds=bounds[least],
    )


def tools_counted(count: int) -> str:
    """Return how many tools, in words."""
    return worded("1 tool") if count == 1 else worded("{count} tools", count=count)


def _tie(swap: Swap, names: Mapping[str, str]) -> str:
    return worded(
        "{listed} instead of {swap_listed}",
        listed=_listed(swap.comes, names),
        swap_listed=_listed(swap.leaves, names),
    )


def _listed(ids: Iterable[str], names: Mapping[str, str]) -> str:
    return worded(" and ").join(names[one] for one in ids)


def _dropped(
    tool: str,
    kit: Kit,
    joints: Sequence[CoverJoint],
    tools: Sequence[CoverTool],
    least: str,
    written: Written,
) -> Dropped:
    lost = tuple(need.words for need in lost_without(kit.tools, tool, joints, tools))
    left = [one for one in tools if one.id != tool]
    other = kit_of(joints, left, LEAST[least])
    figures = f"{tools_counted(other.count)}, {figure_text(other.grams, 0)} g" + (
        f", {written(other.price)}" if other.price is not None else ""
    )
    gone = [need.words for need in other.missing if need not in kit.missing]
    open_still = [words for words in gone if words not in {need.words for need in kit.missing}]
    if open_still:
        instead = worded("No other tool at hand can {open_still}", open_still=open_still[0]) + (
            worded(", and {open_still} more.", open_still=len(open_still) - 1) if len(open_still) > 1 else "."
        )
    else:
        instead = worded("Others can take its place: {figures} in all.", figures=figures)
    return Dropped(tool, lost, instead)
