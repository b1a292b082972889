"""Score the choice of looks on drawn bikes, each figure beside its bar: `make score-look`.

Bikes, workshops and hands are drawn (`ratios/look_bench.py`, every number there is an assumption): what is shown is what the
method reaches on a truth of that shape, not what it reaches in a workshop. The mechanic's own first pass stands beside it.
"""

import argparse
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from pinchbolt.reference import Tables, tables
from ratios.look_bench import (
    KINDS,
    Caught,
    Drawn,
    OffBy,
    bikes,
    by_choice,
    by_list,
    first_pass,
    fixed_order,
    workshop,
)
from ratios.look_small import against_the_best

MINUTES = (5, 10)
OVER_FIRST_PASS = {5: 1.12, 10: 1.03}
OF_TRUE_CHANCES = {5: 0.92, 10: 0.96}
OF_TRUE_FAR_OFF, LEAST_KIND, OVER_FIXED, OF_BEST = 0.90, 0.97, 1.5, 0.93
WORKSHOPS, FAR = 6, 1.0
missed: list[str] = []


def say(text: str) -> None:
    """One line, at once."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def held(what: str, shown: str, bar: str, good: bool) -> None:
    """One figure beside its bar."""
    say(f"  {what:<64} {shown:<20} {bar:<18} {'held' if good else 'MISSED'}")
    if not good:
        missed.append(what)


@dataclass
class Sums:
    """What one way caught over many bikes, in all and by kind."""

    worth: float = 0.0
    unsafe: int = 0
    looks: int = 0
    cards: int = 0
    explained: int = 0
    by_kind: dict[str, float] = field(default_factory=dict)

    def add(self, kind: str, caught: Caught) -> None:
        """One bike more."""
        self.worth += caught.worth
        self.unsafe += caught.unsafe
        self.looks += caught.looks
        self.cards += caught.cards
        self.explained += caught.explained
        self.by_kind[kind] = self.by_kind.get(kind, 0.0) + caught.worth


def drawn(trade: Tables, seed: int, each: int, off: OffBy) -> list[Drawn]:
    """Bikes of all kinds from several workshops."""
    found: list[Drawn] = []
    for number in range(WORKSHOPS):
        here = workshop(1000 * seed + number, off)
        found += bikes(trade, here, KINDS, each, 1000 * seed + 500 + number)
    return found


def rounds(trade: Tables, here: Sequence[Drawn], minutes: int, ways: Iterable[str]) -> dict[str, Sums]:
    """Every way round all bikes in these minutes."""
    found = {way: Sums() for way in ways}
    for bike in here:
        for way, sums in found.items():
            sums.add(bike.kind, _one(trade, bike, 60.0 * minutes, way))
    return found


def _one(trade: Tables, bike: Drawn, seconds: float, way: str) -> Caught:
    if way == "chooser":
        return by_choice(bike, seconds, bike.told)
    if way == "true chances":
        return by_choice(bike, seconds, bike.true)
    return by_list(bike, seconds, first_pass(bike) if way == "first pass" else fixed_order(trade, bike))


def score(trade: Tables, seed: int, each: int) -> None:
    """All figures of one seed."""
    here = drawn(trade, seed, each, OffBy())
    with_cause = sum(bike.cause >= 0 for bike in here)
    there = sum(
        fault.worth
        for bike in here
        for fault, is_there in zip(bike.true.faults, bike.faults, strict=True)
        if is_there
    )
    many = len(here)
    each_has = sum(int(bike.faults.sum()) for bike in here) / many
    say(
        f"seed {seed}: {many} bikes of {len(KINDS)} kinds, {WORKSHOPS} workshops, {each_has:.1f} faults a bike, "
        f"worth {there / many:,.0f} a bike"
    )
    for minutes in MINUTES:
        ways = rounds(trade, here, minutes, ("fixed", "first pass", "chooser", "true chances"))
        say(
            f" {minutes} minutes {'':<14}{'worth a bike':>14}{'of all':>8}{'unsafe':>8}{'looks':>8}{'cards':>8}{'cause found':>13}"
        )
        for way, sums in ways.items():
            say(
                f"   {way:<21}{sums.worth / len(here):>14,.0f}{sums.worth / there:>8.2f}{sums.unsafe:>8}"
                f"{sums.looks / len(here):>8.1f}{sums.cards / len(here):>8.1f}{sums.explained / max(with_cause, 1):>13.2f}"
            )
        _bars(minutes, ways)
    far = drawn(trade, seed + 7, each, OffBy(chance=FAR))
    ways = rounds(trade, far, 10, ("chooser", "true chances"))
    share = ways["chooser"].worth / ways["true chances"].worth
    held(
        f"{len(far)} bikes, chances off by log sd {FAR:g}, 10 minutes: of the true",
        f"{share:.3f}",
        f">= {OF_TRUE_FAR_OFF}",
        share >= OF_TRUE_FAR_OFF,
    )


def _bars(minutes: int, ways: dict[str, Sums]) -> None:
    chooser, paper, true = ways["chooser"], ways["first pass"], ways["true chances"]
    over = chooser.worth / paper.worth
    least_over, least_share = OVER_FIRST_PASS[minutes], OF_TRUE_CHANCES[minutes]
    held(
        f"{minutes} minutes: worth over the first pass", f"{over:.3f}", f">= {least_over}", over >= least_over
    )
    by_kind = {kind: chooser.by_kind[kind] / paper.by_kind[kind] for kind in chooser.by_kind}
    say("  by kind: " + ", ".join(f"{kind} {over:.2f}" for kind, over in by_kind.items()))
    kind, least = min(by_kind.items(), key=lambda one: one[1])
    what = f"{minutes} minutes: least kind over the first pass ({kind})"
    held(what, f"{least:.3f}", f">= {LEAST_KIND}", least >= LEAST_KIND)
    what = f"{minutes} minutes: unsafe faults caught, first pass {paper.unsafe}"
    held(what, f"{chooser.unsafe}", f">= {paper.unsafe}", chooser.unsafe >= paper.unsafe)
    share = chooser.worth / true.worth
    what = f"{minutes} minutes: of what the true chances reach"
    held(what, f"{share:.3f}", f">= {least_share}", share >= least_share)
    fixed = chooser.worth / ways["fixed"].worth
    held(f"{minutes} minutes: over the fixed order", f"{fixed:.2f}", f">= {OVER_FIXED}", fixed >= OVER_FIXED)


def main() -> int:
    """Both seeds, then small cases against the best."""
    asked = argparse.ArgumentParser(description="Score the choice of looks on drawn bikes.")
    asked.add_argument("--seeds", type=int, nargs="+", default=[1, 2])
    asked.add_argument("--each", type=int, default=8, help="bikes of each kind from each of 6 workshops")
    asked.add_argument("--cases", type=int, default=100, help="small cases against dynamic programming")
    given = asked.parse_args()
    trade = tables()
    for seed in given.seeds:
        score(trade, seed, given.each)
    mean, tenth, worst = against_the_best(given.cases, seed=given.seeds[0])
    held(
        f"{given.cases} small cases: of the best by dynamic programming, mean",
        f"{mean:.3f}",
        f">= {OF_BEST}",
        mean >= OF_BEST,
    )
    say(f"  {'worst tenth, worst of them':<64} {tenth:.3f}, {worst:.3f}")
    say("bikes are drawn: this says what the choice reaches on bikes of that shape, not in a workshop")
    if missed:
        say(f"{len(missed)} missed")
    return 1 if missed else 0


if __name__ == "__main__":
    raise SystemExit(main())
