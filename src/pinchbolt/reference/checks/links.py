"""Every row that another row names is there."""

from collections.abc import Iterator

from pinchbolt.reference.checks.complaint import Complaint
from pinchbolt.reference.checks.known import Known, dangling
from pinchbolt.reference.files import INTERFACES
from pinchbolt.reference.rows.base import Row
from pinchbolt.reference.rows.brakes import RotorOnHub
from pinchbolt.reference.rows.drivetrain import CassetteOnBody, ChainOnDrive
from pinchbolt.reference.rows.frame import SpindleInShell
from pinchbolt.reference.rows.wheels import HubInFrame
from pinchbolt.reference.tables_type import Tables
from pinchbolt.values.wording import worded

# Words that stand where an instrument's or a drive's id would, and name no tool.
NO_INSTRUMENT = frozenset({"eye", "hand", "ear", "road", "record"})
NO_DRIVE = frozenset({"hand"})


def links(tables: Tables, known: Known) -> Iterator[Complaint]:
    """A complaint for every id that leads nowhere."""
    yield from _instruments_and_drives(tables, known)
    yield from _work(tables, known)
    yield from _fit(tables, known)
    yield from _build(tables, known)


def _instruments_and_drives(tables: Tables, known: Known) -> Iterator[Complaint]:
    for limit in tables.limits.values():
        if limit.instrument not in NO_INSTRUMENT:
            for name in known.missing([limit.instrument], "instrument", "tool"):
                allowed = worded(
                    "an id under [[instrument]] or [[tool]], or one of {no_instrument}",
                    no_instrument=", ".join(sorted(NO_INSTRUMENT)),
                )
                yield Complaint(limit, "instrument", worded('is "{name}"', name=name), allowed)
    if "tool" not in known.unread:
        yield from _drives(tables)


def _drives(tables: Tables) -> Iterator[Complaint]:
    covered = NO_DRIVE.union(*(tool.covers for tool in tables.tools.values()))
    allowed = worded("a drive that some tool of tools.toml covers")
    for joint in tables.joints.values():
        if not joint.drive:
            yield Complaint(joint, "drive", worded("is empty"), allowed)
        for drive in joint.drive:
            if drive not in covered:
                yield Complaint(joint, "drive", worded('holds "{drive}"', drive=drive), allowed)
        for drive in joint.counter:
            if drive not in covered:
                yield Complaint(joint, "counter", worded('holds "{drive}"', drive=drive), allowed)
    rows: list[tuple[Row, str]] = [(socket, "drive") for socket in tables.sockets.values()]
    rows += [(head, field) for head in tables.screw_heads.values() for field in ("cap", "button")]
    for row, field in rows:
        if (drive := getattr(row, field)) not in covered:
            yield Complaint(row, field, worded('is "{drive}"', drive=drive), allowed)


def _work(tables: Tables, known: Known) -> Iterator[Complaint]:
    for block in tables.blocks.values():
        yield from dangling(known, block, "joints", block.joints, "joint")
        yield from dangling(known, block, "beside", block.beside, "block")
    for extra in tables.extras.values():
        yield from dangling(known, extra, "operations", extra.operations, "operation")
    for operation in tables.operations.values():
        yield from dangling(known, operation, "shares", operation.blocks_at(""), "block")
        yield from dangling(known, operation, "joints", operation.joints, "joint")
        yield from dangling(known, operation, "touches", operation.touches, "kind")
        yield from dangling(known, operation, "may_renew", operation.may_renew, "kind")
        yield from dangling(known, operation, "tools", operation.tools, "tool", "instrument", "torque_tool")
        shared = max(
            sum(tables.blocks[name].minutes for name in operation.blocks_at(end) if name in tables.blocks)
            for end in ("front", "rear")
        )
        if shared > operation.minutes[1]:
            wrong = worded("has {minutes} usual minutes", minutes=operation.minutes[1])
            yield Complaint(
                operation,
                "minutes",
                wrong,
                worded("{shared} at least, the minutes of its shared blocks", shared=shared),
            )
    yield from _lists(tables, known)


