"""Which of an owner's bikes was a ride on? By the rides of which that was told: how many of those alike were on each."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite, nan

import numpy as np
from numpy.typing import NDArray

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

SURE = 0.95
"""A bike that is so likely is taken, and the doubt is kept; less, and it is asked. Our assumption. [-]"""

_A_PRIORI = 0.5
# How far two rides that are alike in all else may differ and still count about 0.6: a standard deviation of a Gaussian.
_KM, _SPEED, _CLIMB, _HOURS = 0.5, 0.12, 4.0, 3.0
_OTHER_DEVICE, _A_DEVICE_UNKNOWN = 0.1, 0.5
_SAME_KIND_OF_DAY, _OTHER_KIND_OF_DAY = 0.9, 0.3
_INDOORS_AND_OUT = 0.02
_ALIKE = 0.3
_LEAST_BATCH = 3
_SATURDAY = 5
_AT_A_TIME = 256

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class RideShape:
    """What tells rides apart without a map: device, weekday (Monday is 0), hour of its start (None: not told), km, km/h, climb.

    `climb_m_per_km` and `indoor` are None where the file does not say. The hour is the local one. [h, km, km/h, m/km]
    """

    device: str
    weekday: int
    hour: float | None
    km: float
    km_an_hour: float
    climb_m_per_km: float | None = None
    indoor: bool | None = None


@dataclass(frozen=True, slots=True)
class LikelyBike:
    """How likely each bike is, the likeliest first, and how many told rides alike that rests on (each counted by how alike)."""

    odds: tuple[tuple[str, float], ...]
    alike: float

    @property
    def best(self) -> tuple[str, float]:
        """The likeliest bike and its probability."""
        return self.odds[0]

    @property
    def is_sure(self) -> bool:
        """Whether it may be taken without asking."""
        return self.best[1] >= SURE


def likely_bikes(
    rides: Sequence[RideShape], told: Mapping[str, Sequence[RideShape]]
) -> tuple[LikelyBike, ...]:
    """Return how likely each bike is for each ride, by the rides of which somebody told the bike.

    ``p(bike) = (a + sum of likeness to its told rides) / (a k + sum of likeness to all told rides)``, k bikes, a = 0.5: the mean of
    a Dirichlet distribution whose counts are told rides, each by its likeness (0 to 1) to this one. Likeness is a product of
    kernels: Gaussians in log distance (0.5), log speed (0.12), climb a km (4 m), hour of day (3 h, around the clock), and
    factors for another device (0.1), another day of the same kind (0.9) or of the other (0.3), indoors against out (0.02). What one
    of two does not tell counts as alike, but for a device (0.5).

    Args:
        rides: The rides in question. [-]
        told: Bike by bike, at least one, the rides of which its owner said so; a bike without any is possible too. [-]

    Returns:
        One answer a ride, in their order; where nothing alike was told each bike is as likely as the others. [-]

    Raises:
        InputRefused: No bike, or a distance or speed that is not a number or below 0.

    Valid for: Riding with habits. A bike that is lent, or a first ride on a new way, looks like what it is not; so a conclusion
        is kept with its doubt, and never teaches.

    Example:
        >>> commute = [RideShape("a", day, 8.0, 8.0, 17.0, 5.0, False) for day in range(5)] * 4
        >>> race = [RideShape("a", 6, 9.0, 80.0, 29.0, 9.0, False)] * 20
        >>> (found,) = likely_bikes([RideShape("a", 2, 8.2, 8.1, 17.3, 5.0, False)], {"old": commute, "light": race})
        >>> found.best[0], found.best[1] > 0.95
        ('old', True)

    Source: Kernel class probabilities (Nadaraya-Watson) with a Dirichlet prior: any handbook of pattern recognition. The widths are
        our assumptions, no source.
    """
    if not told:
        sentence = worded("No bike was given: a ride is on one of at least one bike. Give the owner's bikes.")
        raise InputRefused(sentence, errors={"told": sentence})
    bikes = list(told)
    known = [ride for bike in bikes for ride in told[bike]]
    _check([*rides, *known])
    of = np.repeat(np.arange(len(bikes)), [len(told[bike]) for bike in bikes])
    member = np.zeros((len(known), len(bikes)))
    member[np.arange(len(known)), of] = 1.0
    found = []
    for start in range(0, len(rides), _AT_A_TIME):
        some = rides[start : start + _AT_A_TIME]
        weights = _likeness(some, known) @ member if known else np.zeros((len(some), len(bikes)))
        counts = weights + _A_PRIORI
        shares = counts / counts.sum(axis=1, keepdims=True)
        for row, alike in zip(shares, weights.sum(axis=1), strict=True):
            odds = sorted(zip(bikes, (float(one) for one in row), strict=True), key=lambda one: -one[1])
            found.append(LikelyBike(tuple(odds), float(alike)))
    return tuple(found)


def batches_alike(rides: Sequence[RideShape]) -> tuple[tuple[int, ...], ...]:
    """Return rides in batches that look like one habit each, by their places in *rides*; what is like few others comes last.

    The ride with most others alike (likeness 0.3 or more, the same device) makes a batch of itself and those; then the same among
    what is left, until fewer than 3 are alike. All that is left over is one batch a device.

    Args:
        rides: Of one owner. [-]

    Returns:
        Each ride once, the biggest habits first; within a batch in the order given. [-]

    Raises:
        InputRefused: A distance or speed that is not a number or below 0.

    Valid for: Asking about many rides with few questions. A batch may still hold rides of two bikes; each can be put right.

    Example:
        >>> commute = [RideShape("a", day, 8.0, 8.0, 17.0) for day in range(5)]
        >>> batches_alike([*commute, RideShape("a", 6, 9.0, 90.0, 29.0), *commute])
        ((0, 1, 2, 3, 4, 6, 7, 8, 9, 10), (5,))

    Source: Leader clustering, the densest first; widths and the 3 are our assumptions, no source.
    """
    _check(rides)
    found: list[tuple[int, ...]] = []
    rest: list[tuple[int, ...]] = []
    devices: dict[str, list[int]] = {}
    for place, ride in enumerate(rides):
        devices.setdefault(ride.device, []).append(place)
    for places in devices.values():
        own = [rides[place] for place in places]
        alike = np.vstack(
            [_likeness(own[at : at + _AT_A_TIME], own) >= _ALIKE for at in range(0, len(own), _AT_A_TIME)]
        )
        left = np.ones(len(own), dtype=bool)
        many = alike.sum(axis=1)
        while left.any():
            leader = int(np.argmax(np.where(left, many, -1)))
            group = alike[leader] & left
            if group.sum() < _LEAST_BATCH:
                break
            found.append(tuple(places[int(one)] for one in np.flatnonzero(group)))
            left &= ~group
            many = many - alike[:, group].sum(axis=1)
        if left.any():
            rest.append(tuple(places[int(one)] for one in np.flatnonzero(left)))
    return (*sorted(found, key=lambda one: (-len(one), one)), *rest)


def _likeness(some: Sequence[RideShape], others: Sequence[RideShape]) -> Floats:
    """How alike each of *some* is to each of *others*, 0 to 1."""
    one, other = _columns(some), _columns(others)
    logs = np.zeros((len(some), len(others)))
    for name, width in (("km", _KM), ("speed", _SPEED), ("climb", _CLIMB)):
        apart = (one[name][:, None] - other[name][None, :]) / width
        logs -= np.where(np.isnan(apart), 0.0, apart * apart / 2)
    hours = np.abs(one["hour"][:, None] - other["hour"][None, :])
    hours = np.minimum(hours, 24 - hours) / _HOURS
    logs -= np.where(np.isnan(hours), 0.0, hours * hours / 2)
    likeness = np.exp(logs)
    same_day = one["day"][:, None] == other["day"][None, :]
    same_kind = (one["day"] >= _SATURDAY)[:, None] == (other["day"] >= _SATURDAY)[None, :]
    likeness *= np.where(same_day, 1.0, np.where(same_kind, _SAME_KIND_OF_DAY, _OTHER_KIND_OF_DAY))
    in_out = np.abs(one["indoor"][:, None] - other["indoor"][None, :])
    likeness *= np.where(in_out == 1.0, _INDOORS_AND_OUT, 1.0)
    first, second = np.array([ride.device for ride in some]), np.array([ride.device for ride in others])
    unknown = (first == "")[:, None] | (second == "")[None, :]
    same = first[:, None] == second[None, :]
    return np.asarray(
        likeness * np.where(same, 1.0, np.where(unknown, _A_DEVICE_UNKNOWN, _OTHER_DEVICE)), dtype=np.float64
    )


def _columns(rides: Sequence[RideShape]) -> dict[str, Floats]:
    """Each feature of the rides, not a number where it is not told."""
    return {
        "km": np.log(np.array([max(ride.km, 0.1) for ride in rides])),
        # A ride whose time nobody told has no speed.
        "speed": np.log(np.array([ride.km_an_hour if ride.km_an_hour > 0 else nan for ride in rides])),
        "climb": np.array([nan if ride.climb_m_per_km is None else ride.climb_m_per_km for ride in rides]),
        "hour": np.array([nan if ride.hour is None else ride.hour for ride in rides]),
        "day": np.array([float(ride.weekday) for ride in rides]),
        "indoor": np.array([nan if ride.indoor is None else float(ride.indoor) for ride in rides]),
    }


def _check(rides: Sequence[RideShape]) -> None:
    for ride in rides:
        for words, value in (("distance", ride.km), ("speed", ride.km_an_hour)):
            if not (isfinite(value) and value >= 0):
                sentence = worded(
                    "A ride's {words} is {value:g}: 0 or more is possible. Correct the ride.",
                    words=words,
                    value=value,
                )
                raise InputRefused(sentence, errors={"rides": sentence})
