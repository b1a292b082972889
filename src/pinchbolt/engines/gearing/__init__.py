"""Gears that suit the rider: ratios, steps, what a hill asks for, and how long to cut the chain."""

from pinchbolt.engines.gearing._chain import (
    PITCH_MM,
    chain_length,
    fixed_chains,
    pitch_diameter,
    stay_for,
    taut_loop,
)
from pinchbolt.engines.gearing._climb import climb, low_enough, lowest_gear_for
from pinchbolt.engines.gearing._gears import (
    compared,
    development,
    gain_ratio,
    gear_inches,
    gears,
    ratio,
    speed,
)
from pinchbolt.engines.gearing.types import (
    ChainLength,
    Climb,
    FixedChain,
    Gear,
    Gears,
    GearsCompared,
    Step,
    Twin,
)

__all__ = [
    "PITCH_MM",
    "ChainLength",
    "Climb",
    "FixedChain",
    "Gear",
    "Gears",
    "GearsCompared",
    "Step",
    "Twin",
    "chain_length",
    "climb",
    "compared",
    "development",
    "fixed_chains",
    "gain_ratio",
    "gear_inches",
    "gears",
    "low_enough",
    "lowest_gear_for",
    "pitch_diameter",
    "ratio",
    "speed",
    "stay_for",
    "taut_loop",
]
