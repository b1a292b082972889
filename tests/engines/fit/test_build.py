"""A whole build: what a swap touches, what leads, and that no doubt is hidden."""

import random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinchbolt.engines.fit import FitWord, check_build, check_builds
from pinchbolt.errors import InputRefused, PinchboltError
from ratios.swap import bikes
from tests.engines.fit.conftest import plain_view
from tests.engines.fit.test_rule import JSON_LIKE

TABLES = plain_view()
# An invented gravel bike of which the facts of the drive, the wheels and the rear brake are known.
BIKE: dict[str, Any] = {
    "body": "hg-8910", "cassette": "c11-overhang", "chain": "ch-11", "rear_hub": "r-12x142", "frame_rear": "r-12x142",
    "rotor_rear": 160, "mount_rear": "fm-rear-160", "max_rotor_rear": 180, "caliper": "flat", "bb": "t47-ext",
    "spindle": "sp24", "seat_post": "27.2", "seat_tube": 27.2, "tyre": "40-622", "rim_bsd": 622, "rim_inner": 23,
    "hook": True, "opening": 52, "racing": False, "colour": "moss",
}  # fmt: skip
GOODNESS = {FitWord.FITS: 3, FitWord.FITS_WITH: 2, FitWord.CANNOT_TELL: 1, FitWord.DOES_NOT_FIT: 0}


def test_only_what_the_change_touches_is_checked() -> None:
    """A new cassette asks the body and the chain, not the seat post."""
    answer = check_build({**BIKE, "cassette": "c9"}, TABLES, changed={"cassette"})
    assert {check.rule for check in answer.checks} == {"cassette-body", "chain-drive"}
    chain = next(check for check in answer.checks if check.rule == "chain-drive")
    assert (chain.verdict, chain.place) == (FitWord.CANNOT_TELL, "drive")


def test_the_worst_leads_and_the_rest_stays_in_sight() -> None:
    """Does not fit before cannot tell before fits with before fits."""
    bike = {**BIKE, "seat_tube": 26.8, "frame_rear": "cannot tell"}
    answer = check_build(bike, TABLES)
    assert answer.verdict is FitWord.DOES_NOT_FIT
    assert answer.checks[0].rule == "seat-post"
    assert any(
        "spacing and axle of the frame or fork (rear): measure" in question for question in answer.cannot_tell
    )
    order = [GOODNESS[check.verdict] for check in answer.checks]
    assert order == sorted(order)


def test_without_a_misfit_the_doubt_leads() -> None:
    """Cannot tell is not hidden behind fits with."""
    answer = check_build({"seat_post": 27.2, "seat_tube": 31.6, "rear_hub": "r-12x142"}, TABLES)
    assert answer.verdict is FitWord.CANNOT_TELL
    assert answer.shopping == ("shim 27.2 to 31.6",)
    assert answer.checks[0].missing == ("frame_rear",)


def test_a_rule_of_which_nothing_is_known_does_not_speak() -> None:
    """A bike without gears is not asked for a derailleur."""
    answer = check_build({"seat_post": 27.2, "seat_tube": 27.2}, TABLES)
    assert [check.rule for check in answer.checks] == ["seat-post"]
    assert answer.verdict is FitWord.FITS


def test_an_empty_build_cannot_be_told() -> None:
    """Nothing known is not fits."""
    answer = check_build({}, TABLES)
    assert (answer.verdict, answer.checks) == (FitWord.CANNOT_TELL, ())
    assert "nothing is known" in answer.cannot_tell[0]


def test_a_change_that_no_rule_looks_at_is_said() -> None:
    """Silence is not consent."""
    answer = check_build(BIKE, TABLES, changed={"colour"})
    assert answer.verdict is FitWord.CANNOT_TELL
    assert 'no rule looks at "colour"' in answer.cannot_tell[0]


def test_a_word_that_no_row_has_is_a_doubt_of_its_rule_only() -> None:
    """The rest of the bike is still checked."""
    answer = check_build({**BIKE, "rear_hub": "nuts of some kind"}, TABLES)
    hub = next(check for check in answer.checks if check.rule == "hub-frame" and check.place == "rear")
    assert hub.verdict is FitWord.CANNOT_TELL
    assert 'hub\'s spacing and axle "nuts of some kind" is not in the table' in hub.because
    assert hub.missing == ("rear_hub",)
    assert any(check.verdict is FitWord.FITS for check in answer.checks)


@pytest.mark.parametrize("value", [-160, float("nan"), "big", [160], True])
def test_a_senseless_figure_in_a_build_is_refused_by_its_own_name(value: object) -> None:
    """The field on the screen is the one that is marked."""
    with pytest.raises(InputRefused) as refused:
        check_build({**BIKE, "rotor_rear": value}, TABLES)
    assert list(refused.value.errors) == ["rotor_rear"]


