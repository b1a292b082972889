"""Kinds of part, their facts and the words for a state of the bike: nothing that the records know is without a row."""

import tomllib
from pathlib import Path

import pytest

from pinchbolt.engines.build import Build, PartOn, flat_facts, holds
from pinchbolt.engines.fit import FitWord, check_build, fact_names, questions
from pinchbolt.reference import Tables
from pinchbolt.reference.loader import TRADE_FOLDER
from pinchbolt.reference.rows.condition import condition, word_of
from pinchbolt.reference.rows.kinds import PartFact
from tests.reference.templates_built import part_on

HERE = Path(__file__).parent
BIKES = tomllib.loads((HERE / "features-of-bikes.toml").read_text(encoding="utf-8"))["bike"]

# Kinds that bikes on record have, by the templates of the release before and its year of invented history.
KINDS_BEFORE = (
    "battery", "belt", "bottom bracket", "brake", "brake cable", "brake fluid", "carrier", "cassette", "chain", "chainring",
    "crank", "dropper post", "fork", "frame", "freehub", "freewheel", "front derailleur", "gear cables", "grips", "handlebar",
    "hanger", "headset", "hub", "hub gear", "kickstand", "lights", "loom", "motor", "mudguards", "pads", "pedals", "pivots",
    "rear derailleur", "rear shock", "rim", "rim pads", "rotor", "saddle", "safety bolts", "sealant", "seat post", "shifters",
    "speed sensor", "sprocket", "stem", "tube", "tyre", "wheel",
)  # fmt: skip
# Names of facts by which those bikes were described.
FACTS_BEFORE = (
    "bar", "bb", "body", "brake_pull", "caliper", "capacity", "cassette", "chain", "drive", "fluid", "frame_front",
    "frame_rear", "front_hub", "hub_rotor_mount", "headset", "headset_lower", "headset_upper", "hook", "lever_pull", "max_big",
    "max_rotor_front", "max_rotor_rear", "min_small", "motor", "mount_front", "mount_rear", "native_front", "native_rear", "pads", "pedal",
    "rear_hub", "rim_bsd", "rim_inner", "ring_big", "ring_small", "rings", "rotor", "rotor_front", "rotor_kind", "rotor_rear",
    "saddle_rail", "seat_post", "shift", "speeds_shifter", "spindle", "sprocket_big", "sprocket_small", "sprockets", "stem",
    "tyre", "derailleur_family",
)  # fmt: skip
# Names that rules read and no part has of itself, each with its reason.
NO_PARTS_FACT = {
    "stood_tyre_front": "told by the move of a wheel: the tyre that stood there",
    "stood_tyre_rear": "as in front",
    "bike_gears": "told by the move of a wheel: what shifts the bike",
    "wheel_gears": "told by the move of a wheel: what shifted it",
    "stood_body": "told by the move of a wheel: how the old one carried its sprockets",
    "rotor_mount": "the hub's rotor mount of both wheels in one word, as typed at the fit desk: hub_rotor_mount_front, _rear",
    "bar_material": "typed at the fit desk; on a build sheet the bar's own material",
    "speeds_bike": "what the gears were set up for: counted from the sprockets that are on",
}


def _names_in_build(trade: Tables) -> dict[str, set[str]]:
    """The names that parts give in the flat build, at either end and at none, with the facts that give them."""
    found: dict[str, set[str]] = {}
    for kind in trade.kinds.values():
        for name in kind.facts:
            for end in ("front", "rear", ""):
                found.setdefault(trade.facts[name].name_in_build(end), set()).add(name)
    found.pop("", None)  # facts that no fit rule looks at
    return found


def test_every_kind_on_record_has_a_row(trade: Tables) -> None:
    """Nothing is renamed: a part fitted years ago is read by the words that it was given."""
    assert [kind for kind in KINDS_BEFORE if kind not in trade.kinds] == []


def test_every_fact_on_record_belongs_to_a_part(trade: Tables) -> None:
    """What bikes were described by before is a fact of some kind of part."""
    named = _names_in_build(trade)
    assert [name for name in FACTS_BEFORE if name not in named and name not in trade.facts] == []


def test_every_fact_that_a_rule_reads_is_given_by_a_part(trade: Tables) -> None:
    """No rule waits for a word that nobody can write on a build sheet; the exceptions are named with a reason."""
    named = _names_in_build(trade)
    assert {name for name in fact_names(trade) if name not in named} == NO_PARTS_FACT.keys()


