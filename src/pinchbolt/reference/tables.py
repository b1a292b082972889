"""The tables as one frozen value, and how they are loaded."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar, cast

from pinchbolt.reference.faults import Fault, refusal
from pinchbolt.reference.files import FILES, INTERFACES, TableFile
from pinchbolt.reference.read import Raw, key_of, name_of, raw_tables, row_of
from pinchbolt.reference.rows.base import Row
from pinchbolt.reference.rows.fit_rules import FitRule
from pinchbolt.reference.rows.joints import Joint, NutFactor, PropertyClass, Thread
from pinchbolt.reference.rows.measure import Instrument, Limit
from pinchbolt.reference.rows.tools import Kit, ScrewHead, Socket, Tool, TorqueClass, TorqueRule, TorqueTool
from pinchbolt.reference.rows.work import Block, HomeCheck, Operation, Refusal, SignoffItem

TRADE_FOLDER = Path(__file__).parent / "tables"
InterfaceRow = TypeVar("InterfaceRow", bound=Row)


@dataclass(frozen=True, slots=True)
class Tables:
    """Every table, by row id (nut factors by preparation, sockets by drive, screw heads by thread, home checks by number)."""

    limits: Mapping[str, Limit]
    instruments: Mapping[str, Instrument]
    joints: Mapping[str, Joint]
    threads: Mapping[str, Thread]
    property_classes: Mapping[str, PropertyClass]
    nut_factors: Mapping[str, NutFactor]
    interfaces: Mapping[str, tuple[Row, ...]]
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
    signoff: Mapping[str, SignoffItem]
    refusals: Mapping[str, Refusal]
    home_checks: Mapping[int, HomeCheck]

    def interface(self, kind: type[InterfaceRow]) -> tuple[InterfaceRow, ...]:
        """The rows of one interface kind with their own type."""
        for name, row_kind in INTERFACES.items():
            if row_kind is kind:
                return cast(tuple[InterfaceRow, ...], self.interfaces[name])
        raise KeyError(kind.__name__)


@cache
def tables() -> Tables:
    """The trade tables alone, read once."""
    return load()


def load(shop_folder: Path | None = None) -> Tables:
    """First loader: trade tables, typed; the overlay follows."""
    faults: list[Fault] = []
    found: dict[str, list[Row]] = {}
    for file in FILES:
        raw, wrong = raw_tables((TRADE_FOLDER / file.name).read_bytes(), file.name)
        faults += wrong
        for table, kind in file.rows.items():
            rows = found.setdefault(table, [])
            for number, entry in enumerate(cast(list[Raw], raw.get(table, [])), start=1):
                row, wrong = row_of(kind, entry, file.name, name_of(kind, entry, table, number))
                faults += wrong
                if row is not None:
                    rows.append(row)
    if faults:
        raise refusal(faults)

    def by(table: str) -> Mapping[str, Row]:
        return MappingProxyType({getattr(row, row.key[0]): row for row in found[table]})

    names = {
        "limits": "limit", "instruments": "instrument", "joints": "joint", "threads": "thread",
        "property_classes": "property_class", "nut_factors": "nut_factor", "rules": "rule", "blocks": "block",
        "operations": "operation", "tools": "tool", "sockets": "socket", "screw_heads": "screw_head",
        "torque_classes": "torque_class", "torque_tools": "torque_tool", "torque_rules": "torque_rule", "kits": "kit",
        "signoff": "item", "refusals": "refuse", "home_checks": "home",
    }  # fmt: skip
    return Tables(
        interfaces=MappingProxyType({kind: tuple(found[kind]) for kind in INTERFACES}),
        **{attribute: by(table) for attribute, table in names.items()},  # type: ignore[arg-type]
    )
