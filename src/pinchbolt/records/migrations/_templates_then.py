"""Build templates as they were when bikes were checked in by them: usual number behind, and each fact's values.

Kept here, since a change of records must read the same whatever today's tables say: what equals one of these on an old
record came from the template, and nobody looked.
"""

from collections.abc import Mapping
from typing import Any

TEMPLATES: Mapping[str, tuple[int, Mapping[str, tuple[Any, ...]]]] = {
    "road-disc": (12, {
        "bar": (31.8,), "frame_front": ("f-12x100",), "front_hub": ("f-12x100",), "frame_rear": ("r-12x142",),
        "rear_hub": ("r-12x142",), "caliper_front": ("flat",), "pads_front": ("resin",), "rotor_front": (160,),
        "rotor_kind_front": ("centre-lock",), "caliper_rear": ("flat",), "pads_rear": ("resin",), "rotor_rear": (160,),
        "rotor_kind_rear": ("centre-lock",), "hub_rotor_mount_front": ("centre-lock",), "rim_inner_front": (19,),
        "hook_front": (True,), "rim_bsd_front": (622,), "tyre_front": ("28-622",), "hub_rotor_mount_rear": ("centre-lock",),
        "rim_inner_rear": (19,), "hook_rear": (True,), "rim_bsd_rear": (622,), "tyre_rear": ("28-622",),
        "chain": ("ch-12", "ch-11",), "drive": ("12", "11",), "cassette": ("c12-road", "c11-road",), "body": ("hg-11",),
        "saddle_rail": ("7-round",),
    }),
    "road-rim": (11, {
        "bar": (31.8,), "frame_front": ("f-qr-9x100",), "front_hub": ("f-qr-9x100",), "frame_rear": ("r-qr-10x130",),
        "rear_hub": ("r-qr-10x130",), "lever_pull_front": ("short",), "brake_pull_front": ("short",),
        "lever_pull_rear": ("short",), "brake_pull_rear": ("short",), "rim_inner_front": (15,), "hook_front": (True,),
        "rim_bsd_front": (622,), "tyre_front": ("25-622",), "rim_inner_rear": (15,), "hook_rear": (True,),
        "rim_bsd_rear": (622,), "tyre_rear": ("25-622",), "chain": ("ch-11", "ch-10", "ch-9",), "drive": ("11", "10", "9",),
        "cassette": ("c11-road", "c9",), "body": ("hg-11", "hg-8910",), "saddle_rail": ("7-round",),
    }),
    "gravel-1x": (11, {
        "bar": (31.8,), "frame_front": ("f-12x100",), "front_hub": ("f-12x100",), "frame_rear": ("r-12x142",),
        "rear_hub": ("r-12x142",), "caliper_front": ("flat",), "pads_front": ("resin",), "rotor_front": (160,),
        "rotor_kind_front": ("centre-lock",), "caliper_rear": ("flat",), "pads_rear": ("resin",), "rotor_rear": (160,),
        "rotor_kind_rear": ("centre-lock",), "hub_rotor_mount_front": ("centre-lock",), "rim_inner_front": (23,),
        "hook_front": (True,), "rim_bsd_front": (622,), "tyre_front": ("40-622",), "hub_rotor_mount_rear": ("centre-lock",),
        "rim_inner_rear": (23,), "hook_rear": (True,), "rim_bsd_rear": (622,), "tyre_rear": ("40-622",),
        "chain": ("ch-11", "ch-12",), "drive": ("11", "12",), "cassette": ("c11-overhang",), "saddle_rail": ("7-round",),
    }),
    "gravel-2x": (11, {
        "bar": (31.8,), "frame_front": ("f-12x100",), "front_hub": ("f-12x100",), "frame_rear": ("r-12x142",),
        "rear_hub": ("r-12x142",), "caliper_front": ("flat",), "pads_front": ("resin",), "rotor_front": (160,),
        "rotor_kind_front": ("centre-lock",), "caliper_rear": ("flat",), "pads_rear": ("resin",), "rotor_rear": (160,),
        "rotor_kind_rear": ("centre-lock",), "hub_rotor_mount_front": ("centre-lock",), "rim_inner_front": (23,),
        "hook_front": (True,), "rim_bsd_front": (622,), "tyre_front": ("40-622",), "hub_rotor_mount_rear": ("centre-lock",),
        "rim_inner_rear": (23,), "hook_rear": (True,), "rim_bsd_rear": (622,), "tyre_rear": ("40-622",),
        "chain": ("ch-11", "ch-12", "ch-10",), "drive": ("11", "12", "10",), "cassette": ("c11-overhang",),
        "saddle_rail": ("7-round",),
    }),
    "hardtail": (12, {
        "bar": (31.8,), "frame_front": ("f-15x110",), "front_hub": ("f-15x110",), "frame_rear": ("r-12x148",),
        "rear_hub": ("r-12x148",), "caliper_front": ("post",), "pads_front": ("resin",), "rotor_front": (180,),
        "rotor_kind_front": ("six-bolt",), "caliper_rear": ("post",), "pads_rear": ("resin",), "rotor_rear": (160,),
        "rotor_kind_rear": ("six-bolt",), "hub_rotor_mount_front": ("six-bolt",), "rim_inner_front": (30,),
        "hook_front": (True,), "rim_bsd_front": (622,), "tyre_front": ("60-622",), "hub_rotor_mount_rear": ("six-bolt",),
        "rim_inner_rear": (30,), "hook_rear": (True,), "rim_bsd_rear": (622,), "tyre_rear": ("60-622",),
        "chain": ("ch-12", "ch-11", "ch-10",), "drive": ("12", "11", "10",), "saddle_rail": ("7-round",),
    }),
    "full-suspension": (12, {
        "bar": (31.8,), "frame_front": ("f-15x110",), "front_hub": ("f-15x110",), "frame_rear": ("r-12x148",),
        "rear_hub": ("r-12x148",), "caliper_front": ("post",), "pads_front": ("sintered",), "rotor_front": (200,),
        "rotor_kind_front": ("six-bolt",), "caliper_rear": ("post",), "pads_rear": ("sintered",), "rotor_rear": (180,),
        "rotor_kind_rear": ("six-bolt",), "hub_rotor_mount_front": ("six-bolt",), "rim_inner_front": (30,),
        "hook_front": (True,), "rim_bsd_front": (622,), "tyre_front": ("62-622",), "hub_rotor_mount_rear": ("six-bolt",),
        "rim_inner_rear": (30,), "hook_rear": (True,), "rim_bsd_rear": (622,), "tyre_rear": ("62-622",),
        "chain": ("ch-12", "ch-11",), "drive": ("12", "11",), "saddle_rail": ("7-round",),
    }),
    "city-hub-gear": (1, {
        "frame_front": ("f-nut-9x100",), "front_hub": ("f-nut-9x100",), "lever_pull_front": ("long",),
        "brake_pull_front": ("long",), "chain": ("ch-1-wide",), "drive": ("1-wide",), "body": ("three-lug",),
        "rim_inner_front": (19,), "hook_front": (True,), "rim_bsd_front": (622,), "tyre_front": ("40-622",),
        "rim_inner_rear": (19,), "hook_rear": (True,), "rim_bsd_rear": (622,), "tyre_rear": ("40-622",),
        "saddle_rail": ("7-round",),
    }),
    "city-ebike": (9, {
        "bar": (31.8,), "caliper_front": ("post",), "pads_front": ("resin",), "rotor_front": (180,),
        "rotor_kind_front": ("centre-lock",), "caliper_rear": ("post",), "pads_rear": ("resin",), "rotor_rear": (160,),
        "rotor_kind_rear": ("centre-lock",), "hub_rotor_mount_front": ("centre-lock",), "rim_inner_front": (25,),
        "hook_front": (True,), "rim_bsd_front": (622,), "tyre_front": ("50-622",), "hub_rotor_mount_rear": ("centre-lock",),
        "rim_inner_rear": (25,), "hook_rear": (True,), "rim_bsd_rear": (622,), "tyre_rear": ("50-622",),
        "chain": ("ch-9", "ch-10", "ch-678",), "drive": ("9", "10", "8",), "cassette": ("c9", "c10-wide", "c8",),
        "body": ("hg-8910",), "saddle_rail": ("7-round",),
    }),
    "cargo-ebike": (10, {
        "bar": (31.8,), "caliper_front": ("post",), "pads_front": ("sintered",), "rotor_front": (203,),
        "rotor_kind_front": ("six-bolt",), "caliper_rear": ("post",), "pads_rear": ("sintered",), "rotor_rear": (203,),
        "rotor_kind_rear": ("six-bolt",), "hub_rotor_mount_front": ("six-bolt",), "rim_inner_front": (30,),
        "hook_front": (True,), "rim_bsd_front": (406,), "tyre_front": ("62-406",), "hub_rotor_mount_rear": ("six-bolt",),
        "rim_inner_rear": (30,), "hook_rear": (True,), "rim_bsd_rear": (406,), "tyre_rear": ("62-406",),
        "chain": ("ch-10", "ch-9",), "drive": ("10", "9",), "cassette": ("c10-wide", "c9",), "body": ("hg-8910",),
        "saddle_rail": ("7-round",),
    }),
    "child": (7, {
        "bar": (31.8,), "frame_front": ("f-nut-9x100",), "front_hub": ("f-nut-9x100",), "lever_pull_front": ("long",),
        "brake_pull_front": ("long",), "lever_pull_rear": ("long",), "brake_pull_rear": ("long",), "hook_front": (True,),
        "rim_bsd_front": (507,), "tyre_front": ("47-507",), "hook_rear": (True,), "rim_bsd_rear": (507,),
        "tyre_rear": ("47-507",), "chain": ("ch-678",), "drive": ("7", "6",), "body": ("screw-on",),
        "saddle_rail": ("7-round",),
    }),
    "track": (1, {
        "bar": (31.8,), "frame_front": ("f-nut-9x100",), "front_hub": ("f-nut-9x100",), "frame_rear": ("r-120",),
        "rear_hub": ("r-120",), "lever_pull_front": ("short",), "brake_pull_front": ("short",), "rim_inner_front": (15,),
        "hook_front": (True,), "rim_bsd_front": (622,), "tyre_front": ("25-622",), "rim_inner_rear": (15,),
        "hook_rear": (True,), "rim_bsd_rear": (622,), "tyre_rear": ("25-622",), "chain": ("ch-1-narrow",),
        "drive": ("1-narrow",), "body": ("track-screw",), "saddle_rail": ("7-round",),
    }),
    "tourer": (9, {
        "bar": (31.8,), "frame_front": ("f-qr-9x100",), "front_hub": ("f-qr-9x100",), "frame_rear": ("r-qr-10x135",),
        "rear_hub": ("r-qr-10x135",), "lever_pull_front": ("short",), "brake_pull_front": ("short",),
        "lever_pull_rear": ("short",), "brake_pull_rear": ("short",), "rim_inner_front": (19,), "hook_front": (True,),
        "rim_bsd_front": (622,), "tyre_front": ("37-622",), "rim_inner_rear": (19,), "hook_rear": (True,),
        "rim_bsd_rear": (622,), "tyre_rear": ("37-622",), "chain": ("ch-9", "ch-678", "ch-10",), "drive": ("9", "8", "10",),
        "cassette": ("c9", "c8",), "body": ("hg-8910",), "saddle_rail": ("7-round",),
    }),}

# What the parts of builds are made of that are all of metal, as such a bike is begun with since parts have facts of their own.
_METAL = {"handlebar": "aluminium", "stem": "aluminium", "crank": "aluminium", "seat post": "aluminium", "rim": "aluminium", "saddle": "other"}
METAL: Mapping[str, Mapping[str, str]] = {
    "city-hub-gear": {**_METAL, "fork": "steel", "frame": "steel"},
    "city-ebike": {**_METAL, "fork": "aluminium", "frame": "aluminium"},
    "cargo-ebike": {**_METAL, "fork": "steel", "frame": "aluminium"},
    "child": {**_METAL, "fork": "steel", "frame": "aluminium"},
    "tourer": {**_METAL, "fork": "steel", "frame": "steel"},
}
