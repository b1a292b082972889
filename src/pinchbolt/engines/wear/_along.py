"""More distance at the same first reading never gives less road: the median, from 0.4 to 4 times the usual pace of the reading.

An honest law does not keep that. Where an instrument is coarse, distance itself tells of wear; past three times the pace another part
than on record becomes the likelier story. So the law is worked out at some paces of the same reading, and the median is held to the
least of those from the stated distance on; between two paces its probit goes straight in one over the distance, as road does. Beyond
the usual pace none of them leaves less road than if the distance were not known: nothing is told there that does. Only where the
median lies is moved, all other chances are those of the stated distance.

What is read must be a value: below a mark of a gauge, or past one, distance is most of what is known of wear.

At each pace the law is guarded (`_guard`), and a worse reading stands at a lesser pace, which leaves more of them: the order in the
reading stays.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._filter import OTHER, Cloud, PartArrays, grown, looked_at
from pinchbolt.engines.wear._guard import LIMIT, Stack, at_nodes, expected_reading, passed, stack_of
from pinchbolt.engines.wear._normal import integral, probit
from pinchbolt.engines.wear._scale import Array, unevenness

PACES = (0.4, 0.6, 0.8, 1.0, 1.3, 1.9, 2.8, 4.0)  # times the distance that usually brings such a reading
FIRST_BEYOND = next(k for k, pace in enumerate(PACES) if pace > 1.0)
# On the way from new to the limit: a reading nearer to new than that tells next to nothing, and its own pace would move fast with it.
LEAST_READ = 0.02
# Probits: further out than this from the median no chance is moved; what is moved lies no further out than that.
MIDDLE, BAND = 2.0, 0.02


class Along(NamedTuple):
    """The law of one reading at the pace just below the stated one and at those beyond; `share` of the way between the first two.

    `nodes`: those of all these laws, one pace after another, from `first[k]` to `first[k + 1]`; `worse` and `last` are their own
    `worse` and `share`. Those from `beyond` on are at more than the usual pace, held to the `floor`: the law of an unknown distance.
    `both`: whether the median may come to lie later, too. Not past the limit, where less than all paces would count for that.
    """

    nodes: Stack
    floor: Stack
    beyond: int
    first: NDArray[np.int64]
    worse: Array
    last: Array
    share: float
    both: bool


def usual_pace(part: PartArrays) -> float:
    """How many times the distance that usually brings its last reading a part has gone; 0 where that is not known, or where it can't be
    another part than on record."""
    last = len(part.low) - 1
    if last < 0 or part.usual <= 0.0 or part.start[OTHER, 0] <= 0.0 or part.high[last] == np.inf:
        return 0.0
    return float(part.usual / max(part.high[last] - part.known_bias, 1e-6))


def pace_of(part: PartArrays) -> float:
    """`usual_pace` of a part of one reading; 0 where nothing is to be kept in order by that.

    Of what a go/no-go instrument shows nothing is: between its marks, or past the last, it is the distance that tells of wear.
    """
    if len(part.low) != 1 or part.low[0] < part.high[0]:
        return 0.0
    pace = usual_pace(part)
    if pace <= 0.0:
        return 0.0
    pace = min(pace, float(part.usual / LEAST_READ))
    return pace if pace < PACES[-1] else 0.0


def may_come_later(part: PartArrays, pace: float) -> bool:
    """Whether the median may be led further off, too: of a part that is read short of its limit, from the first pace on."""
    return bool(pace >= PACES[0] and part.high[0] - part.known_bias < LIMIT)


def place_of(pace: float) -> tuple[int, float]:
    """The last of `PACES` that is not beyond *pace*, and the share of the way to the next: straight in one over the distance."""
    k = 0
    while PACES[k + 1] <= pace:
        k += 1
    if pace <= PACES[0]:
        return 0, 0.0
    return k, (1.0 / PACES[k] - 1.0 / pace) / (1.0 / PACES[k] - 1.0 / PACES[k + 1])


def along_of(
    part: PartArrays, cloud: Cloud, slipped: Array, least_weight: float, floor: Stack
) -> Along | None:
    """The laws that the median is held to; None where there are none. *floor*: the law of an unknown distance."""
    pace = pace_of(part)
    if pace <= 0.0:
        return None
    first, share = place_of(pace)
    # Short of the first pace the others stay where they are for the reading that stands there.
    laws = [_at(part, cloud, slipped, to / max(pace, PACES[0]), least_weight) for to in PACES[first:]]
    return Along(
        _side_by_side(laws),
        floor,
        max(FIRST_BEYOND - first, 0),
        np.cumsum([0, *(len(law.least) for law in laws)]),
        np.array([law.worse for law in laws]),
        np.array([[law.share] for law in laws]),
        share,
        may_come_later(part, pace),
    )


def _side_by_side(laws: list[Stack]) -> Stack:
    """The nodes of all *laws* as those of one, which is asked in one sweep."""
    size = np.cumsum([0, *(len(law.weight) for law in laws)])

    def joined(name: str) -> Array:
        return np.concatenate([getattr(law, name) for law in laws])

    first = [law.first[:-1] + before for law, before in zip(laws, size[:-1], strict=True)]
    return laws[0]._replace(
        weight=joined("weight"), rate=joined("rate"), wear=joined("wear"), var=joined("var"), least=joined("least"),
        first=np.concatenate([*first, size[-1:]]),
    )  # fmt: skip


def _at(part: PartArrays, cloud: Cloud, slipped: Array, times: float, least_weight: float) -> Stack:
    """The guarded law if the only reading had been taken at *times* the distance, its instrument's error what it is at the stated one."""
    there = part._replace(
        use=np.array([part.use[0] * times, part.use[1]]),
        use_var=np.array([part.use_var[0] * times * times, part.use_var[1]]),
        bedded=part.bedded**times,
    )
    moved = cloud._replace(mean=cloud.mean.copy(), cov=cloud.cov.copy())
    grown(there, moved, 0, there.use[0] - part.use[0], _spread(there) - _spread(part))
    expected, variance, _ = looked_at(there, moved, 0)
    return stack_of(there, moved, slipped, expected_reading(moved, expected, variance), least_weight)


