"""What a wheel meets on the bike that it is moved into: a brake, a bead seat that stood there, a caliper as set, gears."""

from collections.abc import Mapping

from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.hosts import Host

Facts = Mapping[str, object]


def wheel_meets(end: str, target: Host, source: Host | None, build: Facts, wheel: Facts) -> dict[str, object]:
    """Return facts, by the names of the build, that only a wheel's move tells.

    *build* is the bike before the move, *wheel* what is known of the wheel. What the wheel is made for is seen from the
    bike that it comes out of, where nobody wrote it down: it was braked and shifted there.
    """
    met: dict[str, object] = {}
    if build.get(f"rotor_{end}") is not None:
        met[f"caliper_set_for_{end}"] = build[f"rotor_{end}"]
    if wheel.get(f"wheel_brake_{end}") is None and source is not None and not source.is_trainer:
        met[f"wheel_brake_{end}"] = source.facts.get(f"brake_kind_{end}")
    if build.get(f"made_for_seat_{end}") is None:
        met[f"made_for_seat_{end}"] = build.get(f"rim_bsd_{end}") or _seat_of(build.get(f"tyre_{end}"))
    met[f"stood_tyre_{end}"] = build.get(f"tyre_{end}")
    if end == "rear":
        met["bike_gears"], met["stood_body"] = _gears(target), build.get("body")
        met["wheel_gears"] = _gears(source) if source is not None and not source.is_trainer else None
    return {name: value for name, value in met.items() if value is not None}


def _seat_of(tyre: object) -> float | None:
    """The seat that a tyre's marking names: 622 of 28-622."""
    seat = str(tyre or "").rpartition("-")[2].strip()
    return float(seat) if seat.isdigit() else None


def _gears(one: Host) -> str | None:
    """How the gears behind are shifted, by what stands on the build sheet."""
    if one.facts.get("gears_inside"):
        return worded("gears in the hub")
    if one.speeds is None:
        return None
    return "derailleur" if one.speeds > 1 else worded("one sprocket")
