"""Kits of 60 tools for 120 joints with proof, against the greedy choice: `python -m ratios.kits`.

The greedy bag takes the tool that meets most open needs until none is open: what a person does at the board. Drawn sets,
seeds fixed. What it printed stands in docs/methods/kits.md.
"""

import random
import sys
import time

from pinchbolt.engines.kits import Aim, CoverJoint, CoverTool, choose_kit, needs_of

TOOLS, JOINTS, SETS = 60, 120, 20


def drawn(seed: int) -> tuple[list[CoverJoint], list[CoverTool]]:
    """Two tools in three turn one to three drives, the others keep a quarter of the joints to their torque."""
    draw = random.Random(seed)
    drives = [f"d{n}" for n in range(30)]
    joints = [
        CoverJoint(f"j{n}", f"joint {n}", tuple(draw.sample(drives, draw.randint(1, 3))), draw.random() < 0.6)
        for n in range(JOINTS)
    ]
    tools = []
    for n in range(TOOLS):
        if n < TOOLS * 2 // 3:
            turns = frozenset(draw.sample(drives, draw.randint(1, 3)))
            tools.append(CoverTool(f"t{n}", f"tool {n}", float(draw.randint(8, 500)), turns))
        else:
            keeps = frozenset(joint.id for joint in joints if draw.random() < 0.25)
            tools.append(CoverTool(f"t{n}", f"tool {n}", float(draw.randint(100, 1200)), keeps=keeps))
    return joints, tools


def greedy(joints: list[CoverJoint], tools: list[CoverTool], aim: Aim) -> float:
    """What the greedy bag costs: most open needs met for the least."""
    open_needs = [need.by for need in needs_of(joints, tools) if need.by]
    cost = {tool.id: 1.0 if aim == "count" else tool.grams for tool in tools}
    total = 0.0
    while open_needs:
        met = {tool.id: sum(tool.id in by for by in open_needs) for tool in tools}
        best = max(met, key=lambda name: met[name] / cost[name])
        total += cost[best]
        open_needs = [by for by in open_needs if best not in by]
    return total


def main() -> int:
    """Print time, proofs, and how much more the greedy bag holds."""
    choose_kit(*drawn(0))  # the solver is loaded here, not in the times below
    for aim in ("count", "grams"):
        seconds, proven, more = 0.0, 0, []
        for seed in range(SETS):
            joints, tools = drawn(seed)
            began = time.perf_counter()
            kit = choose_kit(joints, tools, aim)
            seconds += time.perf_counter() - began
            proven += kit.proven
            more.append(greedy(joints, tools, aim) / (kit.count if aim == "count" else kit.grams))
        print(
            f"least {aim}, {TOOLS} tools x {JOINTS} joints: {proven} of {SETS} proved the best, {seconds / SETS:.2f} s each; "
            f"the greedy bag has {sum(more) / SETS:.3f} times as much on average, {max(more):.3f} at worst"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
