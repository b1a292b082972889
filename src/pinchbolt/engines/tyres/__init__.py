"""Tyres: what a marking says, how wide a tyre stands, how far it rolls, and a pressure that every part allows."""

from pinchbolt.engines.tyres._pressure import (
    HOOKLESS_BAR,
    by_wheel_drop,
    floor_by_width,
    pressure_guide,
    wheel_loads,
)
from pinchbolt.engines.tyres._room import room_beside
from pinchbolt.engines.tyres._size_written import SizeWritten, size_written
from pinchbolt.engines.tyres._sizes import circumference, mounted_width, seats_called, tyre_size
from pinchbolt.engines.tyres.tyres_types import (
    Circumference,
    MountedWidth,
    PressureGuide,
    Room,
    Seats,
    TyreSize,
)

__all__ = [
    "HOOKLESS_BAR",
    "Circumference",
    "MountedWidth",
    "PressureGuide",
    "Room",
    "Seats",
    "SizeWritten",
    "TyreSize",
    "by_wheel_drop",
    "circumference",
    "floor_by_width",
    "mounted_width",
    "pressure_guide",
    "room_beside",
    "seats_called",
    "size_written",
    "tyre_size",
    "wheel_loads",
]
