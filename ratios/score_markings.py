"""Score the reading of markings on drawn photos, each figure beside its bar: `make score-markings` (ARGS="--photos 200" for a small one).

Photos are drawn (`ratios/marking_bench.py`, every number there is an assumption), with typefaces, grounds, texts and seeds that
nothing was tuned on: what is shown is what the method reaches on drawings of that kind, not on photographs.
"""

import argparse
import os
import sys
from collections import Counter, defaultdict
from math import inf
from time import process_time

import numpy as np

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinchbolt.serving.settings")

from pinchbolt.engines.markings import MarkingKind, MarkingRead, Sureness
from pinchbolt.eye import Eye, installed
from pinchbolt.workshop.markings.read_photo import read_photo
from ratios.marking_bench import DrawnMarking, World, drawn, tested, tuned
from ratios.marking_score import context_of, right
from ratios.marking_texts import DrawnText

ONE_WRONG_IN, AMONG, NOTHING_OFFERED = 300, 0.75, 0.98
# One photo without a marking for so many with one.
ONE_EMPTY_FOR = 8
# One look without copies, votes or grammar.
PLAIN = "as it is, local contrast"
missed: list[str] = []


def say(text: str) -> None:
    """One line, at once."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def held(what: str, shown: str, bar: str, good: bool) -> None:
    """One figure beside its bar."""
    say(f"  {what:<66} {shown:<20} {bar:<14} {'yes' if good else 'NO'}")
    if not good:
        missed.append(what)


def _figures(text: str) -> str:
    """Figures and points of a text, in order."""
    return "".join(one for one in text.replace(",", ".") if one.isdigit() or one == ".").strip(".")


class Tally:
    """What came of each photo, and of which kind and style it was."""

    def __init__(self) -> None:
        self.all: Counter[str] = Counter()
        self.by: dict[str, Counter[str]] = defaultdict(Counter)

    def add(self, photo: DrawnMarking, found: MarkingRead) -> None:
        """Count one photo with a marking."""
        text = photo.text
        assert text is not None
        hits = [right(one, text) for one in found.candidates]
        sure = found.sureness is Sureness.SURE
        plain = any(
            one.copy == PLAIN and _figures(one.text) in map(_figures, text.forms) for one in found.seen
        )
        told = Counter(
            {
                "plain": plain,
                "photos": 1,
                "sure": sure,
                "wrong": sure and not hits[0],
                "among": any(hits),
                "first": any(hits[:1]),
            }
        )
        self.all += told
        style = next((one for one in ("printed", "etched", "embossed", "laser") if one in photo.how), "")
        for key in (text.kind, style, *(one for one in ("shine", "bent") if one in photo.how)):
            self.by[key] += told
        if told["wrong"]:
            say(f"  wrong: {text.forms[0]!r} was offered as {found.candidates[0].words!r} ({photo.how})")


def kinds_of_empty(world: World, number: int) -> DrawnText:
    """What is looked for on a photo that has nothing: each kind in turn, with the bounds of one of its places."""
    kinds = list(dict.fromkeys(text.kind for text in world.texts))
    return next(text for text in world.texts if text.kind == kinds[number % len(kinds)])


def run(world: World, photos: int, seed: int) -> None:
    """Draw, read, count."""
    tally, offered, empty = Tally(), 0, max(1, photos // ONE_EMPTY_FOR)
    before = process_time()
    with Eye() as eye:
        for number in range(photos):
            photo = drawn(
                np.random.default_rng([seed, number]), world, world.texts[number % len(world.texts)]
            )
            assert photo.text is not None
            tally.add(
                photo, read_photo(photo.jpeg, MarkingKind(photo.text.kind), context_of(photo.text), eye)
            )
            if number % 200 == 199:
                say(
                    f"  ... {number + 1} photos, sure {tally.all['sure']}, wrong {tally.all['wrong']}, among {tally.all['among']}"
                )
        for number in range(empty):
            photo = drawn(np.random.default_rng([seed, number, 1]), world, None)
            looked_for = kinds_of_empty(world, number)
            found = read_photo(photo.jpeg, MarkingKind(looked_for.kind), context_of(looked_for), eye)
            if found.sureness is not Sureness.CANNOT:
                offered += 1
                say(f"  offered on a photo without a marking: {found.words} ({photo.how})")
    say(
        f" {photos} drawn markings of {len(world.texts)} texts ({world.name} typefaces and grounds), {empty} photos without one"
    )
    table(tally)
    counts = tally.all
    rate = counts["sure"] / counts["wrong"] if counts["wrong"] else inf
    shown = f"{counts['wrong']} of {counts['sure']}"
    held("wrong among sure enough to offer", shown, f"1 in {ONE_WRONG_IN}", rate >= ONE_WRONG_IN)
    among = counts["among"] / photos
    held("right, offered or among the first three", f"{among:.1%}", f">= {AMONG:.0%}", among >= AMONG)
    nothing = 1 - offered / empty
    held(
        "photos without a marking on which nothing is offered",
        f"{nothing:.1%}",
        f">= {NOTHING_OFFERED:.0%}",
        nothing >= NOTHING_OFFERED,
    )
    say(f"  {'sure enough to offer':<66} {counts['sure'] / photos:.1%}")
    say(
        f"  {'for comparison: the plain copy alone, all its figures right':<66} {counts['plain'] / photos:.1%}"
    )
    say(f"  {'right first, sure or not':<66} {counts['first'] / photos:.1%}")
    say(f"  {'processor seconds, drawing and judging without the eye':<66} {process_time() - before:.0f}")


def table(tally: Tally) -> None:
    """Each kind and style: photos, sure, wrong, right or among."""
    say(f"  {'':<14}{'photos':>8}{'sure':>8}{'wrong':>8}{'among':>8}")
    for key, told in tally.by.items():
        count = told["photos"]
        say(
            f"  {key:<14}{count:>8}{told['sure'] / count:>8.0%}{told['wrong']:>8}{told['among'] / count:>8.0%}"
        )


def main() -> int:
    """Run all, and say which bars were missed."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--photos", type=int, default=2400)
    asked.add_argument("--seed", type=int, default=20261129)
    asked.add_argument("--world", choices=("tested", "tuned"), default="tested")
    told = asked.parse_args()
    if not installed():
        say(
            "The text reader is not installed here: install the extra 'markings', then try again. Nothing was scored."
        )
        return 2
    run({"tested": tested, "tuned": tuned}[told.world](), told.photos, told.seed)
    say(f"bars missed: {', '.join(missed)}" if missed else "every bar held")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