def _spread(part: PartArrays) -> float:
    """Variance of growth up to the only reading, at a rate of one."""
    uneven = unevenness(part.use[:1], part.noise, part.slow_sd, part.slow_use)
    return float(uneven[0] + part.use_var[0])


def led(along: Along, own: Stack, chance: Array, mark: Array, use: Array, middle: NDArray[np.bool_]) -> Array:
    """*chance* of being past each mark after each use by the *own* law, that of the limit held to the laws along the way.

    Other marks are not held: more distance tells of more wear. They keep their place on either side of the limit.
    Where *middle* is set the median road is looked for: what is returned there reaches a half where the law does, without its jump.
    """
    uses, at = np.unique(np.maximum(use, 0.0), return_inverse=True)
    limit = passed(own, np.full(len(uses), LIMIT), uses)
    looked_for = limit.copy()
    near = np.flatnonzero(np.abs(probit(limit)) <= MIDDLE)
    if len(near):
        plain, held = probit(limit[near]), held_at(along, uses[near])
        limit[near] = integral(median_at(plain, held, along.both))
        looked_for[near] = integral(held if along.both else np.maximum(plain, held))
    led_to = np.where(middle, looked_for[at], limit[at])
    ahead = np.where(
        mark == LIMIT,
        led_to,
        np.where(mark < LIMIT, np.maximum(chance, limit[at]), np.minimum(chance, limit[at])),
    )
    # How far back it was passed is told by the own law, and no more likely than that it is passed by now.
    back = np.where(mark < LIMIT, chance, np.minimum(chance, limit[at]))
    return np.asarray(np.where(use < 0.0, back, ahead))


def held_at(along: Along, use: Array) -> Array:
    """Probit of the chance of being past the limit that the median goes by."""
    chances = at_nodes(along.nodes, np.full(len(use), LIMIT), use)
    ends = np.array(
        [
            _worst(chances[a:b], worse)
            for a, b, worse in zip(along.first[:-1], along.first[1:], along.worse, strict=True)
        ]
    )
    before, worst = probit(ends[:, 0]), probit(ends[:, 1])
    by_pace = (1.0 - along.last) * before + along.last * worst
    unknown = probit(passed(along.floor, np.full(len(use), LIMIT), use))
    by_pace[along.beyond :] = np.minimum(by_pace[along.beyond :], unknown)
    beyond = by_pace[-1] if len(by_pace) == 1 else by_pace[1:].max(axis=0)
    return np.asarray((1.0 - along.share) * np.maximum(by_pace[0], beyond) + along.share * beyond)


def _worst(chances: Array, worse: float) -> tuple[Array, Array]:
    """See `_guard.on_the_way`: the outermost of all nodes but the last, and of all."""
    outermost = np.maximum if worse > 0.0 else np.minimum
    whole = outermost.reduce(chances, axis=0)
    return (outermost.reduce(chances[:-1], axis=0) if len(chances) > 1 else whole), whole


def median_at(own: Array, held: Array, both: bool) -> Array:
    """Probits of which the median is that of *held*, where *both*; else the sooner of the two."""
    sooner = np.maximum(own, np.minimum(held, BAND))
    later = np.minimum(own, np.maximum(held, -BAND)) if both else own
    return np.asarray(np.where(held >= 0.0, sooner, later))
