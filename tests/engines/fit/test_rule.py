"""One rule: what is refused, what cannot be told, and what every answer carries."""

import copy
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinchbolt.engines.fit import FitWord, run_rule
from pinchbolt.errors import InputRefused, NotFound, PinchboltError
from tests.engines.fit.conftest import plain_tables, plain_view

PLAIN, TABLES = plain_tables(), plain_view()
GOODNESS = {FitWord.FITS: 2, FitWord.FITS_WITH: 1, FitWord.CANNOT_TELL: 0, FitWord.DOES_NOT_FIT: 0}


def assumed(rule: dict[str, Any]) -> set[str]:
    """Inputs that only narrow what the table says (a maker's list, a seat): without them the table speaks."""
    return {name for name, told in rule["inputs"].items() if told.get("assumed")}


@pytest.mark.parametrize("rule", PLAIN["rules"].values(), ids=lambda rule: rule["id"])
def test_a_verdict_never_improves_when_a_fact_is_taken_away(rule: dict[str, Any]) -> None:
    """Knowing less never makes a part fit better: each fact of each worked case."""
    for case in rule["cases"]:
        before = run_rule(rule["id"], case["given"], TABLES)
        for gone in case["given"].keys() - assumed(rule):
            less = {name: value for name, value in case["given"].items() if name != gone}
            after = run_rule(rule["id"], less, TABLES)
            assert GOODNESS[after.verdict] <= GOODNESS[before.verdict], (case, gone)


def _moved(at: float, by: float, low: float, high: float) -> float:
    return min(max(at + by, low), high)


def sensible(told: dict[str, Any], used: list[Any]) -> st.SearchStrategy[Any]:
    """Values that an input may take: of its kind, near those of the worked cases."""
    for kind in ("number", "whole"):
        if kind in told:
            low, high = told[kind]
            near = [value for value in used if isinstance(value, int | float)] or [low, high]
            steps = (
                st.integers(-6, 6)
                if kind == "whole"
                else st.sampled_from([-6.5, -2, -0.2, 0, 0.1, 0.7, 3, 9])
            )
            return st.builds(_moved, st.sampled_from(near), steps, st.just(low), st.just(high))
    if told.get("flag"):
        return st.booleans()
    if "one_of" in told:
        return st.sampled_from(told["one_of"])
    if "of" in told:
        rows = PLAIN["interfaces"][told["of"]]
        return (
            st.sampled_from(used or rows)
            if used
            else st.sampled_from([row[told.get("field", "id")] for row in rows])
        )
    return st.sampled_from(used) if used else st.just("cannot tell")


def all_and_some(rule: dict[str, Any], data: st.DataObject) -> tuple[dict[str, Any], dict[str, Any]]:
    """Facts for all inputs of a rule, drawn around its worked cases, and those that are left when some are taken away."""
    told, keep = data.draw(_facts_and_kept(rule["id"]))
    return told, {name: value for name, value in told.items() if name in keep or name in assumed(rule)}


@cache
def _facts_and_kept(rule_id: str) -> st.SearchStrategy[tuple[dict[str, Any], set[str]]]:
    """Made once a rule: to make it anew for each draw takes longer than the rule."""
    rule = PLAIN["rules"][rule_id]
    told = {
        name: sensible(kind, [case["given"][name] for case in rule["cases"] if name in case["given"]])
        for name, kind in rule["inputs"].items()
    }
    may_go = [name for name in told if name not in assumed(rule)]
    return st.tuples(st.fixed_dictionaries(told), st.sets(st.sampled_from(may_go)))


@pytest.mark.parametrize("rule", PLAIN["rules"].values(), ids=lambda rule: rule["id"])
@settings(max_examples=25, deadline=None)
@given(data=st.data())
def test_knowing_less_never_makes_any_mix_of_parts_fit_better(
    rule: dict[str, Any], data: st.DataObject
) -> None:
    """Drawn around the worked cases: any facts taken away, any rule.

    And what does not fit by some of the facts does not fit by all: nothing that is measured later takes it back.
    """
    told, less = all_and_some(rule, data)
    try:
        late = run_rule(rule["id"], told, TABLES)
    except InputRefused:
        return
    early = run_rule(rule["id"], less, TABLES)
    assert GOODNESS[early.verdict] <= GOODNESS[late.verdict], (late.because, early.because)
    if early.verdict is FitWord.DOES_NOT_FIT:
        assert not early.missing or "not known" not in early.because, early.because
        assert late.verdict is FitWord.DOES_NOT_FIT, (early.because, late.because)