def _lists(tables: Tables, known: Known) -> Iterator[Complaint]:
    for joint in tables.joints.values():
        yield from dangling(known, joint, "bolt_class", filter(None, [joint.bolt_class]), "property_class")
    for case in tables.joint_cases.values():
        yield from dangling(known, case, "joint", [case.joint], "joint")
        if not case.when and not case.threads:
            yield Complaint(
                case,
                "when",
                worded("is empty, and so is threads"),
                worded("what makes the case: conditions, or threads"),
            )
    for item in tables.signoff.values():
        yield from dangling(known, item, "joints", (*item.joints, *item.opened), "joint")
        yield from dangling(known, item, "of", item.of, "kind")
    for rule in tables.joint_order.values():
        yield from dangling(known, rule, "first", rule.first, "joint")
        yield from dangling(known, rule, "then", rule.then, "joint")
    for kit in tables.kits.values():
        yield from dangling(known, kit, "tools", kit.tools, "tool", "torque_tool")
    for choice in tables.joint_choices.values():
        yield from dangling(known, choice, "joints", choice.joints, "joint")
    for tool_price in tables.tool_prices.values():
        yield from dangling(known, tool_price, "id", [tool_price.id], "tool", "torque_tool")
    for torque_tool in tables.torque_tools.values():
        yield from dangling(known, torque_tool, "class", [torque_tool.class_], "torque_class")
    for place in tables.walk_round.values():
        yield from dangling(known, place, "limits", place.limits, "limit")
    yield from _read_once(tables)


def _read_once(tables: Tables) -> Iterator[Complaint]:
    """A limit that stands at two places of one end would be read twice at each stay."""
    seen: set[tuple[str, str]] = set()
    for place in tables.walk_round.values():
        for name in place.limits:
            if (name, place.end) in seen or (name, "") in seen:
                yield Complaint(
                    place,
                    "limits",
                    worded('holds "{name}" again', name=name),
                    worded("each limit once at each end of the bike"),
                )
            seen.add((name, place.end))


def _fit(tables: Tables, known: Known) -> Iterator[Complaint]:
    for rule in tables.rules.values():
        if (rule.table or rule.form == "pair") and rule.table not in INTERFACES:
            yield Complaint(
                rule,
                "table",
                worded('is "{table}"', table=rule.table),
                worded("a kind of row in interfaces.toml"),
            )
        yield from dangling(known, rule, "rules", rule.rules, "rule")
    for pair in tables.interface(CassetteOnBody):
        yield from dangling(known, pair, "cassette", [pair.cassette], "cassette")
        yield from dangling(known, pair, "body", [pair.body], "freehub")
    for chain in tables.interface(ChainOnDrive):
        yield from dangling(known, chain, "chain", [chain.chain], "chain")
    for hub in tables.interface(HubInFrame):
        yield from dangling(known, hub, "hub", [hub.hub], "axle")
        yield from dangling(known, hub, "frame", [hub.frame], "axle")
    for rotor in tables.interface(RotorOnHub):
        yield from dangling(known, rotor, "rotor", [rotor.rotor], "rotor_mount")
        yield from dangling(known, rotor, "hub", [rotor.hub], "rotor_mount")
    for shell in tables.interface(SpindleInShell):
        yield from dangling(known, shell, "shell", [shell.shell], "bb_shell")
        for field, names in (("ok", shell.ok), ("no", shell.no or ()), ("with", shell.with_ or ())):
            yield from dangling(known, shell, field, names, "spindle")


def _build(tables: Tables, known: Known) -> Iterator[Complaint]:
    for proposal in tables.proposals.values():
        yield from dangling(known, proposal, "limits", proposal.limits, "limit")
        yield from dangling(known, proposal, "operation", filter(None, [proposal.operation]), "operation")
        yield from dangling(known, proposal, "refusal", filter(None, [proposal.refusal]), "refuse")
    for prior in tables.priors.values():
        yield from dangling(known, prior, "covers", prior.covers, "limit")
