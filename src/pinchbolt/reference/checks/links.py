"""Every row that another row names is there."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from pinchbolt.reference.checks.complaint import Complaint
from pinchbolt.reference.files import INTERFACES
from pinchbolt.reference.rows.base import Row
from pinchbolt.reference.rows.brakes import RotorOnHub
from pinchbolt.reference.rows.drivetrain import CassetteOnBody, ChainOnDrive
from pinchbolt.reference.rows.frame import SpindleInShell
from pinchbolt.reference.rows.wheels import HubInFrame
from pinchbolt.reference.tables_type import Tables

# Words that stand where an instrument's or a drive's id would, and name no tool.
NO_INSTRUMENT = frozenset({"eye", "hand", "ear", "road", "record"})
NO_DRIVE = frozenset({"hand"})

# Facts of a build template by the names that the fit rules ask for: those whose value is an id of an interface kind,
# and the others (mm, words, true or false).
FACTS_BY_ID: Mapping[str, str] = {
    "cassette": "cassette", "body": "freehub", "chain": "chain", "front_hub": "axle", "rear_hub": "axle",
    "frame_front": "axle", "frame_rear": "axle", "rotor_kind": "rotor_mount", "hub_rotor_mount": "rotor_mount",
    "valve": "valve", "saddle_rail": "saddle_rail", "brake_fluid": "fluid", "bb_shell": "bb_shell",
    "spindle": "spindle", "ring_mount": "ring_mount", "pedal": "pedal_thread", "hanger": "hanger",
    "shift": "shift_family", "rim_bsd": "bead_seat", "mount": "flat_mount", "lever_pull": "brake_pull",
    "brake_pull": "brake_pull",
}  # fmt: skip
FACTS = frozenset({
    "drive", "rotor", "caliper", "mount_kind", "pads", "rim_inner", "hook", "tyre", "bar", "native", "seat_post",
    "seat_tube", "stem", "steerer",
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class Known:
    """Ids that stand in the files, also of rows with faults; a table whose file could not be read knows every id."""

    ids: Mapping[str, frozenset[object]]
    unread: frozenset[str]

    def missing(self, names: Iterable[object], *tables: str) -> list[object]:
        """The *names* that none of *tables* has."""
        if self.unread.intersection(tables):
            return []
        return [name for name in names if not any(name in self.ids.get(table, ()) for table in tables)]


def links(tables: Tables, known: Known) -> Iterator[Complaint]:
    """A complaint for every id that leads nowhere."""
    yield from _instruments_and_drives(tables, known)
    yield from _work(tables, known)
    yield from _fit(tables, known)
    yield from _build(tables, known)


def _dangling(known: Known, row: Row, field: str, names: Iterable[object], *into: str) -> Iterator[Complaint]:
    where = " or ".join(f"[[{table}]]" for table in into)
    for name in known.missing(names, *into):
        yield Complaint(row, field, f'names "{name}"', f"an id that stands under {where}")


def _instruments_and_drives(tables: Tables, known: Known) -> Iterator[Complaint]:
    for limit in tables.limits.values():
        if limit.instrument not in NO_INSTRUMENT:
            for name in known.missing([limit.instrument], "instrument", "tool"):
                allowed = (
                    f"an id under [[instrument]] or [[tool]], or one of {', '.join(sorted(NO_INSTRUMENT))}"
                )
                yield Complaint(limit, "instrument", f'is "{name}"', allowed)
    if "tool" not in known.unread:
        yield from _drives(tables)


def _drives(tables: Tables) -> Iterator[Complaint]:
    covered = NO_DRIVE.union(*(tool.covers for tool in tables.tools.values()))
    allowed = "a drive that some tool of tools.toml covers"
    for joint in tables.joints.values():
        if not joint.drive:
            yield Complaint(joint, "drive", "is empty", allowed)
        for drive in joint.drive:
            if drive not in covered:
                yield Complaint(joint, "drive", f'holds "{drive}"', allowed)
    rows: list[tuple[Row, str]] = [(socket, "drive") for socket in tables.sockets.values()]
    rows += [(head, field) for head in tables.screw_heads.values() for field in ("cap", "button")]
    for row, field in rows:
        if (drive := getattr(row, field)) not in covered:
            yield Complaint(row, field, f'is "{drive}"', allowed)


def _work(tables: Tables, known: Known) -> Iterator[Complaint]:
    for operation in tables.operations.values():
        yield from _dangling(known, operation, "shares", operation.shares, "block")
        yield from _dangling(known, operation, "joints", operation.joints, "joint")
        yield from _dangling(known, operation, "tools", operation.tools, "tool", "instrument", "torque_tool")
        shared = sum(block.minutes for name in operation.shares if (block := tables.blocks.get(name)))
        if shared > operation.minutes[1]:
            wrong = f"has {operation.minutes[1]} usual minutes"
            yield Complaint(
                operation, "minutes", wrong, f"{shared} at least, the minutes of its shared blocks"
            )
    for item in tables.signoff.values():
        yield from _dangling(known, item, "joints", item.joints, "joint")
    for rule in tables.joint_order.values():
        yield from _dangling(known, rule, "first", rule.first, "joint")
        yield from _dangling(known, rule, "then", rule.then, "joint")
    for kit in tables.kits.values():
        yield from _dangling(known, kit, "tools", kit.tools, "tool", "torque_tool")
    for choice in tables.joint_choices.values():
        yield from _dangling(known, choice, "joints", choice.joints, "joint")
    for tool_price in tables.tool_prices.values():
        yield from _dangling(known, tool_price, "id", [tool_price.id], "tool", "torque_tool")
    for torque_tool in tables.torque_tools.values():
        yield from _dangling(known, torque_tool, "class", [torque_tool.class_], "torque_class")
    for place in tables.walk_round.values():
        yield from _dangling(known, place, "limits", place.limits, "limit")
    seen: set[tuple[str, str]] = set()
    for place in tables.walk_round.values():
        for name in place.limits:
            if (name, place.end) in seen or (name, "") in seen:
                yield Complaint(
                    place, "limits", f'holds "{name}" again', "each limit once at each end of the bike"
                )
            seen.add((name, place.end))


def _fit(tables: Tables, known: Known) -> Iterator[Complaint]:
    for rule in tables.rules.values():
        if (rule.table or rule.form == "pair") and rule.table not in INTERFACES:
            yield Complaint(rule, "table", f'is "{rule.table}"', "a kind of row in interfaces.toml")
        yield from _dangling(known, rule, "rules", rule.rules, "rule")
    for pair in tables.interface(CassetteOnBody):
        yield from _dangling(known, pair, "cassette", [pair.cassette], "cassette")
        yield from _dangling(known, pair, "body", [pair.body], "freehub")
    for chain in tables.interface(ChainOnDrive):
        yield from _dangling(known, chain, "chain", [chain.chain], "chain")
    for hub in tables.interface(HubInFrame):
        yield from _dangling(known, hub, "hub", [hub.hub], "axle")
        yield from _dangling(known, hub, "frame", [hub.frame], "axle")
    for rotor in tables.interface(RotorOnHub):
        yield from _dangling(known, rotor, "rotor", [rotor.rotor], "rotor_mount")
        yield from _dangling(known, rotor, "hub", [rotor.hub], "rotor_mount")
    for shell in tables.interface(SpindleInShell):
        yield from _dangling(known, shell, "shell", [shell.shell], "bb_shell")
        for field, names in (("ok", shell.ok), ("no", shell.no or ()), ("with", shell.with_ or ())):
            yield from _dangling(known, shell, field, names, "spindle")


def _build(tables: Tables, known: Known) -> Iterator[Complaint]:
    for template in tables.templates.values():
        there = {part.part for part in template.parts}
        for part in template.parts:
            at = f"parts ({part.part})"
            yield from _dangling(known, template, at, (*part.limits, *part.deeper), "limit")
            for name in (*part.limits, *part.deeper):
                limit = tables.limits.get(name)
                if limit and limit.kinds and template.kind not in limit.kinds:
                    yield Complaint(
                        template, at, f'names "{name}"', f"a limit for bikes of the kind {template.kind}"
                    )
            for facts in (part.facts or {}, *(part.by_speeds or {}).values()):
                yield from _facts(template, at, facts, known)
        for joint in template.joints:
            yield from _dangling(known, template, "joints", [joint.joint], "joint")
            row = tables.joints.get(joint.joint)
            if row and template.kind not in row.kinds:
                yield Complaint(
                    template, "joints", f'names "{row.id}"', f"a joint of bikes of the kind {template.kind}"
                )
            for name in joint.parts:
                if name not in there:
                    yield Complaint(
                        template, f"joints ({joint.joint})", f'clamps "{name}"', "a part of this template"
                    )
    for proposal in tables.proposals.values():
        yield from _dangling(known, proposal, "limits", proposal.limits, "limit")
        yield from _dangling(known, proposal, "operation", [proposal.operation], "operation")
    for prior in tables.priors.values():
        yield from _dangling(known, prior, "covers", prior.covers, "limit")


def _facts(row: Row, at: str, facts: Mapping[str, object], known: Known) -> Iterator[Complaint]:
    for name, value in facts.items():
        if name in FACTS_BY_ID:
            yield from _dangling(known, row, f"{at} {name}", [value], FACTS_BY_ID[name])
        elif name not in FACTS:
            allowed = ", ".join(sorted({*FACTS, *FACTS_BY_ID}))
            yield Complaint(row, at, f'holds the fact "{name}"', f"one of {allowed}")
