"""Many chains as arrays, one row a chain, and what is believed of chains before and after learning."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields, replace

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._laws import USE_CLASSES, USUAL, beliefs_of
from pinchbolt.engines.wear._scale import PART_SHARE, Array, body_share
from pinchbolt.engines.wear.wear_types import Start
from pinchbolt.errors import InputRefused
from pinchbolt.values import Json, JsonRead
from pinchbolt.values.wording import worded

INSTRUMENTS = ("two-point", "three-point", "rule", "vernier")
GO_NO_GO = 2  # the first two show on which side of a mark the wear is
NEW = 0.02  # percent that a new chain shows: zero of the own scale
LIVES_TO = 0.75  # percent at which the lives below are counted
STEP_LOG_SD = 0.27  # spread of a day's use from visit to visit. Assumption, no source.
# Instruments that are off together by b over all that they read came there by drift: evenly from nothing on. So from chain to chain
# they differ, by 0.58 b if from 0 to 2 b, and more along each; and where chains are read for twice as long as one lasts they are off
# by a third more at the last reading of each. Assumptions, as shares of b.
DRIFTED, FURTHER_OFF = 0.8, 1 / 3
FILE_VERSION = 3
STARTS: tuple[Start, ...] = ("here", "told", "used", "unknown")
MIXED = 4  # of a file whose chains were fitted by done lines and by owners' words


@dataclass(frozen=True, slots=True)
class ChainLines:
    """Chains with their readings. `km` and `days` are since the reading before (nan = unknown), `low` and `high` percent
    (infinite = open; equal = a value), `gauge` the number in `INSTRUMENTS` (-1 = no reading).

    `closed`: km since fitting at which a chain was seen past its limit (nan = open). Found so by the reading (`bench`
    False) that says no more than the reading; measured at the bench it is past then, and was not at `passed_after` km
    (nan = not known); one that is open still was measured there and not past. `hub`: labelled as running on a gear hub.
    `start`: number in `STARTS`, how the fitting is known.
    """

    shop: NDArray[np.int64]
    use: NDArray[np.int64]
    limit: Array
    closed: Array
    km: Array
    days: Array
    gauge: NDArray[np.int64]
    low: Array
    high: Array
    passed_after: Array
    bench: NDArray[np.bool_]
    hub: NDArray[np.bool_]
    start: NDArray[np.int64]

    def __len__(self) -> int:
        return len(self.shop)

    @property
    def readings(self) -> NDArray[np.int64]:
        """Number of readings, a chain."""
        return np.asarray((self.gauge >= 0).sum(axis=1))

    def take(self, rows: slice | NDArray[np.int64]) -> "ChainLines":
        """Some of the chains."""
        return ChainLines(*(getattr(self, field.name)[rows] for field in fields(self)))

    def until(self, count: int) -> "ChainLines":
        """The same chains as they were known after *count* readings, before any closing."""
        late = np.arange(self.gauge.shape[1]) >= count
        never = np.full(len(self), np.nan)
        return replace(
            self,
            closed=never,
            passed_after=never,
            km=np.where(late, np.nan, self.km),
            gauge=np.where(late, -1, self.gauge),
            low=np.where(late, -np.inf, self.low),
            high=np.where(late, np.inf, self.high),
        )


@dataclass(frozen=True, slots=True)
class Kind:
    """One story of what an instrument is: its weight, bias with doubt (percent)."""

    name: str
    weight: float
    bias: float
    bias_sd: float


# What an instrument may be before anything is known of it. Assumptions: a two-point gauge may push the rollers and then
# adds their play; one named otherwise may still be one.
PLAIN, PUSHING = Kind("plain", 0.5, 0.0, 0.025), Kind("pushing", 0.5, 0.17, 0.065)
USUAL_KINDS: tuple[tuple[Kind, ...], ...] = (
    (PLAIN, PUSHING),
    (replace(PLAIN, weight=0.93), replace(PUSHING, weight=0.07)),
    (Kind("value", 1.0, 0.0, 0.025),),
    (Kind("value", 1.0, 0.0, 0.03),),
)


@dataclass(frozen=True, slots=True)
class Tuning:
    """Figures that all chains share. Spreads of logarithms, shares, km, percent."""

    spread: float
    noise: float
    slow_sd: float
    slow_use: float
    tail: float = 0.10
    hub: float = 0.01
    part_bias_sd: float = 0.012  # by which one instrument differs from chain to chain
    share: float = 0.12  # relative doubt of a stated distance, ride records and owners' words together
    start: float = NEW
    start_sd: float = 0.02
    run_in: float = (
        0.03  # of the start, what comes in the first kilometres. Assumption: visits are too late to show it.
    )
    bend: float = 1.0  # growth goes with use to this power
    gauge_sd: float = 0.02
    rule_sd: float = 0.08
    vernier_sd: float = 0.03
    misread: float = 0.02
    ahead: float = 0.0  # share by which the rate of wear ahead may differ from that of many readings
    stated: float = 0.0  # the same for the way ahead as it will be stated, where forecasts are held to that

    @property
    def reading_sd(self) -> Array:
        """Noise of a reading, by instrument."""
        return np.array([self.gauge_sd, self.gauge_sd, self.rule_sd, self.vernier_sd])


@dataclass(frozen=True, slots=True)
class Shop:
    """What was learned of one workshop: by class the shift of the log rate and its doubt, what its instruments are, and by how
    much all of them are off together, which may have come by drift (percent; 0 where lives were measured at the bench)."""

    chains: int
    level: tuple[float, ...]
    level_sd: tuple[float, ...]
    kinds: tuple[tuple[Kind, ...], ...]
    together: float = 0.0


@dataclass(frozen=True, slots=True)
class LearnedChains:
    """What is believed of chains: lives by class to 0.75 %, spread, unevenness, use, and each workshop's own."""

    lives: tuple[float, ...]
    part_share: float
    tuning: Tuning
    shop_sd: float  # how far a workshop that is not on record may be from the others
    km_a_day: tuple[float, ...]
    km_log_sd: float
    step_log_sd: float
    chains: int = 0
    closed: int = 0
    shops: Mapping[str, Shop] = field(default_factory=dict)
    beliefs: Mapping[str, float] = field(default_factory=lambda: dict(USUAL))
    width: float = 1.0  # sd of the probits at which known lives lie in forecasts of them: 1 where intervals hold what they say

    def log_rate(self) -> Array:
        """Log of the own-scale rate of the median chain for a limit at 0.75 %, by class."""
        return np.asarray(-np.log(np.array(self.lives)))

    def shop(self, name: str) -> Shop:
        """What is known of a workshop; of one not on record, what such workshops are."""
        none = (0.0,) * len(USE_CLASSES)
        return self.shops.get(name) or Shop(0, none, (self.shop_sd,) * len(USE_CLASSES), USUAL_KINDS)

    def as_plain(self) -> Json:
        """The file's content, every name with its unit."""
        t = self.tuning
        return {
            "what": worded("pinchbolt wear, learned from chains"),
            "version": FILE_VERSION,
            "chains": self.chains,
            "closed_chains": self.closed,
            "life_to_0.75_percent_km": dict(zip(USE_CLASSES, self.lives, strict=True)),
            "use_a_day_km": dict(zip(USE_CLASSES, self.km_a_day, strict=True)),
            "use_log_sd": self.km_log_sd,
            "use_step_log_sd": self.step_log_sd,
            "life_log_sd": t.spread,
            "part_share": self.part_share,
            "workshop_log_sd": self.shop_sd,
            "noise_km": t.noise,
            "slow_sd": t.slow_sd,
            "slow_use_km": t.slow_use,
            "distance_share": t.share,
            "start_percent": t.start,
            "start_sd_percent": t.start_sd,
            "run_in_percent": t.run_in,
            "bend": t.bend,
            "reading_sd_percent": {"gauge": t.gauge_sd, "rule": t.rule_sd, "vernier": t.vernier_sd},
            "misread": t.misread,
            "rate_ahead_share": t.ahead,
            "tail_share": t.tail,
            "hub_share": t.hub,
            "part_bias_sd_percent": t.part_bias_sd,
            "beliefs": dict(self.beliefs),
            "interval_width": self.width,
            "workshops": {name: _shop_plain(shop) for name, shop in self.shops.items()},
        }

    @classmethod
    def from_plain(cls, plain: JsonRead) -> "LearnedChains":
        """Read what `as_plain` wrote; another version or a missing figure is refused."""
        version = plain.get("version")
        if version != FILE_VERSION:
            raise InputRefused(
                worded(
                    "The learned file has version {version!r}: version {file_version} is read here. "
                    "Learn again with this release.",
                    version=version,
                    file_version=FILE_VERSION,
                )
            )
        try:
            return cls._read(plain)
        except (KeyError, TypeError, ValueError, AttributeError) as fault:
            raise InputRefused(
                worded(
                    "The learned file lacks a figure or has one of the wrong kind ({fault}): it must be "
                    "as it was written. Learn again, or take a copy of the file.",
                    fault=fault,
                )
            ) from fault

    @classmethod
    def _read(cls, p: JsonRead) -> "LearnedChains":
        sd = p["reading_sd_percent"]
        read = cls(
            lives=tuple(float(p["life_to_0.75_percent_km"][c]) for c in USE_CLASSES),
            part_share=float(p["part_share"]),
            tuning=Tuning(
                spread=float(p["life_log_sd"]),
                noise=float(p["noise_km"]),
                slow_sd=float(p["slow_sd"]),
                slow_use=float(p["slow_use_km"]),
                share=float(p["distance_share"]),
                start=float(p["start_percent"]),
                start_sd=float(p["start_sd_percent"]),
                run_in=float(p["run_in_percent"]),
                bend=float(p["bend"]),
                gauge_sd=float(sd["gauge"]),
                rule_sd=float(sd["rule"]),
                vernier_sd=float(sd["vernier"]),
                misread=float(p["misread"]),
                ahead=float(p["rate_ahead_share"]),
                tail=float(p["tail_share"]),
                hub=float(p["hub_share"]),
                part_bias_sd=float(p["part_bias_sd_percent"]),
            ),
            shop_sd=float(p["workshop_log_sd"]),
            km_a_day=tuple(float(p["use_a_day_km"][c]) for c in USE_CLASSES),
            km_log_sd=float(p["use_log_sd"]),
            step_log_sd=float(p["use_step_log_sd"]),
            chains=int(p["chains"]),
            closed=int(p["closed_chains"]),
            shops={str(name): _shop_read(shop) for name, shop in p["workshops"].items()},
            beliefs={str(name): float(value) for name, value in p["beliefs"].items()},
            width=float(p["interval_width"]),
        )
        t = read.tuning
        above = (
            *read.lives,
            *read.km_a_day,
            t.spread,
            t.noise,
            t.slow_use,
            t.start_sd,
            t.bend,
            read.width,
            *t.reading_sd,
        )
        if not all(np.isfinite(v) and v > 0 for v in above) or not 0 < t.misread < 0.5:
            raise ValueError(worded("a life, spread or noise is not above 0"))
        return read


