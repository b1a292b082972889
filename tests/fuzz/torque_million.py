"""A million random joints, markings and tools: no part may ever get more than it bears. Prints violations and time.

Run: python tests/fuzz/torque_million.py [joints] [seed]

The answers come from the engine's own many-at-once functions. The check is another way round: what each part bears is
gathered part by part, and the torque a tool may apply is worked from its definition, shown = true x (1 - d).
"""

import sys
import time

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.torque import settings_of_many, windows_of_many

Floats = NDArray[np.float64]
PARTS = 4
AT_ONCE = 250_000
# Binary dust of the check itself: two roundings of a product, relative.
DUST = 4e-15


def drawn(draw: np.random.Generator, count: int) -> dict[str, Floats]:
    """Random tables, markings and tools; half of the figures decimal as printed, half anything."""
    least = draw.uniform(0.2, 45, count)
    span = least[:, None] * draw.uniform(0.7, 2.2, (count, PARTS))
    figures = {
        "table_least": least,
        "table_greatest": least * draw.uniform(1.0, 1.9, count),
        "marked_greatest": np.where(draw.random((count, PARTS)) < 0.5, np.nan, span),
        "tool_least": draw.choice([0.5, 2.0, 4.3, 5.0, 10.0], count),
        "tool_greatest": draw.choice([14.0, 25.0, 60.0, 100.0], count),
        "deviation": draw.choice([0.0, 0.01, 0.04, 0.06, 0.15], count),
        "step": draw.choice([0.05, 0.1, 0.25, 0.5, 1.0, 0.1129848290276167], count),
    }
    given = draw.random((count, PARTS)) < 0.3
    figures["marked_least"] = np.where(given, span * draw.uniform(0.4, 1.0, (count, PARTS)), np.nan)
    figures["marked_least"][np.isnan(figures["marked_greatest"])] = np.nan
    printed = draw.random(count) < 0.5
    for name in ("table_least", "table_greatest"):
        figures[name] = np.where(printed, np.round(figures[name], 1), figures[name])
    for name in ("marked_least", "marked_greatest"):
        figures[name] = np.where(printed[:, None], np.round(figures[name], 1), figures[name])
    return figures


def violations(one: dict[str, Floats]) -> tuple[int, int]:
    """Joints with a setting that may pass what a part bears or miss the floor, and joints with a setting at all."""
    floor, cap = windows_of_many(
        one["table_least"], one["table_greatest"], one["marked_least"], one["marked_greatest"]
    )
    lowest, highest = settings_of_many(
        floor, cap, one["tool_least"], one["tool_greatest"], one["deviation"], one["step"]
    )
    found = ~np.isnan(highest)
    over, under = np.zeros_like(found), np.zeros_like(found)
    # shown = true x (1 - d) at worst high, shown = true x (1 + d) at worst low.
    for part in range(PARTS):
        mark = one["marked_greatest"][:, part]
        bears = np.where(np.isnan(mark), one["table_greatest"], mark)
        over |= found & (highest > bears * (1 - one["deviation"]) * (1 + DUST))
    asked = np.where(np.isnan(one["marked_least"]), -np.inf, one["marked_least"]).max(axis=1)
    asked = np.where(np.isneginf(asked), one["table_least"], asked)
    under |= found & (lowest < asked * (1 + one["deviation"]) * (1 - DUST))
    off_scale = found & (
        (highest > one["tool_greatest"] * (1 + DUST)) | (lowest < one["tool_least"] * (1 - DUST))
    )
    return int(np.count_nonzero(over | under | off_scale | (found & (lowest > highest)))), int(
        np.count_nonzero(found)
    )


def main(count: int = 1_000_000, seed: int = 20_250_602) -> int:
    """Draw, answer, check; 0 where nothing was violated."""
    draw = np.random.default_rng(seed)
    bad = settable = done = 0
    began = time.perf_counter()
    while done < count:
        now = min(AT_ONCE, count - done)
        wrong, found = violations(drawn(draw, now))
        bad, settable, done = bad + wrong, settable + found, done + now
    seconds = time.perf_counter() - began
    sys.stdout.write(
        f"{count} random joints, seed {seed}: {settable} had a safe setting, {bad} violations, {seconds:.1f} s\n"
    )
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main(*(int(word) for word in sys.argv[1:])))
