"""What was written by hand of each joint: its figures, its setting, its usual head."""

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

BY_HAND: Mapping[str, Any] = tomllib.loads(
    (Path(__file__).parent / "torque_by_hand.toml").read_text(encoding="utf-8")
)
NO_TOOL, MAKER = 0, -1


@dataclass(frozen=True, slots=True)
class Written:
    """A joint as the hand wrote it. [N·m]"""

    floor: float
    cap: float
    set: float
    head: str

    def agrees(self, floor: float, cap: float, at: float) -> bool:
        """Whether figures and setting are those of the hand."""
        near = max(0.05 * self.set, 0.1)
        return (floor, cap) == (self.floor, self.cap) and abs(at - self.set) <= near


def written(joint: str, cases: Iterable[str]) -> Written:
    """What the hand wrote of a joint on a bike that these cases hold for."""
    name = joint.partition(":")[0]
    *figures, head = BY_HAND["joint"][name]
    for case in cases:
        figures = BY_HAND["case"][case].get(name, figures)
    return Written(*figures, head)
