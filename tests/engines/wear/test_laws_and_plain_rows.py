"""From the tables to a law, and the rows that have none."""

import tomllib
from collections import Counter
from math import inf
from pathlib import Path
from types import SimpleNamespace

import pytest

from pinchbolt.engines.wear import USE_CLASSES, judge, judge_plain, law_for
from pinchbolt.engines.wear._wear_words import inside_words
from pinchbolt.errors import InputRefused
from pinchbolt.values import Interval, Verdict
from tests.engines.wear.cases import TODAY, USE, row, value

TABLES = Path(__file__).parents[3] / "src" / "pinchbolt" / "reference" / "tables"
PRIORS = tomllib.loads((TABLES / "wear-priors.toml").read_text())
LIMITS = {r["id"]: SimpleNamespace(**r) for r in tomllib.loads((TABLES / "limits.toml").read_text())["limit"]}


def law(row_id, *, speeds=9, use_class="mixed", school="early", marked=None):
    """The law of a row of the shipped tables."""
    return law_for(
        LIMITS[row_id], PRIORS, speeds=speeds, use_class=use_class, school=school, marked_limit=marked
    )


def test_every_prior_has_a_source_and_covers_rows_that_exist():
    """No row of lives without source and certainty, none for a limit that is not in the table, none covered twice."""
    covered = Counter(limit for prior in PRIORS["prior"] for limit in prior["covers"])
    assert set(covered) <= set(LIMITS)
    assert max(covered.values()) == 1
    for prior in PRIORS["prior"]:
        assert prior["source"]
        assert prior["certain"] in ("high", "medium", "low")
        assert set(prior.get("median", {})) <= set(USE_CLASSES)


def test_every_law_of_the_shipped_tables_can_be_judged():
    """Half-way through its usual life a part is not yet past its limit more likely than not."""
    made = 0
    for row_id in LIMITS:
        for use_class in USE_CLASSES:
            one = law(row_id, speeds=12, use_class=use_class)
            if one is not None:
                made += 1
                assert judge(one, [], USE, TODAY, exposure_now=one.median_life / 2).chance_past_limit < 0.5
    assert made > 150


def test_flags_steps_and_bands_have_no_law():
    """What is answered yes or no, in steps or in a band is judged by itself."""
    for row_id in (
        "rim-crack",
        "hub-feel",
        "cassette-gauge",
        "spoke-tension-high-side",
        "chain-elongation-gone-with-it",
    ):
        assert law(row_id) is None


def test_the_two_schools_of_chain_changing():
    """Early: 0.5 for 11 speeds and up. Late: 0.5 is the warning and 0.75 the limit. Nine speeds: no difference."""
    early, late = law("chain-elongation-11", speeds=11), law("chain-elongation-11", speeds=11, school="late")
    assert (early.warn, early.limit) == (0.4, 0.5)
    assert (late.warn, late.limit, late.limit_by) == (0.5, 0.75, "policy")
    assert law("chain-elongation-9to10").limit == law("chain-elongation-9to10", school="late").limit == 0.75


def test_a_lower_limit_is_reached_sooner_in_proportion():
    """3,000 km to 0.75 % in mixed use, so 3,000 x 0.47 / 0.72 km to 0.5 % from 0.03."""
    assert law("chain-elongation-12to13", speeds=12).median_life == pytest.approx(
        3000 * 0.47 / 0.72, rel=1e-12
    )
    # One sprocket or a gear hub: a kind of its own, that lasts three times as long; nobody asks whether it is one.
    one = law("chain-elongation-1", speeds=1)
    assert one.median_life == pytest.approx(9000 * 0.97 / 0.72, rel=1e-12)
    assert one.hub == 0.0 < law("chain-elongation-11", speeds=11).hub


def test_the_rule_and_the_gauge_row_agree_about_the_life_of_a_chain():
    """0.75 % by gauge and 307.1 mm by rule are the same life within three percent."""
    by_gauge, by_rule = (
        law("chain-elongation-9to10").median_life,
        law("chain-length-12-pitch-pairs").median_life,
    )
    assert by_rule == pytest.approx(by_gauge, rel=0.03)


def test_the_marking_wins_and_the_warning_moves_with_it():
    """A rotor marked 1.55 instead of 1.50: limit 1.55, warning two thirds of the way there, life shorter."""
    table, marked = law("rotor-thickness-1.8"), law("rotor-thickness-1.8", marked=1.55)
    assert marked.limit == 1.55
    assert marked.limit_by == "marking"
    assert marked.warn == pytest.approx(1.80 - 0.25 * 2 / 3)
    assert marked.median_life == pytest.approx(table.median_life * 0.25 / 0.30)


def test_a_marking_that_cannot_be_meant_is_refused():
    """18.0 mm is not the least thickness of a rotor."""
    with pytest.raises(InputRefused) as refused:
        law("rotor-thickness-1.8", marked=18.0)
    assert "Read the marking again" in refused.value.sentence