@pytest.mark.parametrize("rule", PLAIN["rules"].values(), ids=lambda rule: rule["id"])
def test_each_needed_fact_that_is_missing_is_named_with_a_way_to_find_it(rule: dict[str, Any]) -> None:
    """Cannot tell says which one measurement is wanted and how to take it."""
    told = rule["cases"][0]["given"]
    for name in rule["needs"]:
        answer = run_rule(rule["id"], {**told, name: "cannot tell"}, TABLES)
        assert answer.verdict is FitWord.CANNOT_TELL
        assert name in answer.missing
        assert "is not known" in answer.because
        question = answer.ask[answer.missing.index(name)]
        assert len(question.split(": ", 1)[1]) > 3, "a way to find it out"


@pytest.mark.parametrize("rule", PLAIN["rules"].values(), ids=lambda rule: rule["id"])
def test_the_order_in_which_facts_are_told_changes_nothing(rule: dict[str, Any]) -> None:
    """A build sheet has no order."""
    for case in rule["cases"]:
        told = case["given"]
        assert run_rule(rule["id"], dict(reversed(told.items())), TABLES) == run_rule(
            rule["id"], told, TABLES
        )


def test_an_unknown_rule_is_refused_with_the_rules_there_are() -> None:
    """The sentence lists what may be asked."""
    with pytest.raises(
        NotFound, match='fit rule "tassels" is not in the table: cassette-body, chain-drive'
    ) as refused:
        run_rule("tassels", {}, TABLES)
    assert refused.value.status == 404


def test_an_interface_that_no_row_has_is_refused_with_those_there_are() -> None:
    """What, what is allowed, what next."""
    with pytest.raises(InputRefused, match=r'freehub body "hgx" is not in the table: hg-7, .*xd') as refused:
        run_rule("cassette-body", {"cassette": "c9", "body": "hgx"}, TABLES)
    assert refused.value.sentence.endswith('Pick one, or choose "cannot tell".')
    assert list(refused.value.errors) == ["body"]


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (-27.2, "-27.2 mm"),
        (0, "0 mm"),
        (272, "272 mm"),
        (float("nan"), "nan"),
        (float("inf"), "inf"),
        ("27.2", "27.2"),
        (True, "yes"),
        ([27.2], "list"),
        ({"mm": 27.2}, "dict"),
    ],
)
def test_a_figure_out_of_any_sense_is_refused(value: object, said: str) -> None:
    """Never a silent fits: the sentence says what a seat post measures."""
    with pytest.raises(InputRefused, match="seat post's diameter is") as refused:
        run_rule("seat-post", {"post": value, "tube": 27.2}, TABLES)
    assert said in refused.value.sentence
    assert "20 to 50 mm" in refused.value.sentence
    assert "post" in refused.value.errors


def test_half_a_tooth_is_refused() -> None:
    """Teeth are whole."""
    told = {"big": 33.5, "small": 11, "max_big": 34, "min_small": 11}
    with pytest.raises(InputRefused, match=r"biggest sprocket is 33\.5 teeth: a whole number from 9 to 60"):
        run_rule("sprocket-limits", told, TABLES)


def test_rings_that_were_swapped_are_asked_about() -> None:
    """The big ring cannot be smaller than the small one."""
    told = {"ring_big": 34, "ring_small": 50, "sprocket_big": 34, "sprocket_small": 11, "capacity": 39}
    with pytest.raises(InputRefused, match="Were they swapped"):
        run_rule("capacity", told, TABLES)


