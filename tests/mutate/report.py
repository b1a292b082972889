"""What is printed of a hunt: each survivor as it is found, then how many were killed, room by room."""

import sys
from collections import Counter
from collections.abc import Callable, Sequence

from tests.mutate.hunt import Fate

# A change that never ends is seen by whoever waits for it.
SEEN = ("killed", "too long")


def say(words: str) -> None:
    """Print past pytest, which keeps what is printed while it runs."""
    print(words, file=sys.__stdout__, flush=True)


def told(fate: Fate) -> str:
    """One line of one mutant."""
    one = fate.mutant
    tried = f"{fate.tests} tests" if fate.tests == fate.reaching else f"{fate.tests} of {fate.reaching} tests"
    where = f" in {one.within}" if one.within else ""
    return f"{fate.end:9} {one.id} src/{one.path}:{one.line} [{one.kind}] {one.change}{where} ({tried})"


def progress(count: int, every: bool) -> Callable[[Fate], None]:
    """Says each survivor at once, every fate if asked, and from time to time how far it is."""
    seen: list[Fate] = []

    def one(fate: Fate) -> None:
        seen.append(fate)
        if every or fate.end not in SEEN:
            say(told(fate))
        if len(seen) % 25 == 0:
            say(f"... {len(seen)} of {count}")

    return one


def table(fates: Sequence[Fate]) -> list[str]:
    """By room: how many were planted and seen, and the share."""
    rooms = sorted({fate.mutant.folder for fate in fates})
    lines = [f"{'room':20} {'planted':>7} {'seen':>6} {'share':>7}"]
    for room in [*rooms, "all"]:
        ends = Counter(fate.end in SEEN for fate in fates if room in (fate.mutant.folder, "all"))
        lines.append(f"{room:20} {ends.total():7} {ends[True]:6} {100 * ends[True] / ends.total():6.1f}%")
    return lines


def close(fates: Sequence[Fate], seconds: float) -> None:
    """The survivors in order of their place, the table, and the time."""
    left = [fate for fate in fates if fate.end not in SEEN]
    say(f"\nnot seen ({len(left)}):")
    for fate in sorted(left, key=lambda one: (one.mutant.path, one.mutant.line)):
        say(f"  {told(fate)}")
    say("\n" + "\n".join(table(fates)))
    say(f"in {seconds:.0f} s")
