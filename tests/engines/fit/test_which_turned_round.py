"""The question turned round: the least purchase that makes it fit, for each part that a shop looks for so."""

import pytest

from pinchbolt.engines.fit import FitWord, which_fits
from tests.engines.fit.conftest import plain_view

TABLES = plain_view()
# What is sought, what is known of the bike, and what must stand among the first answers: written before asking. Common practice.
SOUGHT = [
    ("spacer", {"cassette": "c9", "body": "hg-11"}, "1.85 mm spacer"),
    (
        "headset",
        {"head_tube_upper": "ZS44", "head_tube_lower": "ZS56", "steerer": "tapered", "crown_race": "40"},
        "ZS56/40",
    ),
    ("bottom bracket", {"bb_shell": "bsa", "bb_shell_width": 68}, "bsa"),
    ("seat post", {"seat_tube": 31.6}, "31.6"),
    ("post shim", {"seat_tube": 31.6, "seat_post": "27.2"}, "shim 27.2 to 31.6"),
    ("rotor", {"native_front": 160, "max_rotor_front": 180}, "180"),
    ("adapter", {"native_front": 160, "rotor_front": 180, "max_rotor_front": 203}, "adapter"),
    ("brake mount", {"native_front": 160, "rotor_front": 180}, "flat"),
    ("axle", {"frame_thread_rear": "12x1.5", "frame_length_rear": 167}, "167"),
    ("hanger", {"derailleur_mount": "ordinary", "hanger": "own-shape"}, "own"),
    ("stem", {"bar": "31.8"}, "31.8"),
]


@pytest.mark.parametrize(("words", "build", "answer"), SOUGHT, ids=lambda one: str(one)[:24])
def test_what_makes_it_fit_is_among_the_first(words: str, build: dict[str, object], answer: str) -> None:
    """By the name of its standard; what is told fits."""
    found = which_fits(words, build, TABLES)
    told = [
        " ".join(
            (
                *(str(one.value) for one in reading.meant),
                *(one.words for one in reading.meant),
                *reading.verdict.with_items,
            )
        )
        for place in found
        for reading in place.answers
    ]
    assert any(answer in one for one in told), (
        told[:6],
        [place.sought for place in found],
        [p.lacking for p in found],
    )
    assert all(
        reading.verdict.verdict in (FitWord.FITS, FitWord.FITS_WITH) or reading.verdict.because
        for place in found
        for reading in place.answers
    )
