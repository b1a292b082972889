"""Other parts through the same engine: drawn lives of cassettes, rotors, pads, rims and tyres, and what the forecast of each
is worth: `python -m ratios.wear_parts`.

Each life is drawn from its row's own prior and grows as a gamma process; three readings with the noise given here (assumed,
in the row's unit). A cassette is read two ways: by the chains that it outlived, and by the four steps of a sprocket gauge.
"""

import sys
import tomllib
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

import pinchbolt
from pinchbolt.engines.wear import WearLaw, law_for
from pinchbolt.engines.wear._forecast_chains import foretold
from pinchbolt.engines.wear._scale import Array, OwnScale, own_scale
from pinchbolt.reference import load
from ratios.wear import plain_batch

LOOKS = 3
BY_STEPS = "cassette by gauge steps"
# By row, the noise of a reading in the row's unit. Assumed.
PARTS = {
    "cassette-chains-used": 0.3,
    BY_STEPS: 0.5,
    "rotor-thickness-1.8": 0.01,
    "disc-pad-lining-resin": 0.1,
    "rim-wall-thickness": 0.05,
    "tyre-tread-city": 0.15,
}
STEPS = 3  # of the sprocket gauge, from seated to lifting freely: the last one is the limit
LEVELS = np.array([0.05, 0.1, 0.25, 0.5, 0.75, 0.9])


@dataclass(frozen=True, slots=True)
class PartScore:
    """Shares of true rests inside the 50 and 80 % intervals; error against the trade's life by itself; share of parts past
    their limit on arrival, when called at the 5 % point."""

    half: float
    wide: float
    against_flat: float
    late: float
    safety: bool


def law_of(row: str) -> WearLaw:
    """The row's law with the trade's prior, mixed use."""
    priors = tomllib.loads(
        (Path(pinchbolt.__file__).parent / "reference/tables/wear-priors.toml").read_text("utf-8")
    )
    limit = load().limits["cassette-chains-used" if row == BY_STEPS else row]
    law = law_for(limit, priors, speeds=11, use_class="mixed")
    assert law is not None  # every row named here has a prior
    return law


def part_score(row: str, n: int, seed: int = 8) -> PartScore:
    """Draw *n* lives of a part, forecast each after three readings, and hold the forecasts to what came."""
    law, g = law_of(row), np.random.default_rng(seed)
    scale = own_scale(law)
    rate = np.exp(scale.mu + scale.sigma * g.normal(size=n))
    wear, used = scale.start_sd * g.normal(size=n), np.zeros(n)
    sd = PARTS[row] / STEPS if row == BY_STEPS else abs(PARTS[row] * scale.per_unit)
    use, shown = np.zeros((n, LOOKS + 1)), np.zeros((n, LOOKS))
    for j in range(LOOKS):
        use[:, j] = law.median_life / 6 * np.exp(0.3 * g.normal(size=n))
        wear = wear + rate * g.gamma(use[:, j] / scale.noise, scale.noise)
        used += use[:, j]
        shown[:, j] = wear + sd * g.normal(size=n)
    left = _left(wear, rate, scale, g)
    low, high = _in_steps(shown) if row == BY_STEPS else (shown, shown.copy())
    marks = (np.arange(STEPS) + 0.5) / STEPS if row == BY_STEPS else None
    found = foretold(plain_batch(replace(scale, slow_sd=0.0), use, low, high, sd, steps=marks), LEVELS)[0]
    called = found[:, 0] > 0
    late = float(np.mean(left[called] < found[called, 0]))
    ahead = left > 0
    true, (_, low80, low50, middle, high50, high80) = left[ahead], found[ahead].T
    flat = np.maximum(law.median_life - used[ahead], 0.0)
    error = np.abs(np.maximum(middle, 0.0) - true).mean() / np.abs(flat - true).mean()
    half = float(np.mean((true >= low50) & (true <= high50)))
    wide = float(np.mean((true >= low80) & (true <= high80)))
    return PartScore(half, wide, float(error), late, law.safety)


def _in_steps(shown: Array) -> tuple[Array, Array]:
    """Ends of the step that a sprocket gauge shows, own scale; the outer steps are open."""
    step = np.clip(np.round(shown * STEPS), 0, STEPS)
    low = np.where(step == 0, -np.inf, (step - 0.5) / STEPS)
    return low, np.where(step == STEPS, np.inf, (step + 0.5) / STEPS)


def _left(wear: Array, rate: Array, scale: OwnScale, g: np.random.Generator) -> Array:
    """Use from now until each life passes its limit (-1: passed), in steps of a fortieth of its expected rest."""
    step = np.maximum(1.0 - wear, 0.02) / rate / 40
    at, reached = np.zeros(len(wear)), wear.copy()
    left = np.where(wear >= 1.0, -1.0, np.nan)
    for _ in range(4000):
        on = np.isnan(left)
        if not on.any():
            break
        grown = rate * g.gamma(step / scale.noise, scale.noise)
        passing = on & (reached + grown >= 1.0)
        left[passing] = (at + step * (1.0 - reached) / np.maximum(grown, 1e-12))[passing]
        reached, at = reached + grown, at + step
    return left


def main() -> None:
    """Print the score of each part."""
    sys.stdout.write(
        "part                        cover 50/80   error/flat   past on arrival at the 5 % point\n"
    )
    for row in PARTS:
        s = part_score(row, 20000)
        sys.stdout.write(
            f"{row:<26}  {100 * s.half:.1f}/{100 * s.wide:.1f}     {s.against_flat:.3f}        {100 * s.late:.1f} %"
            f"{' (safety)' if s.safety else ''}\n"
        )


if __name__ == "__main__":
    main()
