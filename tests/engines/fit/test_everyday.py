"""Everyday questions: what a good mechanic answers was written down first; properties that hold for all of them."""

from itertools import product
from typing import Any

import pytest

from pinchbolt.engines.fit import FitWord, ask_in_words, check_build, rules_in_words, run_rule
from pinchbolt.engines.fit._decide import WORST_LAST
from pinchbolt.engines.fit._tables import same_words
from tests.engines.fit.conftest import plain_tables, plain_view

PLAIN = plain_tables()
TABLES = plain_view()

ITALIAN = {"cassette": "c-it-9to12", "body": "it-8spline"}


@pytest.mark.parametrize("speeds", [9, 10, 11, 12])
def test_a_cassette_row_of_several_speeds_claims_none(speeds: int) -> None:
    """Italian cassettes of 9, 10 and 11 speeds go with shifters of as many, and their chain can be told."""
    build = {**ITALIAN, "speeds_shifter": speeds}
    alone = check_build(build, TABLES)
    assert alone.verdict is not FitWord.DOES_NOT_FIT
    counted = check_build({**build, "speeds_cassette": speeds, "chain": f"ch-{speeds}"}, TABLES)
    clicks = {(check.rule, check.place): check.verdict for check in counted.checks}
    assert clicks["clicks", "drive"] is FitWord.FITS
    assert clicks["chain-drive", "drive"] is FitWord.FITS


def told(end: str, **facts: object) -> dict[str, object]:
    """Facts of one end by their names in the build."""
    return {f"{name}_{end}": value for name, value in facts.items()}


@pytest.mark.parametrize("end", ["front", "rear"])
@pytest.mark.parametrize(
    ("bike", "wheel", "word"),
    [
        ("rim", {"wheel_brake": "disc"}, FitWord.DOES_NOT_FIT),
        ("rim", {"hub_rotor_mount": "centre-lock"}, FitWord.DOES_NOT_FIT),
        ("disc", {"wheel_brake": "rim"}, FitWord.DOES_NOT_FIT),
        ("coaster", {"wheel_brake": "rim"}, FitWord.DOES_NOT_FIT),
        ("roller", {"wheel_brake": "disc"}, FitWord.DOES_NOT_FIT),
        ("rim", {"wheel_brake": "roller"}, FitWord.CANNOT_TELL),
        ("rim", {"wheel_brake": "rim"}, FitWord.FITS),
        ("disc", {"hub_rotor_mount": "six-bolt"}, FitWord.FITS),
        ("none", {"wheel_brake": "disc"}, FitWord.FITS),
    ],
)
def test_a_wheel_meets_the_brake_of_the_bike(
    end: str, bike: str, wheel: dict[str, object], word: FitWord
) -> None:
    """No wheel goes in without a word on what brakes it."""
    answer = check_build({**told(end, brake_kind=bike), **told(end, **wheel)}, TABLES)
    (found,) = (check for check in answer.checks if check.rule == "wheel-brake")
    assert found.verdict is word, found.because


BRAKE = [{"brake_kind": kind} for kind in ("rim", "disc", "drum", "roller", "coaster", "none")]
WHEEL = [
    {"wheel_brake": kind, **more}
    for kind in ("rim", "disc", "roller", "coaster", "none")
    for more in (
        {},
        {"rim_track": True},
        {"rim_track": False},
        {"hub_rotor_mount": "six-bolt"},
        {"hub_rotor_mount": "none"},
    )
]
SEAT = [{"made_for_seat": 622, "rim_bsd": seat} for seat in (622, 630, 584, 507)]


@pytest.mark.parametrize("end", ["front", "rear"])
def test_brake_kind_seat_and_place_never_make_a_verdict_better(end: str) -> None:
    """What is looked at besides can only find fault: the whole build is at most as good as it was without it."""
    base = {f"{'front' if end == 'front' else 'rear'}_hub": "f-12x100" if end == "front" else "r-12x142"}
    base |= {f"frame_{end}": base[f"{end}_hub"]}
    bare = WORST_LAST.index(check_build(base, TABLES).verdict)
    # Each of the three may be left out.
    for brake, wheel, seat in product(({}, *BRAKE), ({}, *WHEEL), ({}, *SEAT)):
        more = told(end, **brake, **wheel, **seat)
        assert WORST_LAST.index(check_build({**base, **more}, TABLES).verdict) >= bare, more


