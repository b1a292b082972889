"""Limits and the instruments that read them; the order of the walk-round."""

from typing import ClassVar, Literal

from pinchbolt.reference.rows.base import BikeKind, Row, entry
from pinchbolt.values import Verdict


@entry
class Limit(Row):
    """What is measured on a service and when it is enough. Figures in `unit`.

    `direction`: up = worse as it rises; down = worse as it falls; band = both ways (`warn` and `limit` are half-widths
    round `new`, or the four ends are given); flag = yes/no and `limit` is the bad answer. `steps` says in words what
    the steps 0 to 3 of an own scale mean. `possible`: least and greatest that such a part can show at all, where the
    usual range of its unit is not good enough.
    """

    in_unit: ClassVar[tuple[str, ...]] = (
        "new", "new_spread", "warn", "limit", "sd", "warn_low", "warn_high", "limit_low", "limit_high",
        "possible",
    )  # fmt: skip

    id: str
    part: str
    quantity: str
    where: str
    instrument: str
    unit: str
    direction: Literal["up", "down", "band", "flag"]
    at_limit: Verdict
    safety: bool
    new: float | None = None
    new_spread: float | None = None
    warn: float | None = None
    limit: float | str | None = None
    warn_low: float | None = None
    warn_high: float | None = None
    limit_low: float | None = None
    limit_high: float | None = None
    speeds: tuple[int, ...] = ()
    kinds: tuple[BikeKind, ...] = ()
    sd: float | None = None
    possible: tuple[float, ...] = ()
    steps: tuple[str, ...] = ()
    how: str = ""
    care: str = ""
    marking_wins: bool = False


@entry
class Instrument(Row):
    """A measuring instrument with its usual error, in `unit` (percent of elongation for chain gauges)."""

    in_unit: ClassVar[tuple[str, ...]] = ("bias", "bias_sd", "sd", "resolution", "mpe")

    id: str
    name: str
    reads: str
    sd: float
    unit: str = ""
    bias: float | None = None
    bias_sd: float | None = None
    resolution: float | None = None
    mpe: float | None = None
    span_pitches: int | None = None
    limit_face: float | None = None
    how_bias: str = ""
    bias_grows: str = ""
    check: str = ""
    check_every_months: int | None = None
    wear: str = ""


@entry
class Place(Row):
    """One place of the walk-round and the limits that are read there, in the order of the hands.

    `end` is given where the parts of both ends carry the same limits: front brake and rear brake are two places.
    """

    id: str
    words: str
    limits: tuple[str, ...]
    end: Literal["", "front", "rear"] = ""