def test_front_and_rear_are_told_apart() -> None:
    """A 180 rotor on posts for 160, in front only."""
    bike = {"caliper": "post", "native_front": 160, "rotor_front": 180, "max_rotor_front": 203,
            "native_rear": 160, "rotor_rear": 160, "max_rotor_rear": 180}  # fmt: skip
    answer = check_build(bike, TABLES)
    by_place = {check.place: check for check in answer.checks if check.rule == "rotor-post"}
    assert by_place["front"].with_items == ("+20 adapter and bolts of its length",)
    assert by_place["rear"].verdict is FitWord.FITS


def test_the_order_of_the_parts_never_matters() -> None:
    """A build sheet has no order."""
    names = list(BIKE)
    first = check_build(BIKE, TABLES)
    for seed in range(5):
        random.Random(seed).shuffle(names)
        assert check_build({name: BIKE[name] for name in names}, TABLES) == first


@pytest.mark.parametrize("gone", sorted(BIKE))
def test_no_check_improves_when_a_fact_is_taken_away(gone: str) -> None:
    """Per rule and place; a rule of which nothing is left does not speak, and that is the only way it may vanish."""
    worst_first = {FitWord.FITS: 2, FitWord.FITS_WITH: 1, FitWord.CANNOT_TELL: 0, FitWord.DOES_NOT_FIT: 0}
    before = {(check.rule, check.place): check for check in check_build(BIKE, TABLES).checks}
    after = check_build({name: value for name, value in BIKE.items() if name != gone}, TABLES)
    for check in after.checks:
        known = before.get((check.rule, check.place))
        if known is not None:
            assert worst_first[check.verdict] <= worst_first[known.verdict]


@settings(max_examples=60, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from([*BIKE, "valve", "stem", "headset_upper", "tyre_front"]), JSON_LIKE, max_size=6
    )
)
def test_no_build_brings_the_check_down(facts: dict[str, object]) -> None:
    """A verdict with its doubts, or a refusal said to a person."""
    try:
        answer = check_build({**BIKE, **facts}, TABLES)
    except PinchboltError as refused:
        assert refused.sentence
        return
    told = any(check.verdict is FitWord.CANNOT_TELL for check in answer.checks)
    assert not told or answer.cannot_tell


@pytest.mark.parametrize("end", ["front", "rear"])
def test_a_fact_of_one_end_stands_before_the_fact_of_both(end: str) -> None:
    """A narrower rim in front only; the markings are those of both."""
    bike = {f"rim_inner_{end}": 15, "rim_inner": 23, "hook": True, f"tyre_{end}": "40-622", "tyre_max_bar": 5}
    answer = check_build(bike, TABLES)
    width = next(
        check for check in answer.checks if check.rule == "tyre-width" and check.place == f"{end} wheel"
    )
    assert (width.verdict, width.because) == (FitWord.DOES_NOT_FIT, "rim takes 32 at most: tyre rolls")


def test_a_bar_given_as_a_figure_asks_for_its_material_only_where_a_shim_would_be_needed() -> None:
    """31.8 in 31.8 fits whatever it is made of; 25.4 in 31.8 is a matter of carbon or not."""
    assert check_build({"bar": 31.8, "stem_bar_clamp": 31.8}, TABLES).verdict is FitWord.FITS
    answer = check_build({"bar": 25.4, "stem_bar_clamp": 31.8}, TABLES)
    bar = next(check for check in answer.checks if check.rule == "bar-stem")
    assert (bar.verdict, bar.missing) == (FitWord.CANNOT_TELL, ("bar_material",))
    assert check_build({"bar": "25.4 carbon", "stem_bar_clamp": 31.8}, TABLES).verdict is FitWord.DOES_NOT_FIT


@pytest.mark.parametrize(("opening", "word"), [(52, "fits"), (48, "cannot tell"), (44, "does not fit")])
def test_whether_it_is_a_racing_bike_is_asked_only_between_the_two_limits(opening: float, word: str) -> None:
    """40 mm on its measuring rim: 6 mm a side are enough for any, 2 mm for none, 4 mm for racing bikes."""
    bike = {"tyre": "40-622", "rim_inner": 23, "opening": opening}
    room = next(check for check in check_build(bike, TABLES).checks if check.rule == "tyre-frame")
    assert room.verdict.value == word
    assert room.missing == (("racing",) if word == "cannot tell" else ())


