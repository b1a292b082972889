"""Gears that suit the rider: ratios, steps, what a hill asks for, and how long to cut the chain."""

from pinchbolt.engines.gearing._chain_length import (
    PITCH_MM,
    SPARE,
    chain_length,
    fixed_chains,
    pitch_diameter,
    stay_for,
    taut_loop,
)
from pinchbolt.engines.gearing._gears import (
    compared,
    development,
    gear_inches,
    gears,
    metres_per_pedal_metre,
    ratio,
    speed,
)
from pinchbolt.engines.gearing._hill import climb, low_enough, lowest_gear_for
from pinchbolt.engines.gearing._line import chain_slants
from pinchbolt.engines.gearing.gearing_types import (
    ChainLength,
    Climb,
    FixedChain,
    Gear,
    Gears,
    GearsCompared,
    GearStep,
    Slant,
    Twin,
)

__all__ = [
    "PITCH_MM",
    "SPARE",
    "ChainLength",
    "Climb",
    "FixedChain",
    "Gear",
    "GearStep",
    "Gears",
    "GearsCompared",
    "Slant",
    "Twin",
    "chain_length",
    "chain_slants",
    "climb",
    "compared",
    "development",
    "fixed_chains",
    "gear_inches",
    "gears",
    "low_enough",
    "lowest_gear_for",
    "metres_per_pedal_metre",
    "pitch_diameter",
    "ratio",
    "speed",
    "stay_for",
    "taut_loop",
]
