"""Interfaces of brakes: rotors, mounts, calipers, fluid, cable pull."""

from collections.abc import Mapping
from typing import ClassVar, Literal

from pinchbolt.reference.rows.base import PairVerdict, Row, entry


@entry
class RotorMount(Row):
    """How a rotor sits on its hub."""

    id: str
    trade_name: str
    plain: str


@entry
class RotorOnHub(Row):
    """A rotor of one mount on a hub of another."""

    key: ClassVar[tuple[str, ...]] = ("rotor", "hub")

    rotor: str
    hub: str
    verdict: PairVerdict
    with_: str = ""
    because: str = ""


@entry
class RotorSize(Row):
    """Rotor diameters in the trade, mm."""

    key: ClassVar[tuple[str, ...]] = ()

    diameters: tuple[int, ...]


@entry
class PostMount(Row):
    """Post mount by the rotor that fits with no adapter, mm; `step` names the adapter by rotor."""

    key: ClassVar[tuple[str, ...]] = ("native",)

    native: int
    step: Mapping[int, str]


@entry
class IsMount(Row):
    """IS tabs by end; the adapter by rotor diameter in mm."""

    key: ClassVar[tuple[str, ...]] = ("end",)

    end: Literal["front", "rear"]
    adapter_for: Mapping[int, str]


@entry
class FlatMount(Row):
    """Flat mount by the rotor that fits with no plate, mm; `step` names the plate by rotor."""

    id: str
    end: Literal["front", "rear"]
    native: int
    step: Mapping[int, str]
    plain: str


@entry
class CaliperOnMount(Row):
    """A caliper of one kind on a mount of another."""

    key: ClassVar[tuple[str, ...]] = ("caliper", "mount")

    caliper: str
    mount: str
    verdict: PairVerdict
    with_: str = ""
    because: str = ""


@entry
class PadRotor(Row):
    """Which lining a rotor allows."""

    key: ClassVar[tuple[str, ...]] = ()

    rule: str


@entry
class Fluid(Row):
    """A brake fluid and what it may be mixed with: never one of another family."""

    id: str
    plain: str
    mix: str
    family: str


@entry
class BrakePull(Row):
    """How much cable a lever moves."""

    id: str
    plain: str


@entry
class BrakePair(Row):
    """A lever with a cable brake."""

    key: ClassVar[tuple[str, ...]] = ("lever", "brake")

    lever: str
    brake: str
    verdict: PairVerdict
    with_: str = ""
    because: str = ""
