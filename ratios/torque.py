"""Torque sheets of 10,000 bikes of 30 joints in one call, against the same rule joint by joint: `python -m ratios.torque`.

Both answer the same drawn joints with the same tools: window, tool and setting. The plain loop works in exact fractions
and takes a share of the bikes; times are compared a joint. What it printed stands in docs/methods/torque.md.
"""

import sys
import time
from datetime import date

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.torque import (
    JointSpec,
    NoSafeSetting,
    ToolSpec,
    TorqueMarking,
    TorqueRange,
    best_setting,
    sheets_of_many,
    window,
)
from pinchbolt.errors import NoSafeAnswer

BIKES, JOINTS, PARTS = 10_000, 30, 2
TODAY = date(2026, 11, 25)
TOOLS = (
    ToolSpec("preset", "preset keys", 4.0, 6.0, 0.06, steps=(4.0, 5.0, 6.0)),
    ToolSpec("small", "small click wrench", 2.0, 14.0, 0.04, 0.1),
    ToolSpec("middle", "middle click wrench", 5.0, 25.0, 0.04, 0.25),
    ToolSpec("large", "large click wrench", 10.0, 60.0, 0.04, 0.5),
    ToolSpec("driver", "torque screwdriver", 0.5, 5.0, 0.06, 0.1),
)
Floats = NDArray[np.float64]


def drawn(count: int) -> tuple[Floats, ...]:
    """Joints as printed: table, usual torque, and markings on some of their parts."""
    draw = np.random.default_rng(20_261_125)
    least = np.round(draw.uniform(1, 35, count), 1)
    greatest = np.round(least * draw.uniform(1.2, 1.8, count), 1)
    usual = np.round((least + greatest) / 2, 1)
    share = draw.uniform(0.95, 2, (count, PARTS))
    top = np.where(draw.random((count, PARTS)) < 0.6, np.nan, np.round(least[:, None] * share, 1))
    low = np.where(draw.random((count, PARTS)) < 0.8, np.nan, np.round(top * 0.8, 1))
    return least, greatest, usual, low, top


def one_by_one(held: tuple[Floats, ...], count: int) -> list[float]:
    """The setting of each joint by the single rule; nan where there is none."""
    least, greatest, usual, low, top = held
    found = []
    for at in range(count):
        marks = tuple(
            TorqueMarking(part, float(top[at, n]), None if np.isnan(low[at, n]) else float(low[at, n]))
            for n, part in enumerate("ab")
            if not np.isnan(top[at, n])
        )
        table = TorqueRange(float(least[at]), float(greatest[at]), float(usual[at]), "drawn")
        try:
            accepted = window(JointSpec("j", "joint", ("a", "b"), table, None, marks))
            found.append(best_setting(accepted, TOOLS, TODAY).set)
        except (NoSafeSetting, NoSafeAnswer):
            found.append(float("nan"))
    return found


def main(sample_bikes: int = 200) -> int:
    """Print both times a joint, their ratio, and how many settings differ."""
    held = drawn(BIKES * JOINTS)
    began = time.perf_counter()
    many = sheets_of_many(*held, TOOLS, TODAY)
    all_at_once = time.perf_counter() - began
    count = sample_bikes * JOINTS
    began = time.perf_counter()
    single = np.array(one_by_one(held, count))
    plain = (time.perf_counter() - began) / count * BIKES * JOINTS
    differ = int(np.count_nonzero(~np.isclose(single, many.set[:count], rtol=0, atol=1e-9, equal_nan=True)))
    print(
        f"{BIKES:,} bikes of {JOINTS} joints, {len(TOOLS)} tools: {all_at_once:.2f} s in one call, {plain:.0f} s joint by "
        f"joint (from {count:,} joints): ratio {plain / all_at_once:.0f}; {differ} of {count:,} settings differ"
    )
    return 1 if differ else 0


if __name__ == "__main__":
    sys.exit(main(*(int(word) for word in sys.argv[1:])))