def test_an_unknown_use_class_is_refused_with_the_list():
    """The sentence names the five classes."""
    with pytest.raises(InputRefused) as refused:
        law("chain-elongation-9to10", use_class="racing")
    assert "dry road, mixed, mud, e-bike, indoor" in refused.value.sentence


def test_brakes_of_an_indoor_trainer_have_no_life():
    """Nobody brakes indoors: no life is known, so there is no law."""
    assert law("disc-pad-lining-resin", use_class="indoor") is None


def test_a_clock_counts_months_in_days():
    """Glycol fluid: 24 months are 730.5 days, and no unevenness."""
    fluid = law("brake-fluid-age-glycol")
    assert fluid.clock
    assert fluid.driver == "days"
    assert fluid.median_life == pytest.approx(730.5)


CRACK = row(direction="flag", limit="yes", at_limit=Verdict.UNSAFE, safety=True)
CUTOFF = row(direction="flag", limit="no", at_limit=Verdict.UNSAFE, safety=True)
TRUE = row(new=0.2, warn=0.6, limit=1.0, sd=0.08, at_limit=Verdict.BEFORE_IT_LEAVES, safety=True)
DISH = row(new=0.2, warn=0.5, limit=1.0, sd=0.15)
BAND = row(
    direction="band", new=1100, warn_low=900, warn_high=1250, limit_low=700, limit_high=1350, sd=50, unit="N",
    at_limit=Verdict.BEFORE_IT_LEAVES, safety=True,
)  # fmt: skip
HALF_WIDTHS = row(direction="band", new=0.0, warn=1.0, limit=2.0, sd=0.3)
STRANDS = row(new=0, warn=1, limit=1, at_limit=Verdict.UNSAFE, safety=True, unit="strands broken")


@pytest.mark.parametrize(
    ("the_row", "shown", "verdict"),
    [
        (CRACK, True, Verdict.UNSAFE),
        (CRACK, False, Verdict.SOUND),
        (CRACK, "no", Verdict.SOUND),
        (CUTOFF, "no", Verdict.UNSAFE),
        (CRACK, "cannot tell", Verdict.BEFORE_IT_LEAVES),
        (DISH, "cannot tell", Verdict.WATCH),
        (TRUE, value(0.3), Verdict.SOUND),
        (TRUE, value(0.7), Verdict.WATCH),
        (
            TRUE,
            value(0.9),
            Verdict.BEFORE_IT_LEAVES,
        ),  # 0.1 below the limit, 1.25 sd: may be past, and it is safety
        (TRUE, value(1.0), Verdict.BEFORE_IT_LEAVES),
        (DISH, value(0.9), Verdict.WATCH),
        (DISH, value(1.0), Verdict.NEXT_VISIT),
        (BAND, value(1100), Verdict.SOUND),
        (BAND, value(880), Verdict.WATCH),
        (BAND, value(650), Verdict.BEFORE_IT_LEAVES),
        (BAND, value(1400), Verdict.BEFORE_IT_LEAVES),
        (HALF_WIDTHS, value(-2.5), Verdict.NEXT_VISIT),
        (HALF_WIDTHS, value(1.2), Verdict.WATCH),
        (STRANDS, value(0), Verdict.SOUND),
        (STRANDS, value(1), Verdict.UNSAFE),
        (TRUE, Interval(1.0, inf), Verdict.BEFORE_IT_LEAVES),
        (TRUE, Interval(-inf, 0.6), Verdict.SOUND),
    ],
)
def test_one_look_at_a_row_without_a_law(the_row, shown, verdict):
    """Flags, limits, bands and counts, each at both sides of its mark."""
    found, reasons = judge_plain(the_row, shown)
    assert found is verdict
    assert reasons
    assert reasons[0].source == "common practice, no source"


def test_a_marking_wins_in_a_plain_row_too():
    """Rim marked for a greatest runout of 0.8: 0.85 is past it."""
    assert judge_plain(TRUE, value(0.85), marked_limit=0.8)[0] is Verdict.BEFORE_IT_LEAVES
    assert judge_plain(DISH, value(0.85), marked_limit=0.8)[0] is Verdict.NEXT_VISIT


@pytest.mark.parametrize(
    ("the_row", "shown"), [(CRACK, value(1.0)), (CRACK, "perhaps"), (TRUE, True), (TRUE, "yes")]
)
def test_an_answer_of_the_wrong_kind_is_refused(the_row, shown):
    """A number where yes or no is asked, or the other way round."""
    with pytest.raises(InputRefused):
        judge_plain(the_row, shown)


@pytest.mark.parametrize(
    ("past", "told"),
    [
        (0.3, "may be past its limit now"),
        (0.05, "may be past its limit now"),
        (0.049, "almost certainly inside"),
        (0.01, "almost certainly inside"),
        (0.009, "is inside its limit now"),
    ],
)
def test_a_part_is_not_told_inside_its_limit_flat_while_there_is_a_doubt(past: float, told: str) -> None:
    """One in twenty is where a safety part is acted on; three in a hundred is still a doubt, and said as one."""
    assert told in inside_words(past)