def trade_chains(priors: JsonRead) -> LearnedChains:
    """Return what is believed of chains before any was learned from, by the table's row for chains.

    Args:
        priors: The table of wear priors, as read. [its own units]

    Returns:
        Lives by use class, spreads and unevenness; no workshop is on record yet. [km, percent]

    Raises:
        InputRefused: The table has no row for chains.

    Valid for: Chains counted in percent.

    Source: wear-priors.toml, row by row.
    """
    row = next((r for r in priors["prior"] if r["id"] == "chain"), None)
    if row is None:
        raise InputRefused(
            worded("The table of wear priors has no row for chains: it needs one. Put it back.")
        )
    spread, held = float(row["log_sd"]), beliefs_of(priors)
    uses = {row["id"]: row for row in priors["use"]}
    body = spread * body_share(held["tail-share"], held["tail-factor"])
    return LearnedChains(
        lives=tuple(float(row["median"][c]) for c in USE_CLASSES),
        part_share=float(row.get("part_log_sd", PART_SHARE * spread)) / body,
        tuning=Tuning(
            body,
            float(row.get("noise", 120)),
            float(row.get("slow_sd", 0.15)),
            float(row.get("slow_use", 500)),
            tail=held["tail-share"],
            hub=held["hub-share"],
            run_in=held["run-in"],
            misread=held["misread"],
        ),
        beliefs=held,
        # The table's spread holds the differences between workshops already.
        shop_sd=0.0,
        km_a_day=tuple(float(uses[c]["km_a_week"]) / 7 for c in USE_CLASSES),
        km_log_sd=float(uses["mixed"]["spread"]),
        step_log_sd=STEP_LOG_SD,
    )