def test_a_name_that_the_rule_does_not_ask_for_is_refused() -> None:
    """A slip in an optional name must not pass as not known."""
    with pytest.raises(InputRefused, match='does not ask for "postt": post, tube'):
        run_rule("seat-post", {"postt": 27.2, "tube": 27.2}, TABLES)


def test_an_optional_fact_is_asked_for_only_where_it_decides() -> None:
    """Six teeth over: the hanger link decides. Within the derailleur's figure nobody asks for it."""
    told = {"big": 40, "small": 11, "max_big": 34, "min_small": 11}
    answer = run_rule("sprocket-limits", told, TABLES)
    assert (answer.verdict, answer.missing) == (FitWord.CANNOT_TELL, ("hanger_link",))
    within = run_rule("sprocket-limits", {**told, "big": 34, "min_big": 28}, TABLES)
    assert (within.verdict, within.missing) == (FitWord.FITS, ())


def test_fits_and_fits_with_together_are_fits_with() -> None:
    """The rim's marking was not read: what holds anyway is said, the doubt is named, never a plain fits."""
    told = {"rim_inner": 19, "hook": True, "tyre_width": 32, "pressure_bar": 4.5, "tyre_max_bar": 6.5}
    answer = run_rule("tyre-width", told, TABLES)
    assert (answer.verdict, answer.missing) == (FitWord.FITS_WITH, ("rim_max_bar",))
    assert answer.with_items == ("pressure at most the lower of the tyre's and the rim's marking",)


def test_a_least_biggest_sprocket_that_nobody_gave_is_an_assumption_that_is_said() -> None:
    """Most makers give none; where one is given it counts."""
    told = {"big": 25, "small": 11, "max_big": 34, "min_small": 11}
    answer = run_rule("sprocket-limits", told, TABLES)
    assert (answer.verdict, answer.missing) == (FitWord.FITS, ())
    assert any("assumed" in reason.words and "least size" in reason.words for reason in answer.reasons)
    assert run_rule("sprocket-limits", {**told, "min_big": 28}, TABLES).verdict is FitWord.FITS_WITH


def test_a_tyre_without_a_pressure_is_told_the_ceiling_and_the_doubt() -> None:
    """On a hookless rim 5.0 bar is said even where no pressure was given; the missing markings are named."""
    told = {"rim_inner": 23, "hook": False, "tyre_width": 30, "tyre_allowed_hookless": True}
    answer = run_rule("tyre-width", told, TABLES)
    assert answer.verdict is FitWord.FITS_WITH
    assert "5.0 bar" in answer.with_items[0]
    assert set(answer.missing) >= {"pressure_bar", "tyre_max_bar", "rim_max_bar"}


def test_two_needs_of_one_rule_are_both_said() -> None:
    """A thin valve in a big hole of a deep rim wants a grommet and an extender."""
    told = {"valve": "presta", "hole": 8.5, "rim_depth": 50, "stem_length": 48}
    assert run_rule("valve", told, TABLES).with_items == ("grommet", "extender, or a longer valve: 65 mm")


def test_every_answer_says_why_with_the_rows_it_used() -> None:
    """Rule, rows and working are among the reasons, with their sources."""
    answer = run_rule("rotor-post", {"rotor": 180, "native": 160, "max_rotor": 203}, TABLES)
    rows = [reason.row for reason in answer.reasons]
    assert rows[0] == "rules.toml: rotor-post"
    assert any("post_mount 160" in row for row in rows)
    assert any("step = 20" in reason.words for reason in answer.reasons)
    assert all(reason.words for reason in answer.reasons)


JSON_LIKE = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=12)
    | st.sampled_from(["hg-11", "28-622"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=2),
    max_leaves=4,
)


@settings(max_examples=120, deadline=None)
@given(st.data())
def test_no_input_brings_down_a_rule(data: st.DataObject) -> None:
    """Whatever is given, the answer is a verdict or a refusal said to a person."""
    rule = data.draw(st.sampled_from(list(PLAIN["rules"].values())))
    told = copy.deepcopy(data.draw(st.sampled_from(rule["cases"]))["given"])
    for name in data.draw(st.lists(st.sampled_from([*rule["inputs"], "other"]), max_size=3)):
        told[name] = data.draw(JSON_LIKE)
    try:
        answer = run_rule(rule["id"], told, TABLES)
    except PinchboltError as refused:
        assert refused.sentence.rstrip().endswith((".", "?"))
    else:
        assert isinstance(answer.verdict, FitWord)


