"""How long parts last before anybody has measured them."""

from collections.abc import Mapping
from typing import Literal

from pinchbolt.reference.rows.base import Row, entry
from pinchbolt.reference.rows.kinds import UseClass


@entry
class WearPrior(Row):
    """Lives of the parts that the limits in `covers` read, by use class, in the unit of `driver`.

    `at` is the bench reading at which the lives are counted, `wear` the wear if no reading says it; `clock` is True
    where the reading is time or distance out of the records.
    """

    id: str
    covers: tuple[str, ...]
    driver: Literal["km", "h", "days"]
    median: Mapping[UseClass, float] | None = None
    at: float | None = None
    wear: float | None = None
    log_sd: float | None = None
    part_log_sd: float | None = None
    noise: float | None = None
    slow_sd: float | None = None
    slow_use: float | None = None
    clock: bool | None = None


@entry
class WearBelief(Row):
    """One figure that the law of wear takes for granted, of all parts or of chains."""

    id: str
    value: float
    unit: str
