"""Limits and the instruments that read them; the order of the walk-round."""

from typing import ClassVar, Literal

from pinchbolt.reference.rows.base import MarkedAs, Row, entry
from pinchbolt.reference.rows.condition import Condition
from pinchbolt.values import Verdict


@entry
class LimitRow(Row):
    """What is measured on a service and when it is enough. Figures in `unit`.

    `direction`: up = worse as it rises; down = worse as it falls; band = both ways (`warn` and `limit` are half-widths
    round `new`, or the four ends are given); flag = yes/no and `limit` is the bad answer. `steps` says in words what
    the steps 0 to 3 of an own scale mean. `possible`: least and greatest that such a part can show at all, where the
    usual range of its unit is not good enough.

    `danger`: where a part that is past its limit can no longer be ridden, whatever `at_limit` says; of a band
    `danger_low` and `danger_high`. `danger_source` says how that is known.

    `on` names the kinds of part that it is read on, at `end` alone where one is given, and `when` what must hold
    besides. Where a fact in `when` is not known, the row with `if_unknown` is read. `read_in`: the walk-round; `deeper`
    where there is cause or in a full service; or never asked, since the `records` tell it. `station` is a place of the
    walk-round, where it is not that of the part. `marked_as`: the grammar that reads such a marking off a photo.
    """

    in_unit: ClassVar[tuple[str, ...]] = (
        "new", "new_spread", "warn", "limit", "sd", "warn_low", "warn_high", "limit_low", "limit_high",
        "danger", "danger_low", "danger_high",
        "possible",
    )  # fmt: skip

    id: str
    part: str
    on: tuple[str, ...]
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
    danger: float | None = None
    danger_low: float | None = None
    danger_high: float | None = None
    danger_source: str = ""
    when: tuple[Condition, ...] = ()
    end: Literal["", "front", "rear"] = ""
    if_unknown: bool = False
    read_in: Literal["walk-round", "deeper", "records"] = "walk-round"
    station: str = ""
    sd: float | None = None
    possible: tuple[float, ...] = ()
    steps: tuple[str, ...] = ()
    how: str = ""
    care: str = ""
    marking_wins: bool = False
    marked_as: MarkedAs = ""

    @property
    def is_elongation(self) -> bool:
        """Whether it is how much longer a chain's pitches have become, as a chain gauge reads it."""
        return "chain" in self.on and self.unit == "percent"

    @property
    def unridden(self) -> tuple[float | None, float | None]:
        """At or under which figure, and at or over which, such a part is not ridden; None where it is not so."""
        low, high = self.danger_low, self.danger_high
        return (
            (low, self.danger)
            if self.direction == "up" and high is None
            else (low if self.danger is None else self.danger, high)
        )

    @property
    def speeds(self) -> tuple[int, ...]:
        """Counts of sprockets behind that the row is for; empty = any."""
        told = (one.words for one in self.when if one.fact == "sprockets_behind" and not one.negated)
        return tuple(int(word) for words in told for word in words if word.isdecimal())


@entry
class InstrumentRow(Row):
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
class CornerRow(Row):
    """A corner of the bike: a place of the drawing, which is looked at and confirmed together."""

    id: str
    words: str


@entry
class PlaceRow(Row):
    """One place of the walk-round and the limits that are read there, in the order of the hands.

    `end` is given where the parts of both ends carry the same limits: front brake and rear brake are two places.
    `spot` is the corner of the bike that it belongs to, and with it the place on the drawing.
    """

    id: str
    words: str
    spot: str
    limits: tuple[str, ...]
    end: Literal["", "front", "rear"] = ""
