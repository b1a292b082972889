"""What the gearing engine is asked and what it answers."""

from dataclasses import dataclass

from pinchbolt.values import Interval, Reason


@dataclass(frozen=True, slots=True)
class Gear:
    """One ring with one sprocket. `crossed`: the chain runs at a slant that is better left alone.

    Of a hub gear `inside` is the hub's own ratio and `position` the gear's number in the hub, lowest first; else 1 and 0.
    """

    ring: int
    sprocket: int
    ratio: float
    development_m: float
    inches: float
    metres_per_pedal_metre: float | None
    speed_km_h: float | None
    crossed: bool
    inside: float = 1.0
    position: int = 0


@dataclass(frozen=True, slots=True)
class Twin:
    """Two gears that the legs cannot tell apart; `apart` is the share by which they differ."""

    one: Gear
    other: Gear
    apart: float


@dataclass(frozen=True, slots=True)
class GearStep:
    """From one sprocket to the next smaller one on the same ring, or from one gear of a hub to the next: by what share it grows."""

    from_sprocket: int
    to_sprocket: int
    share: float


@dataclass(frozen=True, slots=True)
class Gears:
    """All gears of a drive, lowest first.

    `range` is highest by lowest; `overlap` the share of the range (as the legs feel it, by ratio) that two rings serve;
    `distinct` counts gears of which no lower one is a twin.
    """

    gears: tuple[Gear, ...]
    lowest: Gear
    highest: Gear
    range: float
    steps: tuple[GearStep, ...]
    widest_step: GearStep | None
    twins: tuple[Twin, ...]
    distinct: int
    overlap: float
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class GearsCompared:
    """What a swap does to the gears. Shares: 0.10 is a tenth more than before; `words` say it to the owner."""

    lowest: float
    highest: float
    range: float
    widest_step: float
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Slant:
    """How far ring and sprocket stand off one line, and the chain's angle. Above 0: the ring stands further out."""

    ring: int
    sprocket: int
    off_mm: float
    degrees: float


@dataclass(frozen=True, slots=True)
class Climb:
    """What a gradient asks of the legs in one gear."""

    gear: Gear
    speed_km_h: float
    power_w: Interval
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class ChainLength:
    """How long to cut a chain, in half-inch pitches.

    `wrap` is the taut loop round both wheels (not whole); `pitches` what to cut; `spare` what stays over the taut loop
    on the biggest pair; `slack` what the cage takes up between the biggest and the smallest pair, in pitches, and
    `slack_teeth` the same in teeth of capacity; `cage_short` by how many teeth the cage falls short (None: not known).
    """

    pitches: int
    wrap: float
    spare: float
    slack: float | None
    slack_teeth: float | None
    cage_short: float | None
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class FixedChain:
    """A chain without a derailleur: for each whole even length, where the axle must stand. [mm]"""

    pitches: int
    stay_mm: float
    moved_mm: float