@pytest.mark.parametrize(
    ("rotor", "word", "needed"),
    [
        (160, "fits", "caliper centred afterwards"),
        (140, "fits with", "160 rotor moved across, or the caliper plate changed to 140"),
        (180, "fits with", "20 mm plate or a 160 rotor"),
    ],
)
def test_a_wheel_that_comes_in_meets_the_rotor_that_the_caliper_was_set_for(
    rotor: int, word: str, needed: str
) -> None:
    """The rule of the whole wheel speaks where a swap says which rotor ran there before, and only there."""
    assert not any(check.rule == "wheel-swap" for check in check_build(BIKE, TABLES).checks)
    swap = {**BIKE, "rotor_rear": rotor, "caliper_set_for_rear": 160, "speeds_shifter": 11}
    whole = next(check for check in check_build(swap, TABLES).checks if check.rule == "wheel-swap")
    assert (whole.verdict.value, whole.place, whole.with_items[0]) == (word, "rear", needed)
    front = {
        "front_hub": "f-12x100",
        "frame_front": "f-12x100",
        "rotor_front": rotor,
        "caliper_set_for_front": 160,
    }
    asked = next(check for check in check_build(front, TABLES).checks if check.rule == "wheel-swap")
    assert (asked.verdict.value, asked.place, asked.with_items[0]) == (word, "front", needed)


@pytest.mark.parametrize("seed", range(3))
def test_what_is_kept_apart_as_before_is_a_doubt_that_the_change_did_not_bring(seed: int) -> None:
    """A part of one bike put on another: nothing is lost, a misfit leads, and what is apart is asked of facts that met before."""
    luck = random.Random(seed)
    fleet = bikes(60, seed)
    for _ in range(60):
        before, giver = luck.choice(fleet), luck.choice(fleet)
        part = ("cassette", "body", "rear_hub", "rim_inner_rear", "rotor_rear", "tyre_rear", "hook_rear")
        came = {name: giver[name] for name in part if name in giver}
        after = {**{name: value for name, value in before.items() if name not in part}, **came}
        whole = check_build(after, TABLES, part)
        told = check_build(after, TABLES, part, before=before, together=part)
        assert sorted(map(str, (*told.checks, *told.as_before))) == sorted(map(str, whole.checks))
        assert {check.verdict for check in told.as_before} <= {FitWord.CANNOT_TELL}
        assert GOODNESS[told.verdict] >= GOODNESS[whole.verdict]
        assert (told.verdict is FitWord.DOES_NOT_FIT) is (whole.verdict is FitWord.DOES_NOT_FIT)
        for check in told.as_before:
            looked = set(check.missing)
            assert looked <= set(part) or not any(after.get(name) != before.get(name) for name in looked)
    assert (
        check_build({"rear_hub": "r-12x142"}, TABLES, part, before={"rear_hub": "r-12x142"}).as_before == ()
    )


def test_what_nobody_knows_of_the_new_part_is_not_as_it_was_before() -> None:
    """A front wheel of the same tyre and size, the inner width of neither rim read: its own tyre met its rim before.

    On a rim alone, moved under the tyre that stays, the doubt is new: two widths that nobody knows are not the same width.
    """
    before = {"tyre_front": "50-622", "opening_front": 62, "rim_bsd_front": 622}
    wheel = ("tyre_front", "rim_bsd_front", "rim_inner_front", "hook_front")

    def asked(*moved: str, together: tuple[str, ...]) -> tuple[set[str], set[str], str]:
        told = check_build(
            before,
            TABLES,
            [name for name in moved if name in before],
            before=before,
            together=together,
            moved=moved,
        )
        return {one.rule for one in told.checks}, {one.rule for one in told.as_before}, told.verdict.value

    checks, as_before, _ = asked(*wheel, together=wheel)
    assert "tyre-width" not in checks and "tyre-width" in as_before
    checks, as_before, word = asked(*wheel, together=("tyre_front", "rim_bsd_front"))
    assert "tyre-width" in checks and "tyre-width" not in as_before and word == "cannot tell"
    checks, as_before, _ = asked("tyre_front", together=())
    assert "tyre-width" in as_before


def test_many_builds_at_once_are_told_as_one_by_one() -> None:
    """Bikes drawn from the templates with parts changed; a list among the facts, a yes beside a 1, and a swap."""
    fleet = [*bikes(120, 5), {}, {**BIKE, "bb_part_widths": [68, 73], "bb_shell_width": 68, "bb_part": "bsa"}]
    fleet += [{**BIKE, "hook": True, "spacers": 1}, {**BIKE, "hook": False, "spacers": 0}]
    for changed in (None, {"cassette", "rotor_rear"}):
        assert check_builds(fleet, TABLES, changed) == tuple(
            check_build(one, TABLES, changed) for one in fleet
        )
    assert check_builds([], TABLES) == ()
    with pytest.raises(InputRefused, match="rotor"):
        check_builds([BIKE, {**BIKE, "rotor_rear": -160}], TABLES)


def test_a_yes_is_not_taken_for_the_figure_of_another_bike() -> None:
    """1 mm of spacers is a figure, yes is none: the second build is refused though the first is not."""
    stem = {
        "stem": "28.6",
        "steerer": "28.6",
        "steerer_length": 190,
        "head_tube_stack": 133,
        "stem_height": 40,
    }
    assert check_builds([{**stem, "spacers": 1}], TABLES)[0].checks
    with pytest.raises(InputRefused, match="height of the spacers is yes"):
        check_builds([{**stem, "spacers": 1}, {**stem, "spacers": True}], TABLES)
