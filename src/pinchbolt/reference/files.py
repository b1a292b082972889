"""Which files make up the tables: one line a file, one word a kind of row."""

from collections.abc import Mapping
from dataclasses import dataclass

from pinchbolt.reference.rows import (
    brakes,
    build,
    country,
    drivetrain,
    fit_rules,
    frame,
    joints,
    kinds,
    looks,
    measure,
    proposals,
    tools,
    wear,
    wheels,
    work,
)
from pinchbolt.reference.rows.base import Row

INTERFACES: Mapping[str, type[Row]] = {
    "freehub": drivetrain.Freehub,
    "cassette": drivetrain.Cassette,
    "cassette_on_body": drivetrain.CassetteOnBody,
    "sprocket_pitch": drivetrain.SprocketPitch,
    "chain": drivetrain.Chain,
    "drive": drivetrain.DriveRow,
    "chain_on_drive": drivetrain.ChainOnDrive,
    "shift_family": drivetrain.ShiftFamily,
    "axle": wheels.Axle,
    "hub_in_frame": wheels.HubInFrame,
    "axle_thread": wheels.AxleThread,
    "rotor_mount": brakes.RotorMount,
    "rotor_on_hub": brakes.RotorOnHub,
    "rotor_size": brakes.RotorSize,
    "post_mount": brakes.PostMount,
    "is_mount": brakes.IsMount,
    "flat_mount": brakes.FlatMount,
    "caliper_on_mount": brakes.CaliperOnMount,
    "pad_rotor": brakes.PadRotor,
    "fluid": brakes.Fluid,
    "bb_shell": frame.BbShell,
    "spindle": frame.Spindle,
    "spindle_in_shell": frame.SpindleInShell,
    "head_tube": frame.HeadTube,
    "crown_race": frame.CrownRace,
    "steerer": frame.Steerer,
    "seat_post": frame.SeatPost,
    "bar_clamp": frame.BarClamp,
    "bar_grip": frame.BarGrip,
    "saddle_rail": frame.SaddleRail,
    "front_mech_band": drivetrain.FrontMechBand,
    "brake_pull": brakes.BrakePull,
    "brake_pair": brakes.BrakePair,
    "bead_seat": wheels.BeadSeat,
    "tyre_on_hooked_rim": wheels.TyreOnHookedRim,
    "tyre_on_hookless_rim": wheels.TyreOnHooklessRim,
    "hookless": wheels.Hookless,
    "measuring_rim": wheels.MeasuringRim,
    "mounted_width": wheels.MountedWidthRow,
    "valve": wheels.Valve,
    "ring_mount": drivetrain.RingMount,
    "chain_line": drivetrain.ChainLine,
    "pedal_thread": drivetrain.PedalThread,
    "hanger": drivetrain.Hanger,
    "spoke": wheels.Spoke,
    "spoke_thread": wheels.SpokeThread,
    "nipple": wheels.Nipple,
    "spoke_length": wheels.SpokeLength,
    "spoken": fit_rules.Spoken,
}


@dataclass(frozen=True, slots=True)
class TableFile:
    """A file of the tables folder: its name and the row class of each table in it.

    `heads` are keys that may stand above the tables; an `optional` file may be missing from the trade tables.
    """

    name: str
    rows: Mapping[str, type[Row]]
    heads: frozenset[str] = frozenset({"version"})
    optional: bool = False


FILES: tuple[TableFile, ...] = (
    TableFile("part-kinds.toml", {"kind": kinds.PartKind, "fact": kinds.PartFact, "feature": kinds.Feature}),
    TableFile("bike-kinds.toml", {"bike_kind": kinds.BikeKind, "use": kinds.UseRow}),
    TableFile("limits.toml", {"limit": measure.LimitRow}),
    TableFile("joints.toml", {
        "joint": joints.JointRow, "joint_case": joints.JointCase, "thread": joints.Thread,
        "property_class": joints.PropertyClass, "nut_factor": joints.NutFactor,
    }),
    TableFile("interfaces.toml", INTERFACES),
    TableFile("rules.toml", {"rule": fit_rules.FitRule}, frozenset({"version", "order"})),
    TableFile("operations.toml", {"block": work.BlockRow, "operation": work.Operation, "extra": work.ExtraMinutes}),
    TableFile("tools.toml", {
        "tool": tools.ToolRow, "socket": tools.Socket, "screw_head": tools.ScrewHead, "instrument": measure.InstrumentRow,
        "torque_class": tools.TorqueClass, "torque_tool": tools.TorqueTool, "torque_rule": tools.TorqueRule,
        "kit": tools.KitRow, "joint_choice": tools.JointChoice, "tool_price": tools.ToolPrice,
    }),
    TableFile("signoff.toml", {"item": work.SignoffItem, "refuse": work.Refusal, "home": work.HomeCheck, "caution": work.Caution}),
    TableFile("templates.toml", {"template": build.Template}),
    TableFile("walk-round.toml", {"place": measure.PlaceRow, "corner": measure.CornerRow}),
    TableFile("look.toml", {
        "station": looks.StationRow, "look": looks.LookRow, "look_fault": looks.LookFaultRow, "access": looks.AccessRow,
        "complaint": looks.ComplaintRow,
    }),
    TableFile("parts-prices.toml", {"price": work.ShelfPrice}),
    TableFile("joint-order.toml", {"order": joints.JointOrder}),
    TableFile("proposals.toml", {"proposal": proposals.Proposal}),
    TableFile("countries.toml", {"country": country.CountryRow}),
    TableFile("wear-priors.toml", {"prior": wear.WearPrior, "belief": wear.WearBelief}),
)  # fmt: skip

KINDS: Mapping[str, type[Row]] = {table: kind for file in FILES for table, kind in file.rows.items()}
FILE_OF: Mapping[str, str] = {table: file.name for file in FILES for table in file.rows}
