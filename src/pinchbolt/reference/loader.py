"""The tables as one frozen value, and how they are loaded."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar, cast

from pinchbolt.reference.checks import Complaint, Known, links, ranges
from pinchbolt.reference.faults import Fault, refusal
from pinchbolt.reference.files import FILE_OF, INTERFACES, KINDS
from pinchbolt.reference.gather import Gathered, Overlaid, gather, lay_over
from pinchbolt.reference.read import as_read, row_of, toml_key
from pinchbolt.reference.rows.base import Row
from pinchbolt.reference.rows.build import Template
from pinchbolt.reference.rows.fit_rules import FitRule
from pinchbolt.reference.rows.joints import Joint, JointOrder, NutFactor, PropertyClass, Thread
from pinchbolt.reference.rows.measure import Instrument, Limit, Place
from pinchbolt.reference.rows.proposals import Proposal
from pinchbolt.reference.rows.tools import (
    JointChoice,
    Kit,
    ScrewHead,
    Socket,
    Tool,
    ToolPrice,
    TorqueClass,
    TorqueRule,
    TorqueTool,
)
from pinchbolt.reference.rows.wear import WearBelief, WearPrior
from pinchbolt.reference.rows.work import Block, HomeCheck, Operation, Refusal, ShelfPrice, SignoffItem

TRADE_FOLDER = Path(__file__).parent / "tables"
InterfaceRow = TypeVar("InterfaceRow", bound=Row)

# Attribute of `Tables` for each table of the files; the interface kinds stand together under `interfaces`.
ATTRIBUTES: Mapping[str, str] = {
    "limits": "limit", "instruments": "instrument", "walk_round": "place", "joints": "joint", "threads": "thread",
    "property_classes": "property_class", "nut_factors": "nut_factor", "rules": "rule", "blocks": "block",
    "operations": "operation", "tools": "tool", "sockets": "socket", "screw_heads": "screw_head",
    "torque_classes": "torque_class", "torque_tools": "torque_tool", "torque_rules": "torque_rule", "kits": "kit",
    "joint_choices": "joint_choice", "tool_prices": "tool_price",
    "signoff": "item", "refusals": "refuse", "home_checks": "home", "templates": "template", "prices": "price",
    "proposals": "proposal", "joint_order": "order", "priors": "prior", "beliefs": "belief",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Tables:
    """Every table, its rows by their id and in the order of the file.

    Nut factors go by preparation, sockets by drive, screw heads by thread, home checks by number. `overlaid` says
    what the workshop's own tables changed.
    """

    limits: Mapping[str, Limit]
    instruments: Mapping[str, Instrument]
    walk_round: Mapping[str, Place]
    joints: Mapping[str, Joint]
    threads: Mapping[str, Thread]
    property_classes: Mapping[str, PropertyClass]
    nut_factors: Mapping[str, NutFactor]
    rules: Mapping[str, FitRule]
    blocks: Mapping[str, Block]
    operations: Mapping[str, Operation]
    tools: Mapping[str, Tool]
    sockets: Mapping[str, Socket]
    screw_heads: Mapping[str, ScrewHead]
    torque_classes: Mapping[str, TorqueClass]
    torque_tools: Mapping[str, TorqueTool]
    torque_rules: Mapping[str, TorqueRule]
    kits: Mapping[str, Kit]
    joint_choices: Mapping[str, JointChoice]
    tool_prices: Mapping[str, ToolPrice]
    signoff: Mapping[str, SignoffItem]
    refusals: Mapping[str, Refusal]
    home_checks: Mapping[int, HomeCheck]
    templates: Mapping[str, Template]
    prices: Mapping[str, ShelfPrice]
    proposals: Mapping[str, Proposal]
    joint_order: Mapping[str, JointOrder]
    priors: Mapping[str, WearPrior]
    beliefs: Mapping[str, WearBelief]
    interfaces: Mapping[str, tuple[Row, ...]]
    overlaid: tuple[Overlaid, ...] = ()

    def interface(self, kind: type[InterfaceRow]) -> tuple[InterfaceRow, ...]:
        """The rows of one interface kind, with their own type."""
        name = next(name for name, row_kind in INTERFACES.items() if row_kind is kind)
        return cast(tuple[InterfaceRow, ...], self.interfaces[name])

    def all_rows(self) -> Iterator[Row]:
        """Every row of every table."""
        for field in fields(self):
            if field.name in ATTRIBUTES:
                yield from getattr(self, field.name).values()
        for rows in self.interfaces.values():
            yield from rows

    @property
    def wear_priors(self) -> Mapping[str, Sequence[Mapping[str, Any]]]:
        """The wear priors and beliefs as their file says them, checked: `{"prior": rows, "belief": rows}`."""
        return {
            "prior": [as_read(row) for row in self.priors.values()],
            "belief": [as_read(row) for row in self.beliefs.values()],
        }


@cache
def tables() -> Tables:
    """The trade tables alone, read once.

    Raises:
        InputRefused: A table has a fault; the sentence names file, row, field and what is allowed.
    """
    return load()


def load(shop_folder: Path | None = None) -> Tables:
    """Read the trade tables, with the workshop's own tables from *shop_folder* laid over them.

    A file of the same name in that folder lays its rows over those of the trade by id (pair tables by their pair).
    A row may give only what differs; a row with an id that the trade table has not must be whole.

    Args:
        shop_folder: Folder of the workshop's own TOML tables; None = the trade tables alone. [-]

    Returns:
        All tables, checked. [-]

    Raises:
        InputRefused: A file cannot be read, a row is bad or names a row that is not there: all faults in one message.
    """
    found = gather(TRADE_FOLDER)
    overlaid: tuple[Overlaid, ...] = ()
    if shop_folder is not None:
        overlaid = lay_over(found, gather(shop_folder, f"{shop_folder}/", needed=False), KINDS)
    rows = _typed(found)
    made = _assemble(rows, overlaid)
    known = Known({table: _ids(found, table) for table in KINDS}, frozenset(found.unread))
    files = {kind: FILE_OF[table] for table, kind in KINDS.items()}
    for complaint in (*ranges(made), *links(made, known)):
        found.faults.append(_fault(complaint, files, shop_folder))
    if found.faults:
        raise refusal(found.faults)
    return made


def _typed(found: Gathered) -> dict[str, list[Row]]:
    """Every row that can be read; the faults of the others go to *found*."""
    rows: dict[str, list[Row]] = {table: [] for table in KINDS}
    for table, kind in KINDS.items():
        for raw in found.rows.get(table, {}).values():
            instead_of = raw.instead_of if raw.from_shop else None
            row, faults = row_of(kind, raw.raw, raw.file, raw.name, instead_of)
            found.faults += faults
            if row is not None:
                rows[table].append(row)
    return rows


def _assemble(rows: Mapping[str, Sequence[Row]], overlaid: tuple[Overlaid, ...]) -> Tables:
    by_attribute: dict[str, Any] = {
        attribute: MappingProxyType({getattr(row, row.key[0]): row for row in rows[table]})
        for attribute, table in ATTRIBUTES.items()
    }
    interfaces = MappingProxyType({kind: tuple(rows[kind]) for kind in INTERFACES})
    return Tables(interfaces=interfaces, overlaid=overlaid, **by_attribute)


def _ids(found: Gathered, table: str) -> frozenset[object]:
    return frozenset(key[0] for key in found.rows.get(table, {}) if key)


def _fault(complaint: Complaint, files: Mapping[type[Row], str], shop_folder: Path | None) -> Fault:
    row = complaint.row
    file = files[type(row)]
    shown_as = f"{shop_folder}/{file}" if row.from_shop else file
    return Fault(shown_as, row.named, toml_key(complaint.field), complaint.wrong, complaint.allowed)