def test_the_drop_of_a_brake_goes_with_the_size_of_the_wheel() -> None:
    """A caliper of 39 to 49 at 47 on a 630: a 622 stands 4 mm further in, and the old drop says nothing of it."""
    build: dict[str, object] = {
        "made_for_seat_front": 630, "rim_bsd_front": 622, "brake_kind_front": "rim", "brake_drop_front": 47,
        "reach_least_front": 39, "reach_most_front": 49,
    }  # fmt: skip
    found = {check.rule: check.verdict for check in check_build(build, TABLES).checks}
    assert found["wheel-size"] is FitWord.DOES_NOT_FIT
    assert found["rim-brake-reach"] is FitWord.DOES_NOT_FIT


def spellings(word: str) -> set[str]:
    """Ways to write one code down."""
    return {
        word.upper(),
        word.lower(),
        word.replace("-", " "),
        word.replace(" ", "-"),
        f" {word} ",
        word.replace("-", "\u2011"),
    }


def test_capitals_spaces_and_hyphens_change_nothing() -> None:
    """Every worked case with its words written otherwise says what it says."""
    asked = 0
    for name, rule in PLAIN["rules"].items():
        for case in rule["cases"]:
            words = [
                key
                for key, value in case["given"].items()
                if isinstance(value, str) and not value[:1].isdigit()
            ]
            plain = run_rule(name, case["given"], TABLES)
            for key in words:
                for other in spellings(case["given"][key]):
                    same = run_rule(name, {**case["given"], key: other}, TABLES)
                    assert (same.verdict, same.missing) == (plain.verdict, plain.missing), (name, key, other)
                    asked += 1
    assert asked > 1000


def test_no_two_codes_of_one_kind_are_the_same_but_for_their_writing() -> None:
    """Else capitals would decide after all."""
    for kind, rows in PLAIN["interfaces"].items():
        if not isinstance(rows, list):
            continue
        ids = [str(row["id"]) for row in rows if "id" in row]
        assert len({same_words(one) for one in ids}) == len(ids), kind


def test_every_answer_gives_this_pairs_reason() -> None:
    """Never the rule's general words: 1.85 mm, not a paragraph on splines."""
    for name, rule in PLAIN["rules"].items():
        for case in rule["cases"]:
            answer = run_rule(name, case["given"], TABLES)
            assert answer.because and answer.because != rule["words"], (name, case["given"])
    spacer = run_rule("cassette-body", {"cassette": "c9", "body": "hg-11"}, TABLES)
    assert spacer.because == "the body is 1.85 mm longer than this cassette"


def test_hooked_is_nowhere_stricter_than_hookless() -> None:
    """A rim with hooks holds what the same rim without them holds."""
    narrower = 0
    for rim, tyre in product(range(19, 31), range(18, 75)):
        given: dict[str, Any] = {
            "rim_inner": rim, "tyre_width": tyre, "tyre_allowed_hookless": True, "pressure_bar": 2.0, "tyre_max_bar": 4,
            "rim_max_bar": 4,
        }  # fmt: skip
        hooked, hookless = (
            run_rule("tyre-width", {**given, "hook": hook}, TABLES).verdict for hook in (True, False)
        )
        assert WORST_LAST.index(hooked) <= WORST_LAST.index(hookless), (rim, tyre)
        narrower += hooked is FitWord.FITS and hookless is not FitWord.FITS
    assert narrower > 20


