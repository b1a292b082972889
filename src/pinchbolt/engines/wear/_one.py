"""One part as the filter takes it: its law on the own scale, its readings, its instruments, its distances."""

from collections.abc import Sequence
from math import exp, inf, log

import numpy as np

from pinchbolt.engines.wear._filter import PartArrays
from pinchbolt.engines.wear._scale import Array, OwnScale, own_scale
from pinchbolt.engines.wear._steps import Steps
from pinchbolt.engines.wear.wear_types import GaugeReading, Start, WearLaw

LEAST_SD = 1e-4  # no gauge is better than this, own scale
BEND_AT = 3000.0  # use at which a bent growth has the slope of a straight one
GO_NO_GO_MARKS = (0.5, 0.75)  # percent: the two sides of a chain gauge


def part_of(law: WearLaw, readings: Sequence[GaugeReading], way: Steps, start: Start) -> PartArrays:
    """Return the part of *readings* (oldest first) as of the end of *way*."""
    scale = own_scale(law)
    use, var = bent_steps(way, law.bend)
    shown = [scale.interval(r.shown) for r in readings]
    look, bias = instruments(readings, way, scale)
    known = start != "unknown" and way.start_known
    return PartArrays(
        mu=scale.mu,
        sigma=scale.sigma,
        tail=0.0 if law.clock else law.tail,
        tail_factor=law.tail_factor,
        hub=0.0 if law.clock else law.hub,
        hub_off=-log(law.hub_lives),
        noise=max(scale.noise, 1e-12),
        slow_sd=scale.slow_sd,
        slow_use=scale.slow_use,
        start=starts(law, scale, start if known else "unknown", bool(readings)),
        run_in=abs(law.run_in * scale.per_unit),
        use=use,
        use_var=var,
        bedded=np.array([exp(-at / law.run_km) for at in way.at[: len(readings)]]),
        bedded_new=exp(-0.5 * way.use[max(len(readings) - 1, 0)] / law.run_km),
        low=np.array([s.low for s in shown]),
        high=np.array([s.high for s in shown]),
        sd=np.array([max(abs(r.error.sd * scale.per_unit), LEAST_SD) for r in readings]),
        look=look,
        again=np.array([float(i > 0 and _again(readings[i - 1], r)) for i, r in enumerate(readings)]),
        bias=bias,
        misread=np.full(len(readings), scale.misread),
        marks=_marks(law, scale),
        outcomes=_outcomes(law, readings, scale),
        known_bias=float(look[-1] @ (bias[:, :, 0] * bias[:, :, 1]).sum(axis=1)) if readings else 0.0,
        usual=way.at[len(readings) - 1] / law.median_life if readings and known else -1.0,
        part_sd=scale.part_sigma,
        # The spread of lives of one part alone is wide enough.
        ahead=0.0,
    )


def starts(law: WearLaw, scale: OwnScale, start: Start, read: bool) -> Array:
    """How the part may have started: weight, mean and sd of wear; new, used at fitting, another part than on record.

    Of a part that we fitted new and that nobody has read yet there is nothing to doubt.
    """
    told = law.stories
    used, other = {
        "here": told.here if read else (0.0, 0.0),
        "told": told.told,
        "used": (1.0 - told.used, told.used),
        "unknown": (0.0, 1.0),
    }[start]
    if law.clock and start != "unknown":
        used, other = 0.0, 0.0
    return np.array(
        [
            [1.0 - used - other, 0.0, max(scale.start_sd, LEAST_SD)],
            [used, *told.used_wear],
            [other, *told.other_wear],
        ]
    )


def bent_steps(way: Steps, bend: float) -> tuple[Array, Array]:
    """Use from stop to stop as growth counts it, and its variance."""
    use, var = np.array(way.use), np.array(way.var)
    if bend == 1.0:
        return use, var
    reached = np.concatenate([[0.0], np.array(way.at)])
    moved = np.diff(bent(reached, bend))
    return moved, var * (moved / np.maximum(use, 1e-9)) ** 2


def bent(use: Array, bend: float) -> Array:
    """Use as growth counts it: to the power *bend*, alike at 3,000."""
    return np.asarray(BEND_AT * (np.maximum(use, 0.0) / BEND_AT) ** bend) if bend != 1.0 else use


def unbent(use: Array, bend: float) -> Array:
    """Use of a bent use; before fitting there was none."""
    return np.asarray(BEND_AT * (np.maximum(use, 0.0) / BEND_AT) ** (1 / bend)) if bend != 1.0 else use


def instruments(readings: Sequence[GaugeReading], way: Steps, scale: OwnScale) -> tuple[Array, Array]:
    """How each reading looks at what is unknown of the instruments (readings x biases), and what is believed of that.

    An instrument has a constant bias, which may be one of two stories, and where its record says so a growth of bias.
    """
    names = {r.instrument: r.error for r in readings}
    bias, owner, grows = [], [], []
    for name, error in names.items():
        stories = error.stories or ((1.0, error.bias, error.bias_sd),)
        two = [(w, b * scale.per_unit, max(abs(sd * scale.per_unit), LEAST_SD)) for w, b, sd in stories]
        bias.append([*two, (0.0, 0.0, LEAST_SD)][:2])
        owner.append(name)
        grows.append(False)
        if error.growth or error.growth_sd:
            own = error.growth * scale.per_unit, max(abs(error.growth_sd * scale.per_unit), LEAST_SD)
            bias.append([(1.0, *own), (0.0, 0.0, LEAST_SD)])
            owner.append(name)
            grows.append(True)
    look = np.array(
        [
            [
                (way.at[j] / 1000 if g else 1.0) if r.instrument == n else 0.0
                for n, g in zip(owner, grows, strict=True)
            ]
            for j, r in enumerate(readings)
        ]
    ).reshape(len(readings), len(bias))
    return look, np.array(bias).reshape(len(bias), 2, 3)


def _again(before: GaugeReading, now: GaugeReading) -> bool:
    return before.day == now.day and before.instrument == now.instrument


def _marks(law: WearLaw, scale: OwnScale) -> Array:
    """Where the law is conditioned once it was read there: of a safety part, and of what is counted and not measured."""
    if not law.safety and not law.counted:
        return np.zeros(0)
    return np.array([scale.warn, 1.0] if scale.warn < 1.0 else [1.0])


def _outcomes(law: WearLaw, readings: Sequence[GaugeReading], scale: OwnScale) -> Array:
    """Marks that the last reading's instrument can show, on the own scale; none for a value."""
    if not readings or readings[-1].shown.is_value:
        return np.zeros(0)
    ends = {e for e in (readings[-1].shown.low, readings[-1].shown.high) if -inf < e < inf}
    if law.unit == "percent" and law.part == "chain" and ends <= set(GO_NO_GO_MARKS):
        ends = set(GO_NO_GO_MARKS)
    return np.sort(np.array([scale.wear(e) for e in ends]))
