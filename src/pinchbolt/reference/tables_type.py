"""The tables as one frozen value."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from functools import cached_property
from typing import Any, TypeVar, cast

from pinchbolt.reference.files import INTERFACES
from pinchbolt.reference.gather import Overlaid
from pinchbolt.reference.read import as_read
from pinchbolt.reference.rows.base import Row
from pinchbolt.reference.rows.build import Template
from pinchbolt.reference.rows.country import CountryRow
from pinchbolt.reference.rows.fit_rules import FitRule
from pinchbolt.reference.rows.joints import JointCase, JointOrder, JointRow, NutFactor, PropertyClass, Thread
from pinchbolt.reference.rows.kinds import BikeKind, Feature, PartFact, PartKind, UseRow
from pinchbolt.reference.rows.looks import AccessRow, ComplaintRow, LookFaultRow, LookRow, StationRow
from pinchbolt.reference.rows.measure import CornerRow, InstrumentRow, LimitRow, PlaceRow
from pinchbolt.reference.rows.proposals import Proposal
from pinchbolt.reference.rows.tools import (
    JointChoice,
    KitRow,
    ScrewHead,
    Socket,
    ToolPrice,
    ToolRow,
    TorqueClass,
    TorqueRule,
    TorqueTool,
)
from pinchbolt.reference.rows.wear import WearBelief, WearPrior
from pinchbolt.reference.rows.work import (
    BlockRow,
    Caution,
    ExtraMinutes,
    HomeCheck,
    Operation,
    Refusal,
    ShelfPrice,
    SignoffItem,
)

InterfaceRow = TypeVar("InterfaceRow", bound=Row)
OnKinds = TypeVar("OnKinds", LimitRow, JointRow)

# Attribute of `Tables` for each table of the files; the interface kinds stand together under `interfaces`.
ATTRIBUTES: Mapping[str, str] = {
    "limits": "limit", "instruments": "instrument", "walk_round": "place", "joints": "joint", "joint_cases": "joint_case", "threads": "thread",
    "property_classes": "property_class", "nut_factors": "nut_factor", "rules": "rule", "blocks": "block",
    "operations": "operation", "extras": "extra", "tools": "tool", "sockets": "socket", "screw_heads": "screw_head",
    "torque_classes": "torque_class", "torque_tools": "torque_tool", "torque_rules": "torque_rule", "kits": "kit",
    "joint_choices": "joint_choice", "tool_prices": "tool_price",
    "signoff": "item", "refusals": "refuse", "home_checks": "home", "templates": "template", "prices": "price",
    "proposals": "proposal", "joint_order": "order", "priors": "prior", "beliefs": "belief", "kinds": "kind", "facts": "fact",
    "features": "feature", "bike_kinds": "bike_kind", "uses": "use", "cautions": "caution", "corners": "corner",
    "stations": "station", "looks": "look", "look_faults": "look_fault", "access": "access", "complaints": "complaint",
    "countries": "country",
}  # fmt: skip


@dataclass(frozen=True)
class Tables:
    """Every table, its rows by their id and in the order of the file.

    Nut factors go by preparation, sockets by drive, screw heads by thread, home checks by number. `overlaid` says
    what the workshop's own tables changed.
    """

    limits: Mapping[str, LimitRow]
    instruments: Mapping[str, InstrumentRow]
    walk_round: Mapping[str, PlaceRow]
    joints: Mapping[str, JointRow]
    joint_cases: Mapping[str, JointCase]
    threads: Mapping[str, Thread]
    property_classes: Mapping[str, PropertyClass]
    nut_factors: Mapping[str, NutFactor]
    rules: Mapping[str, FitRule]
    blocks: Mapping[str, BlockRow]
    operations: Mapping[str, Operation]
    extras: Mapping[str, ExtraMinutes]
    tools: Mapping[str, ToolRow]
    sockets: Mapping[str, Socket]
    screw_heads: Mapping[str, ScrewHead]
    torque_classes: Mapping[str, TorqueClass]
    torque_tools: Mapping[str, TorqueTool]
    torque_rules: Mapping[str, TorqueRule]
    kits: Mapping[str, KitRow]
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
    kinds: Mapping[str, PartKind]
    facts: Mapping[str, PartFact]
    features: Mapping[str, Feature]
    bike_kinds: Mapping[str, BikeKind]
    uses: Mapping[str, UseRow]
    cautions: Mapping[str, Caution]
    corners: Mapping[str, CornerRow]
    stations: Mapping[str, StationRow]
    looks: Mapping[str, LookRow]
    look_faults: Mapping[str, LookFaultRow]
    access: Mapping[str, AccessRow]
    complaints: Mapping[str, ComplaintRow]
    countries: Mapping[str, CountryRow]
    interfaces: Mapping[str, tuple[Row, ...]]
    overlaid: tuple[Overlaid, ...] = ()

    def interface(self, kind: type[InterfaceRow]) -> tuple[InterfaceRow, ...]:
        """The rows of one interface kind, with their own type."""
        name = next(name for name, row_kind in INTERFACES.items() if row_kind is kind)
        return cast(tuple[InterfaceRow, ...], self.interfaces[name])

    @cached_property
    def spots(self) -> Mapping[str, str]:
        """The spot of the drawing for each place of the walk-round."""
        return {place.id: place.spot for place in self.walk_round.values()}

    @cached_property
    def limits_on(self) -> Mapping[str, tuple[LimitRow, ...]]:
        """The limits of each kind of part, in the order of the table."""
        return _by_kind(self.limits.values())

    @cached_property
    def mended_by(self) -> Mapping[str, frozenset[str]]:
        """The operations that put a reading of each limit right; a mere look puts nothing right."""
        found: dict[str, set[str]] = {}
        for row in self.proposals.values():
            for limit in row.limits if row.mends else ():
                found.setdefault(limit, set()).add(row.operation)
        return {limit: frozenset(operations) for limit, operations in found.items()}

    @cached_property
    def cases_of(self) -> Mapping[str, tuple[JointCase, ...]]:
        """The cases of each joint that has any, in the order of the table."""
        found: dict[str, list[JointCase]] = {}
        for row in self.joint_cases.values():
            found.setdefault(row.joint, []).append(row)
        return {joint: tuple(rows) for joint, rows in found.items()}

    @cached_property
    def joints_on(self) -> Mapping[str, tuple[JointRow, ...]]:
        """The joints that each kind of part brings, in the order of the table."""
        return _by_kind(self.joints.values())

    # A key of what is worked out once for a version of the tables.
    __hash__ = object.__hash__

    def all_rows(self) -> Iterator[Row]:
        """Every row of every table."""
        for field in fields(self):
            if field.name in ATTRIBUTES:
                yield from getattr(self, field.name).values()
        for rows in self.interfaces.values():
            yield from rows

    @cached_property
    def wear_priors(self) -> Mapping[str, Sequence[Mapping[str, Any]]]:
        """What the law of wear goes by, as the files say it, checked: `{"prior": rows, "belief": rows, "use": rows}`."""
        return {
            "prior": [as_read(row) for row in self.priors.values()],
            "belief": [as_read(row) for row in self.beliefs.values()],
            "use": [as_read(row) for row in self.uses.values()],
        }


def _by_kind(rows: Iterable[OnKinds]) -> dict[str, tuple[OnKinds, ...]]:
    found: dict[str, list[OnKinds]] = {}
    for row in rows:
        for kind in row.on:
            found.setdefault(kind, []).append(row)
    return {kind: tuple(here) for kind, here in found.items()}