def test_a_tyre_fits_the_rim_on_which_its_width_is_measured() -> None:
    """The two tables agree: no width is measured on a rim that it does not fit."""
    for row in PLAIN["interfaces"]["measuring_rim"]:
        for width in (row["section"][0], row["section"][1]):
            given = {
                "rim_inner": row["rim"], "hook": True, "tyre_width": width, "pressure_bar": 0.5, "tyre_max_bar": 1, "rim_max_bar": 1,
            }  # fmt: skip
            assert run_rule("tyre-width", given, TABLES).verdict is not FitWord.DOES_NOT_FIT, (
                width,
                row["rim"],
            )


IN_WORDS = [
    ("11 speed cassette on 10 speed body", "cassette-body", {"does not fit", "fits"}),
    ("27.2 seat post in a 31.6 frame", "seat-post", {"fits with"}),
    ("27.2 post in 30.9 seat tube", "seat-post", {"fits with"}),
    (
        "quick release wheel in 12 mm thru axle frame",
        "hub-frame",
        {"fits with", "cannot tell", "does not fit"},
    ),
    (
        "nutted wheel in a quick release frame",
        "hub-frame",
        {"fits", "does not fit", "fits with", "cannot tell"},
    ),
    ("boost wheel in 142 frame", "hub-frame", {"does not fit"}),
    ("180 rotor on 160 post mount", "rotor-post", {"cannot tell"}),
    ("centre lock rotor on six bolt hub", "rotor-hub", {"does not fit"}),
    ("DOT 4 in a mineral brake", "brake-fluid", {"does not fit"}),
    ("disc wheel in a rim brake bike", "wheel-brake", {"does not fit"}),
    ("hub gear wheel in a derailleur bike", "wheel-gears", {"does not fit"}),
    ("10 speed chain on 11 speed drive", "chain-drive", {"does not fit"}),
    ("11 speed shifter with 10 speed cassette", "clicks", {"fits with"}),
    ("9/16 pedal in 1/2 crank", "pedal-crank", {"does not fit"}),
    ("square taper crank in BSA shell", "bb-spindle", {"fits"}),
    ("post caliper on flat mount", "caliper-mount", {"fits with"}),
    ("26 x 1 3/8 tyre on a 559 rim", "tyre-diameter", {"does not fit"}),
    ("30 mm tyre on 25 mm hookless rim", "tyre-width", {"cannot tell"}),
    ("freewheel on screw-on hub", "cassette-body", {"fits", "does not fit"}),
    ("31.8 bar in 35 stem", "bar-stem", {"cannot tell"}),
    ("24 mm spindle in pf30a", "bb-spindle", {"fits with"}),
    ("11 speed Italian cassette on Italian body", "cassette-body", {"fits"}),
    ("BB92 bottom bracket in a BB86 shell", "bb-shell-part", {"cannot tell"}),
    ("coaster wheel in a V-brake bike", "wheel-brake", {"cannot tell", "does not fit"}),
]


@pytest.mark.parametrize(("words", "rule", "verdicts"), IN_WORDS)
def test_a_question_in_words_finds_its_rule_and_its_parts(words: str, rule: str, verdicts: set[str]) -> None:
    """As it is asked at the counter, without a code."""
    found = ask_in_words(words, TABLES)[0]
    assert found.rule == rule
    assert {reading.verdict.verdict.value for reading in found.readings} <= verdicts
    assert found.readings
    assert all(meant.words for reading in found.readings for meant in reading.meant)


@pytest.mark.parametrize("words", ["", "   ", "?!", "xyzzy"])
def test_what_no_rule_knows_is_said(words: str) -> None:
    """No guess where nothing was understood."""
    from pinchbolt.errors import InputRefused

    with pytest.raises(InputRefused, match=r"two parts"):
        ask_in_words(words, TABLES)


def test_every_rule_can_be_asked_for_in_its_own_words() -> None:
    """Its name, and each phrase that stands beside it, find it first or among the five."""
    lost = [
        (one.rule, phrase)
        for one in rules_in_words(TABLES)
        for phrase in (one.name, *one.asked)
        if one.rule not in [found.rule for found in ask_in_words(phrase, TABLES)]
    ]
    assert lost == []
