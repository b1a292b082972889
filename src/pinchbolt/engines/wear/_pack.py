"""From the records of many parts to fleets: parts with equal noise and as many instrument states go together."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._many import Fleet
from pinchbolt.engines.wear._scale import OwnScale, own_scale
from pinchbolt.engines.wear._steps import Steps, steps
from pinchbolt.engines.wear.types import GaugeReading, RateOfUse, WearLaw

LEAST_SD, UNSURE_WEAR = 1e-4, (0.5, 0.45)


@dataclass(frozen=True, slots=True)
class InstrumentState:
    """One unknown of one instrument: constant bias, or growth of bias with use."""

    instrument: str
    grows: bool
    mean: float
    sd: float


def instrument_states(readings: Sequence[GaugeReading], scale: OwnScale) -> list[InstrumentState]:
    states: list[InstrumentState] = []
    for name, error in {r.instrument: r.error for r in readings}.items():
        to_own = scale.per_unit
        states.append(InstrumentState(name, False, error.bias * to_own, abs(error.bias_sd * to_own)))
        if error.growth or error.growth_sd:
            states.append(InstrumentState(name, True, error.growth * to_own, abs(error.growth_sd * to_own)))
    return states


def through(reading: GaugeReading, used: float, states: list[InstrumentState]) -> list[float]:
    """How a reading looks at wear and at each instrument state: its own bias, and growth of bias times use."""
    seen = [1.0]
    for state in states:
        mine = state.instrument == reading.instrument
        seen.append((used / 1000 if state.grows else 1.0) if mine else 0.0)
    return seen


@dataclass(frozen=True, slots=True)
class PartLife:
    """One part on record: its law, what was read on it, the use a week of its bike, the day it was fitted."""

    law: WearLaw
    readings: tuple[GaugeReading, ...]
    use: RateOfUse
    fitted_on: date | None = None


@dataclass(frozen=True, slots=True)
class _Ready:
    scale: OwnScale
    way: Steps
    states: list[InstrumentState]
    readings: list[GaugeReading]


def pack(lives: Sequence[PartLife]) -> list[tuple[NDArray[np.intp], Fleet]]:
    """Return fleets with the places of their parts in *lives*, each as of its part's last reading."""
    ready = [_ready(life) for life in lives]
    groups: dict[tuple[object, ...], list[int]] = {}
    for i, one in enumerate(ready):
        groups.setdefault((len(one.states), one.scale.unevenness, one.scale.misread), []).append(i)
    return [(np.array(rows), _fleet([ready[i] for i in rows])) for rows in groups.values()]


def _ready(life: PartLife) -> _Ready:
    ordered = sorted(life.readings, key=lambda r: r.day)
    scale = own_scale(life.law)
    last = ordered[-1]
    way = steps(life.law, ordered, life.use, last.day, last.exposure, life.fitted_on)
    return _Ready(scale, way, instrument_states(ordered, scale), ordered)


def _fleet(ready: Sequence[_Ready]) -> Fleet:
    parts, states = len(ready), 1 + len(ready[0].states)
    most = max(len(one.readings) for one in ready)
    mean, sd = np.zeros((parts, states)), np.zeros((parts, states))
    use, use_var = np.zeros((parts, most + 1)), np.zeros((parts, most + 1))
    low, high = np.full((parts, most), -np.inf), np.full((parts, most), np.inf)
    gauge_sd, look = np.ones((parts, most)), np.zeros((parts, most, states))
    look[:, :, 0] = 1.0
    for i, one in enumerate(ready):
        wear, wear_sd = (0.0, one.scale.start_sd) if one.way.start_known else UNSURE_WEAR
        mean[i] = [wear, *(s.mean for s in one.states)]
        sd[i] = [max(wear_sd, LEAST_SD), *(s.sd for s in one.states)]
        for j, reading in enumerate(one.readings):
            shown = one.scale.interval(reading.shown)
            use[i, j], use_var[i, j] = one.way.use[j], one.way.var[j]
            low[i, j], high[i, j] = shown.low, shown.high
            gauge_sd[i, j] = max(abs(reading.error.sd * one.scale.per_unit), LEAST_SD)
            look[i, j] = through(reading, one.way.at[j], one.states)
    scale = ready[0].scale
    return Fleet(
        mu=np.array([one.scale.mu for one in ready]),
        sigma=np.array([one.scale.sigma for one in ready]),
        mean=mean,
        sd=sd,
        use=use,
        use_var=use_var,
        low=low,
        high=high,
        gauge_sd=gauge_sd,
        through=look,
        noise=scale.unevenness,
        misread=scale.misread,
    )