def test_one_name_of_the_flat_build_is_one_fact_of_a_part(trade: Tables) -> None:
    """Two facts may share a name in the rules only where one part has the one and another part the other."""
    both = {name: facts for name, facts in _names_in_build(trade).items() if len(facts) > 1}
    for facts in both.values():
        assert not any(len(facts.intersection(kind.facts)) > 1 for kind in trade.kinds.values()), facts


def test_every_fact_has_an_answer_and_a_part(trade: Tables) -> None:
    """A question nobody can answer, or of nothing, is no question."""
    asked = {one.fact for one in questions(trade)}
    owned = {name for kind in trade.kinds.values() for name in kind.facts}
    assert trade.facts.keys() == owned
    for fact in trade.facts.values():
        assert _own_answers(fact) or {fact.name_in_build(end) for end in ("front", "rear", "")} & asked, (
            fact.id
        )
        assert len(fact.ask) > 3, fact.id


def _own_answers(fact: PartFact) -> bool:
    return bool(fact.number or fact.whole or fact.of or fact.one_of or fact.flag or fact.text)


def test_a_fact_allows_what_its_rule_allows(trade: Tables) -> None:
    """Where a fact says its answers itself, they are those of the rule that reads it."""
    wider = {
        "speeds_cassette",
        "speeds_shifter",
    }  # one sprocket is a build, but no pull of cable goes with it
    for fact in trade.facts.values():
        for one in questions(trade):
            if one.fact != fact.name_in_build("front") or not _own_answers(fact) or one.fact in wider:
                continue
            if fact.one_of:
                assert {word_of(word) for word in fact.one_of} == {str(word) for word in one.allowed}, fact.id
            if fact.number or fact.whole:
                assert [float(end) for end in fact.number or fact.whole or ()] == [
                    float(str(end)) for end in one.allowed
                ], fact.id


def test_a_fact_has_a_name_in_the_flat_build_where_a_rule_or_the_gears_look_at_it(trade: Tables) -> None:
    """What decides a limit or a joint alone is no business of the fit rules."""
    read = fact_names(trade) | {"rings", "sprockets", "hub_ratios"}
    for fact in trade.facts.values():
        names = {fact.name_in_build(end) for end in ("front", "rear", "")} - {""}
        assert bool(names) == bool(names & read), fact.id


def test_a_supply_is_on_no_build_sheet_and_every_other_kind_has_its_station(trade: Tables) -> None:
    """What is used up is nowhere on the bike."""
    for kind in trade.kinds.values():
        assert (kind.station == "") == (kind.fitted_to == "supply"), kind.id
    parts = {one.part for template in trade.templates.values() for one in template.parts}
    kinds = {part if part in trade.kinds else part.rsplit(" ", 1)[0] for part in parts}
    assert [kind for kind in kinds if trade.kinds[kind].fitted_to == "supply"] == []


def test_what_goes_along_with_a_wheel_turns_as_the_wheel_or_not_at_all_indoors(trade: Tables) -> None:
    """Nothing that is fitted to a wheel may take the rides of a bike that stands on its trainer without it."""
    for kind in trade.kinds.values():
        if kind.fitted_to == "wheel":
            assert kind.rides in ("as its wheel", "outdoors", "none"), kind.id
    still = (
        "pads",
        "rim pads",
        "rotor",
        "brake",
        "brake cable",
        "brake fluid",
        "coaster brake",
        "fork",
        "rear shock",
        "dropper post",
    )
    assert [kind for kind in still if trade.kinds[kind].rides not in ("outdoors", "none")] == []


def test_every_template_has_a_frame_and_its_safety_bolts(trade: Tables) -> None:
    """Both are on every bike."""
    for template in trade.templates.values():
        assert {"frame", "safety bolts"} <= {one.part for one in template.parts}, template.id


def test_no_row_is_silent_in_the_file(trade: Tables) -> None:
    """The file says how each row is known; a name that is the id is not said twice."""
    raw = tomllib.loads((TRADE_FOLDER / "part-kinds.toml").read_text(encoding="utf-8"))
    assert [row["id"] for row in raw["kind"] if row.get("name") == row["id"]] == []


