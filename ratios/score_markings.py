"""Score the reading of markings on drawn photos, each figure beside its bar: `make score-markings` (ARGS="--photos 200" for a small one).

Photos are drawn (`ratios/marking_bench.py`, every number there is an assumption), with typefaces, grounds, texts and seeds that
nothing was tuned on: what is shown is what the method reaches on drawings of that kind, not on photographs.
"""

import argparse
import os
import sys
from collections import Counter, defaultdict
from math import inf

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
PATIENT_S = 900.0
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
        assert "text reader" not in found.words, found.words
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
    """Draw, read, count: markings and photos without one in turn, so that a run that is stopped has said something of both."""
    tally, offered, empty = Tally(), 0, 0
    # A machine that is busy with other things reads as well as one that is not: the time is no part of this score.
    with Eye(PATIENT_S) as eye:
        for number in range(photos):
            photo = drawn(
                np.random.default_rng([seed, number]), world, world.texts[number % len(world.texts)]
            )
            assert photo.text is not None
            tally.add(
                photo, read_photo(photo.jpeg, MarkingKind(photo.text.kind), context_of(photo.text), eye)
            )
            if number % ONE_EMPTY_FOR == 0:
                offered += offers_something(world, np.random.default_rng([seed, empty, 1]), empty, eye)
                empty += 1
            if number % 100 == 99:
                told = tally.all
                say(
                    f"  ... {number + 1} photos: sure {told['sure']}, wrong {told['wrong']}, among {told['among']}, "
                    f"plain {told['plain']}; offered on {offered} of {empty} empty ones"
                )
    say(
        f" {photos} drawn markings of {len(world.texts)} texts ({world.name} typefaces and grounds), {empty} photos without one"
    )
    table(tally)
    bars(tally.all, offered, empty)


def offers_something(world: World, rng: np.random.Generator, number: int, eye: Eye) -> bool:
    """Whether a photo without a marking gets an offer, whatever is looked for."""
    photo, looked_for = drawn(rng, world, None), kinds_of_empty(world, number)
    found = read_photo(photo.jpeg, MarkingKind(looked_for.kind), context_of(looked_for), eye)
    if found.sureness is not Sureness.CANNOT:
        say(f"  offered on a photo without a marking: {found.words} ({photo.how})")
    return found.sureness is not Sureness.CANNOT


def bars(counts: Counter[str], offered: int, empty: int) -> None:
    """Each figure beside its bar."""
    photos = counts["photos"]
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
    for what, share in (
        ("sure enough to offer", counts["sure"]),
        ("right first, sure or not", counts["first"]),
        ("for comparison: the plain copy alone, all its figures right", counts["plain"]),
    ):
        say(f"  {what:<66} {share / photos:.1%}")
    used = os.times()
    say(f"  {'processor seconds, the eye included':<66} {used.user + used.children_user:.0f}")


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
