"""What a drawing takes of a forecast: whatever has these figures can be drawn, so no drawing knows the engine or the record."""

from datetime import date
from typing import Protocol

from pinchbolt.values import DaySpread, Spread


class DrawnLaw(Protocol):
    """How a part wears, as far as it is drawn. Marks in the part's own unit."""

    @property
    def part(self) -> str:
        """The part in words."""

    @property
    def unit(self) -> str:
        """Its own unit."""

    @property
    def new(self) -> float:
        """A new part."""

    @property
    def warn(self) -> float:
        """Where it is watched from."""

    @property
    def limit(self) -> float:
        """Where it is done."""

    @property
    def danger(self) -> float | None:
        """Where it is no longer ridden, past its limit; None where no such figure is known."""

    @property
    def driver(self) -> str:
        """What use is counted in: km, h or days."""


class DrawnReading(Protocol):
    """What was read. Part's own unit; None is an open end."""

    @property
    def low(self) -> float | None:
        """Lower end as shown."""

    @property
    def high(self) -> float | None:
        """Upper end as shown."""

    @property
    def sure_low(self) -> float | None:
        """Lower end by this reading alone, 8 cases in 10."""

    @property
    def sure_high(self) -> float | None:
        """Upper end by this reading alone, 8 cases in 10."""


class DrawnForecast(Protocol):
    """A forecast, as far as it is drawn."""

    @property
    def law(self) -> DrawnLaw:
        """How the part wears."""

    @property
    def day(self) -> date:
        """The day on which it was judged."""

    @property
    def present(self) -> Spread:
        """Wear on that day, in the part's own unit."""

    @property
    def to_limit(self) -> Spread:
        """Use that is left, in what use is counted in; below 0 it is passed."""

    @property
    def day_at_limit(self) -> DaySpread:
        """The days on which the limit is reached."""

    @property
    def chance_past_limit(self) -> float:
        """Chance that it is past its limit already."""

    @property
    def chance_past_danger(self) -> float:
        """Chance that it is past the figure from which it is not ridden."""

    @property
    def to_danger(self) -> Spread | None:
        """Use that is left up to there; None where no such figure is known."""

    @property
    def reading(self) -> DrawnReading | None:
        """What was read, where that was kept."""