@pytest.mark.parametrize("bike", BIKES, ids=lambda bike: bike["words"])
def test_a_bike_has_the_words_that_a_mechanic_would_say_of_it(trade: Tables, bike: dict[str, object]) -> None:
    """Eight bikes, with the words written down by hand before the features were asked."""
    parts = [part_on(trade, words, facts, n) for n, (words, facts) in enumerate(bike["parts"].items(), 1)]  # type: ignore[attr-defined]
    build = Build(trade, str(bike["kind"]), tuple(parts))
    said = {name: holds(build, condition(name)).answer for name in trade.features}
    assert {name for name, answer in said.items() if answer} == set(bike["has"])  # type: ignore[call-overload]
    assert {name for name, answer in said.items() if answer is None} == set(bike["asks"])  # type: ignore[call-overload]


def test_what_a_hub_gears_shifter_clicks_is_no_count_of_sprockets(trade: Tables) -> None:
    """Eight clicks and one sprocket fit where the gears are in the hub; on a derailleur bike they do not."""
    shifters = part_on(trade, "shifters", {"speeds_shifter": 8, "shift": "pull-classic"}, 1)
    sprocket = part_on(trade, "sprocket", {}, 2)
    for other, wrong in (("hub gear", set()), ("gearbox", set()), ("rear derailleur", {"clicks"})):
        build = Build(trade, "city", (shifters, sprocket, part_on(trade, other, {}, 3)))
        checks = check_build(flat_facts(build), trade).checks
        assert {one.rule for one in checks if one.verdict is FitWord.DOES_NOT_FIT} == wrong, other


def test_the_kinds_of_bike_cover_what_comes_through_the_door(trade: Tables) -> None:
    """The eight of the release before keep their words; tandem, recumbent and trike are new."""
    assert list(trade.bike_kinds) == [
        "road", "gravel", "mtb", "city", "ebike", "cargo", "kids", "track", "tandem", "recumbent", "trike",
    ]  # fmt: skip
    assert trade.bike_kinds["trike"].ends_at("front") == ("front left", "front right")
    assert trade.bike_kinds["trike"].ends_at("rear") == ("rear",)


def test_two_ride_a_tandem(trade: Tables) -> None:
    """Bar, stem, saddle, post, cranks, pedals, bottom bracket and chain stand once more; a third brake stands behind."""
    tandem, kinds = trade.bike_kinds["tandem"], trade.kinds
    for twice in (
        "handlebar",
        "stem",
        "saddle",
        "seat post",
        "crank",
        "pedals",
        "bottom bracket",
        "chain",
    ):
        assert tandem.places_of(kinds[twice]) == ("", "stoker"), twice
        assert trade.bike_kinds["road"].places_of(kinds[twice]) == ("",), twice
    assert tandem.places_of(kinds["brake"]) == ("front", "rear", "rear second")
    assert tandem.places_of(kinds["frame"]) == ("",)
    assert tandem.places_of(kinds["wheel"]) == ("front", "rear")
    assert trade.bike_kinds["trike"].places_of(kinds["brake"]) == ("front left", "front right", "rear")
    assert trade.bike_kinds["cargo"].places_of(kinds["battery"]) == ("", "second")
    assert trade.bike_kinds["cargo"].places_of(kinds["carrier"]) == ("", "front", "rear")


def test_the_fit_rules_are_told_of_the_captains_parts(trade: Tables) -> None:
    """Two bars of two clamps are no contradiction; where the stoker's alone is on the sheet, it is told."""
    captain = part_on(trade, "handlebar", {"bar": 31.8}, 1)
    stoker = PartOn(2, trade.kinds["handlebar"], "stoker", part_on(trade, "handlebar", {"bar": 25.4}).facts)
    assert flat_facts(Build(trade, "tandem", (captain, stoker)))["bar"] == 31.8
    assert flat_facts(Build(trade, "tandem", (stoker, captain)))["bar"] == 31.8
    assert flat_facts(Build(trade, "tandem", (stoker,)))["bar"] == 25.4


def test_the_usual_weeks_are_those_that_forecasts_were_made_with(trade: Tables) -> None:
    """Moving them into a table changes no forecast."""
    assert {use.id: (use.km_a_week, use.spread) for use in trade.uses.values()} == {
        "dry road": (90, 0.5),
        "mixed": (70, 0.5),
        "mud": (55, 0.5),
        "e-bike": (60, 0.5),
        "indoor": (70, 0.5),
    }