def _shop_plain(shop: Shop) -> Json:
    return {
        "chains": shop.chains,
        "log_rate_shift": dict(zip(USE_CLASSES, shop.level, strict=True)),
        "log_rate_shift_sd": dict(zip(USE_CLASSES, shop.level_sd, strict=True)),
        "off_together_percent": shop.together,
        "instruments": {
            name: [
                {
                    "kind": k.name,
                    "weight": k.weight,
                    "bias_percent": k.bias,
                    "bias_sd_percent": k.bias_sd,
                }
                for k in kinds
            ]
            for name, kinds in zip(INSTRUMENTS, shop.kinds, strict=True)
        },
    }


def _shop_read(p: JsonRead) -> Shop:
    def kinds(rows: Sequence[JsonRead]) -> tuple[Kind, ...]:
        names = ("weight", "bias_percent", "bias_sd_percent")
        return tuple(Kind(str(r["kind"]), *(float(r[n]) for n in names)) for r in rows)

    return Shop(
        int(p["chains"]),
        tuple(float(p["log_rate_shift"][c]) for c in USE_CLASSES),
        tuple(float(p["log_rate_shift_sd"][c]) for c in USE_CLASSES),
        tuple(kinds(p["instruments"][name]) for name in INSTRUMENTS),
        # Files from before this was learned are read as they were.
        float(p.get("off_together_percent", 0.0)),
    )