@settings(max_examples=50, deadline=None)
@given(JSON_LIKE, JSON_LIKE)
def test_no_rule_id_and_no_set_of_facts_brings_it_down(rule: object, told: object) -> None:
    """Also where the call itself is nonsense."""
    with pytest.raises(PinchboltError):
        run_rule(rule, told, TABLES)  # type: ignore[arg-type]


def test_what_a_rule_takes_for_granted_is_said() -> None:
    """A maker's list that nobody read is an assumption, and stands among the reasons."""
    told = {"tyre_width": 28, "rim_inner": 19, "opening": 40, "racing": True}
    answer = run_rule("tyre-frame", told, TABLES)
    assert answer.verdict is FitWord.FITS
    assert any("assumed" in reason.words and "allows this tyre" in reason.words for reason in answer.reasons)
    narrow = run_rule("tyre-frame", {**told, "frame_tyre_most": 25}, TABLES)
    assert (narrow.verdict, narrow.because) == (FitWord.DOES_NOT_FIT, "the frame's maker allows 25 at most")


def test_a_rim_between_two_rows_is_not_taken_for_the_narrower_one() -> None:
    """28 is the least on 23 mm and 30 on 25: on 24 mm the rim's own list decides, and once read it does."""
    told = {
        "rim_inner": 24,
        "hook": True,
        "tyre_width": 29,
        "pressure_bar": 3,
        "tyre_max_bar": 5,
        "rim_max_bar": 5,
    }
    answer = run_rule("tyre-width", told, TABLES)
    assert answer.verdict is FitWord.CANNOT_TELL
    assert "own list decides" in answer.because
    assert answer.missing == ("rim_tyre_least",)
    assert run_rule("tyre-width", {**told, "rim_tyre_least": 28}, TABLES).verdict is FitWord.FITS
    assert run_rule("tyre-width", {**told, "rim_tyre_least": 32}, TABLES).verdict is FitWord.DOES_NOT_FIT


@pytest.mark.parametrize("broken", [1, 2])
def test_a_slip_in_a_rule_that_asks_others_is_named_by_its_place(broken: int) -> None:
    """People count from one: the first of the rules that it asks is 'runs 1'."""
    tables = copy.deepcopy(plain_tables())
    rule = tables["rules"]["wheel-swap"]
    row = rule["runs"][broken - 1]
    row[next(name for name in row if name != "rule")] = "hub +"
    with pytest.raises(PinchboltError, match=rf"runs {broken}\b"):
        run_rule("wheel-swap", rule["cases"][0]["given"], tables)


def test_a_rim_of_which_nobody_knows_the_hook_is_not_called_by_it() -> None:
    """Too narrow with a hook or without: "25 mm not known rim: 35 is the leastnot known" was said."""
    answer = run_rule("tyre-width", {"rim_inner": 25, "tyre_width": 30, "rim_tyre_least": 35}, TABLES)
    assert answer.verdict is FitWord.DOES_NOT_FIT
    assert answer.because == "30 on a 25 mm rim: 35 is the least"


def test_a_quill_is_no_misfit_by_the_outside_where_another_bore_would_take_it() -> None:
    """21.1 in a 1 in steerer was called a misfit, and fitted as soon as a bore of 21.1 had been measured."""
    told = {"quill": 21.1, "steerer_outside": 25.4, "inserted": 70, "mark": 65}
    assert run_rule("quill-stem", told, TABLES).verdict is FitWord.CANNOT_TELL
    assert run_rule("quill-stem", {**told, "bore": 21.1}, TABLES).verdict is FitWord.FITS
    with pytest.raises(InputRefused, match=r"no bore of 25\.4 mm\. Measure both again"):
        run_rule("quill-stem", {**told, "bore": 25.4}, TABLES)
