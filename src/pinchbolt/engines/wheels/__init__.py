"""Wheels: how long a spoke must be, how tight it is by gauge and by ear, and which nipples to turn."""

from pinchbolt.engines.wheels._beam import DENSITY, Wire, spoke_frequencies, string_frequency
from pinchbolt.engines.wheels._ear import (
    HeardTension,
    HeardWheel,
    ReferenceSpoke,
    end_fixity,
    tensions_by_pitch,
)
from pinchbolt.engines.wheels._gauge import GaugeCheck, GaugeTable, check_gauge, tension_by_gauge
from pinchbolt.engines.wheels._learn_wheel import Noise, WheelRound
from pinchbolt.engines.wheels._length import LengthFound, LengthSpec, spoke_length
from pinchbolt.engines.wheels._pitch import Pitch, pluck_pitch
from pinchbolt.engines.wheels._plan import RoundPlan, plan_round, turns_ahead
from pinchbolt.engines.wheels._ring import (
    CLASSES,
    QUARTER,
    USUAL_RIM,
    Influence,
    RimStiffness,
    WheelShape,
    alternating,
    influence,
)
from pinchbolt.engines.wheels._stocked import (
    ELASTICITY,
    RimMeasured,
    Stocked,
    elongation,
    rim_by_two_spokes,
    stocked_lengths,
)
from pinchbolt.engines.wheels._true import AFTER_A_HIT, Trueness, Turn, tension_ratio, trueness
from pinchbolt.engines.wheels._turn_search import Limits, State
from pinchbolt.engines.wheels._wave import Sound, read_wave

__all__ = [
    "AFTER_A_HIT",
    "CLASSES",
    "DENSITY",
    "ELASTICITY",
    "QUARTER",
    "USUAL_RIM",
    "GaugeCheck",
    "GaugeTable",
    "HeardTension",
    "HeardWheel",
    "Influence",
    "LengthFound",
    "LengthSpec",
    "Limits",
    "Noise",
    "Pitch",
    "ReferenceSpoke",
    "RimMeasured",
    "RimStiffness",
    "RoundPlan",
    "Sound",
    "State",
    "Stocked",
    "Trueness",
    "Turn",
    "WheelRound",
    "WheelShape",
    "Wire",
    "alternating",
    "check_gauge",
    "elongation",
    "end_fixity",
    "influence",
    "plan_round",
    "pluck_pitch",
    "read_wave",
    "rim_by_two_spokes",
    "spoke_frequencies",
    "spoke_length",
    "stocked_lengths",
    "string_frequency",
    "tension_by_gauge",
    "tension_ratio",
    "tensions_by_pitch",
    "trueness",
    "turns_ahead",
]
