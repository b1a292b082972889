"""What is asked before a bike leaves, warned of, priced and proposed goes by what is on the bike."""

from dataclasses import replace
from decimal import Decimal

import pytest

from pinchbolt.engines.build import (
    Build,
    FactValue,
    PartOn,
    all_hold,
    cautions_at,
    cautions_for,
    does_apply,
    end_of,
    items_for,
    price_of,
    settled,
    unseen_corners,
)
from pinchbolt.reference import Tables
from pinchbolt.reference.rows.work import part_wanted
from pinchbolt.values import Verdict
from tests.reference.templates_built import built
from tests.workshop.bikes_told import AT_HANDOVER, BIKES, asked

Facts = dict[str, str | float | bool]

# What every bike here has, so that the table of bikes holds only what tells them apart.
METAL: dict[str, Facts] = {
    "frame": {"material": "steel"},
    "fork": {"material": "steel", "springing": "none"},
    "stem": {"material": "aluminium", "face_bolts": 2},
    "handlebar": {"material": "aluminium"},
    "crank": {"material": "aluminium", "crank_hold": "taper"},
    "saddle": {"material": "other"},
    "seat post": {"material": "aluminium", "seat_hold": "collar"},
    "wheel front": {"axle_hold": "nuts"},
    "wheel rear": {"axle_hold": "nuts"},
    "pedals": {},
}


def _part(trade: Tables, words: str, facts: Facts) -> PartOn:
    kind = next(
        name for name in sorted(trade.kinds, key=len, reverse=True) if f"{words} ".startswith(f"{name} ")
    )
    known = {name: FactValue(value, "read off the part") for name, value in facts.items()}
    return PartOn(
        0, trade.kinds[kind], words.removeprefix(kind).strip(), settled(trade.kinds[kind], known), True
    )


def _bike(trade: Tables, kind: str, parts: dict[str, Facts], seen: bool = False) -> Build:
    """A bike of metal with a rigid fork and these parts besides; `seen`: every corner was confirmed."""
    facts = {words: {**METAL.get(words, {}), **parts.get(words, {})} for words in METAL | parts}
    on = tuple(_part(trade, words, told) for words, told in facts.items())
    return Build(trade, kind, on, frozenset(trade.spots.values()) if seen else frozenset())


def _of_table(trade: Tables, name: str) -> Build:
    on = tuple(
        _part(trade, f"{one['kind']} {one.get('end', '')}".strip(), one.get("facts", {}))
        for one in BIKES[name]["part"]
    )
    return Build(trade, BIKES[name]["kind"], on)


def _asked(build: Build) -> set[str]:
    return {item.id for item in items_for(build) if item.applies}


HYDRAULIC: Facts = {"stops_on": "disc", "brake_line": "hose"}
DISC: dict[str, Facts] = {
    "brake front": HYDRAULIC,
    "brake rear": HYDRAULIC,
    "rotor front": {},
    "rotor rear": {},
    "pads front": {"pads": "resin"},
    "pads rear": {"pads": "resin"},
}


@pytest.mark.parametrize("name", BIKES)
def test_a_bike_is_asked_exactly_what_a_mechanic_would_ask(trade: Tables, name: str) -> None:
    """Bike by bike, against the table that was written by hand first; what the owner signs at handover is no item of it."""
    listed = {item.id for item in items_for(_of_table(trade, name))}
    assert listed - {AT_HANDOVER} == asked(name)


def test_the_frame_s_word_for_a_bike_brings_no_item(trade: Tables) -> None:
    """A bike called an e-bike without motor and battery is asked for neither; with one of them, for both."""
    assert not {"so-ebike-battery", "so-ebike-assist"} & _asked(_bike(trade, "ebike", DISC))
    for part in ("motor", "battery", "hub motor front", "hub motor rear"):
        asked = _asked(_bike(trade, "road", {**DISC, part: {}}))
        assert {"so-ebike-battery", "so-ebike-assist"} <= asked, part


def test_a_disc_bike_is_not_asked_for_the_wear_mark_of_its_rims(trade: Tables) -> None:
    """Its rims are looked at for cracks with the spokes, which every bike is asked."""
    build = _bike(trade, "road", DISC)
    assert "so-rim" not in _asked(build)
    assert "crack in a rim" in trade.signoff["so-spokes"].words and not trade.signoff["so-spokes"].applies


def test_one_rim_brake_is_enough_to_ask_for_rims(trade: Tables) -> None:
    """A disc in front and a rim brake behind: both are asked."""
    mixed: dict[str, Facts] = {**DISC, "brake rear": {"stops_on": "rim", "brake_line": "cable"}}
    assert {"so-rim", "so-rotor", "so-hose", "so-cables"} <= _asked(_bike(trade, "city", mixed))


def test_a_back_pedal_brake_beside_a_rim_brake_is_asked_too(trade: Tables) -> None:
    """A brake of its own kind at that end does not hide the one in the hub."""
    parts: dict[str, Facts] = {
        "coaster brake rear": {},
        "brake rear": {"stops_on": "rim", "brake_line": "cable"},
    }
    assert {"so-coaster", "so-brake-rear"} <= _asked(_bike(trade, "kids", parts))


def test_a_back_pedal_brake_has_no_lever_to_try(trade: Tables) -> None:
    """Alone behind, it is asked as what it is, and counts as the brake behind."""
    asked = _asked(_bike(trade, "kids", {"coaster brake rear": {}}))
    assert "so-coaster" in asked
    assert not {"so-brake-rear", "so-no-rear-brake"} & asked


def test_a_missing_brake_is_asked_after_at_its_end(trade: Tables) -> None:
    """Where no brake stands, the law of the place is asked for, as unsafe and by two; local rules decide."""
    bare = _asked(_bike(trade, "track", {}))
    assert {"so-no-front-brake", "so-no-rear-brake"} <= bare
    assert not {"so-brake-front", "so-brake-rear", "so-brake-lever-side"} & bare
    assert not {"so-no-front-brake", "so-no-rear-brake"} & _asked(_bike(trade, "road", DISC))
    for item in (trade.signoff["so-no-front-brake"], trade.signoff["so-no-rear-brake"]):
        assert item.second and item.if_not is Verdict.UNSAFE and "local rules decide" in item.words
    assert "local rules decide" in trade.refusals["rf-brakes-missing"].words


def test_what_nobody_knows_is_asked_after(trade: Tables) -> None:
    """A fork that may be sprung, a brake that may be of any kind, a bar that may be carbon: all stay on the list."""
    build = _bike(trade, "city", {"brake front": {}})
    bare = tuple(
        PartOn(0, part.kind, part.end) if part.kind.id in ("fork", "handlebar") else part
        for part in build.parts
    )
    asked = _asked(Build(trade, "city", bare))
    assert {
        "so-suspension",
        "so-carbon",
        "so-brake-front",
        "so-rim",
        "so-rotor",
        "so-hose",
        "so-cables",
    } <= asked


def test_a_wheel_is_asked_for_before_anybody_knows_what_holds_it(trade: Tables) -> None:
    """Quick release, through axle or nuts: not known is no reason to leave the wheel off the list."""
    build = _bike(trade, "city", {})
    bare = tuple(PartOn(0, part.kind, part.end) if part.kind.id == "wheel" else part for part in build.parts)
    assert {"so-wheel-front", "so-wheel-rear"} <= {item.id for item in items_for(Build(trade, "city", bare))}


def test_a_wheel_is_asked_for_by_the_joints_of_its_own_end(trade: Tables) -> None:
    """A quick release behind says nothing of the wheel in front; one that is not written down is asked for until seen."""
    asked = {item.id for item in items_for(_without(trade, "wheel", "front", seen=False))}
    assert {"so-wheel-front", "so-wheel-rear"} <= asked
    asked = {item.id for item in items_for(_without(trade, "wheel", "front", seen=True))}
    assert "so-wheel-rear" in asked and "so-wheel-front" not in asked


def test_pedals_that_nobody_wrote_down_are_asked_for_until_somebody_has_looked(trade: Tables) -> None:
    """Begun from nothing, a bike is not let off; brought in without pedals and seen so, it is."""
    assert "so-pedals" in {item.id for item in items_for(_without(trade, "pedals", "", seen=False))}
    assert "so-pedals" not in {item.id for item in items_for(_without(trade, "pedals", "", seen=True))}


def _without(trade: Tables, kind: str, end: str, *, seen: bool) -> Build:
    build = _bike(trade, "city", {"wheel rear": {"axle_hold": "quick-release"}}, seen)
    on = tuple(part for part in build.parts if (part.kind.id, part.end) != (kind, end))
    return Build(trade, "city", on, build.confirmed)


def test_that_a_part_is_not_there_must_be_seen_before_an_unsafe_item_falls_away(trade: Tables) -> None:
    """A bike of which no corner was confirmed may still have a hinge or a battery; once seen, nothing is open."""
    assert {"frame", "power"} <= set(unseen_corners(_bike(trade, "road", DISC)))
    assert unseen_corners(_bike(trade, "road", DISC, seen=True)) == ()


def test_that_nothing_is_of_carbon_must_be_seen_where_it_could_be(trade: Tables) -> None:
    """A template's guess of metal drops the item of carbon clamps; the corners of all parts that could be of it are looked at."""
    looked_at = _bike(trade, "road", {"brake front": {"stops_on": "rim", "brake_line": "cable"}})
    guessed = tuple(
        replace(part, facts={name: FactValue(known.value, "template") for name, known in part.facts.items()})
        for part in looked_at.parts
    )
    bike = replace(looked_at, parts=guessed)
    assert "so-carbon" not in _asked(bike)
    assert "saddle" in {bike.spot_of(part) for part in bike.parts if "material" in part.kind.facts}
    assert "saddle" in unseen_corners(bike) and "saddle" not in unseen_corners(looked_at)
    assert "saddle" not in unseen_corners(replace(bike, confirmed=frozenset({"saddle"})))


def test_every_item_can_come_up_and_every_conditional_one_can_stay_off(trade: Tables) -> None:
    """No condition is written that can never be true, and none that always is: on the templates and the bikes above."""
    builds = [built(trade, row, speeds) for row in trade.templates.values() for speeds in row.speeds]
    builds += [*(_of_table(trade, name) for name in BIKES), _bike(trade, "track", {})]
    lists = [{item.id for item in items_for(build)} for build in builds]
    assert set[str]().union(*lists) == set(trade.signoff)
    always = set.intersection(*lists)
    assert [item.id for item in trade.signoff.values() if item.applies and item.id in always] == []


def test_what_few_bikes_have_is_asked_of_few_templates(trade: Tables) -> None:
    """A template brings an item only by what usually is on such a bike."""
    on = {
        item: {row.id for row in trade.templates.values() if item in _asked(built(trade, row, row.speeds[0]))}
        for item in (
            "so-ebike-battery",
            "so-suspension",
            "so-hinge",
            "so-child",
            "so-fixed",
            "so-hub-gear",
            "so-coaster",
        )
    }
    assert on == {
        "so-ebike-battery": {
            "city-ebike",
            "cargo-ebike",
            "ebike-belt",
            "ebike-hub-motor",
            "e-mtb",
            "cargo-front-loader",
        },
        "so-suspension": {
            "hardtail",
            "full-suspension",
            "city-ebike",
            "ebike-belt",
            "ebike-hub-motor",
            "e-mtb",
            "hybrid-disc",
        },
        "so-hinge": {"folding"},
        "so-child": {"cargo-front-loader"},
        "so-fixed": {"track"},
        "so-hub-gear": {"city-hub-gear", "city-coaster", "ebike-belt"},
        "so-coaster": {"city-coaster", "child-small"},
    }
    assert "so-coaster" in _asked(built(trade, trade.templates["child"], 1))


def test_every_joint_that_can_throw_a_rider_is_answered_for_by_an_item(trade: Tables) -> None:
    """All joints of class A but the cleat, which is on the rider's shoe."""
    named = {joint for item in trade.signoff.values() for joint in item.joints}
    assert {row.id for row in trade.joints.values() if row.critical == "A"} - named == {"cleat"}


def test_every_reading_that_makes_a_bike_unsafe_has_work_that_mends_it(trade: Tables) -> None:
    """But a crack in the frame, at which work is a look: the finding stands until the frame is another."""
    unsafe = {row.id for row in trade.limits.values() if row.at_limit is Verdict.UNSAFE}
    mending = {
        limit for row in trade.proposals.values() if row.operation and row.mends for limit in row.limits
    }
    assert unsafe - mending == {"frame-crack"}
    refused = {row.refusal for row in trade.proposals.values() if "frame-crack" in row.limits}
    assert {"rf-carbon", "rf-weld"} <= refused


# ---------------------------------------------------------------------------------------------- cautions


def test_a_bike_brings_up_the_cautions_of_its_parts(trade: Tables) -> None:
    """The general one always and first; brakes, carbon and battery by what is there; bars at their joints alone."""
    plain = _bike(trade, "city", {"brake front": {"stops_on": "drum", "brake_line": "cable"}})
    assert [row.id for row in cautions_for(plain)] == ["marking-wins"]
    every: dict[str, Facts] = {**DISC, "battery": {}, "fork": {"material": "carbon"}}
    assert [row.id for row in cautions_for(_bike(trade, "road", every))] == [
        "marking-wins",
        "brakes",
        "carbon",
        "battery",
    ]


def test_cautions_bite_at_the_joints_where_work_can_hurt(trade: Tables) -> None:
    """Bars where a class A joint holds the rider; brakes at every brake joint and rotor; carbon where paste is prescribed or,
    on a bike with carbon, where it may be clamped; battery at the motor's own joints and, on an e-bike, beside the drive."""
    plain = _bike(trade, "city", {})
    every = _bike(trade, "road", {**DISC, "motor": {}, "fork": {"material": "carbon"}})
    for joint in trade.joints.values():
        here, full = ({row.id for row in cautions_at(build, joint)} for build in (plain, every))
        holds_rider = joint.place in ("cockpit", "seat", "steering") and joint.critical == "A"
        assert ("bars" in here, "bars" in full) == (holds_rider, holds_rider), joint.id
        at_brake = joint.place == "brakes" or joint.id.startswith("rotor-")
        assert ("brakes" in here, "brakes" in full) == (at_brake, at_brake), joint.id
        pasted = joint.prep == "carbon-paste" or "carbon" in joint.name
        clamped = joint.place in ("cockpit", "headset", "seat", "fork", "frame")
        assert ("carbon" in here, "carbon" in full) == (pasted, pasted or clamped), joint.id
        of_drive = joint.place == "motor" or {"motor", "hub motor", "battery"} & set(joint.on)
        beside = joint.place in ("crank", "bottom bracket", "rear wheel")
        assert "battery" in full or not (of_drive or beside), joint.id
        assert "battery" not in here or joint.place == "motor" or "motor" in joint.id, joint.id
        assert "marking-wins" not in full


def test_the_owner_is_given_the_checks_of_this_bike(trade: Tables) -> None:
    """Battery on an e-bike, hinges on a folding bike, a belt's care in the place of a chain's."""

    def lines(build: Build) -> str:
        rows = (row for row in trade.home_checks.values() if all_hold(build, row.when).answer)
        return " ".join(row.words.partition(":")[0] for row in rows)

    plain, belt = (
        _bike(trade, "city", {"chain": {}}),
        _bike(trade, "city", {"belt": {}, "battery": {}, "hinge": {}}),
    )
    assert "Chain" in lines(plain) and "E-bike" not in lines(plain) and "Hinges" not in lines(plain)
    assert "Chain" not in lines(belt) and {"Belt", "E-bike", "Hinges"} <= set(lines(belt).split())


# ---------------------------------------------------------------------------------------------- prices and work


def test_pads_cost_what_their_lining_costs_end_by_end(trade: Tables) -> None:
    """Resin in front and sintered behind; where nobody knows the lining, it is asked, and no price is said."""
    build = _bike(trade, "mtb", {"pads front": {"pads": "resin"}, "pads rear": {"pads": "sintered"}})
    front, rear = (part for part in build.parts if part.kind.id == "pads")
    prices = [price_of(build, "pads", part)[0] for part in (front, rear)]
    assert [row.id for row in prices if row] == ["pads-resin", "pads-sintered"]
    row, asks = price_of(_bike(trade, "mtb", {"pads front": {}}), "pads")
    assert row is None and [ask.fact.id for ask in asks] == ["pads"]


@pytest.mark.parametrize(
    ("parts", "chain"),
    [
        ({"cassette": {"sprockets_behind": 12}}, "chain-12"),
        ({"freewheel": {"sprockets_behind": 7}}, "chain-6to8"),
        ({"hub gear": {"gears": 11}, "sprocket": {}}, "chain-1"),
    ],
    ids=["cassette", "freewheel", "hub gear of eleven gears"],
)
def test_a_chain_is_priced_by_the_sprockets_behind_and_not_by_gears(
    trade: Tables, parts: dict[str, Facts], chain: str
) -> None:
    """A hub gear has one sprocket, however many gears it has."""
    row, _ = price_of(_bike(trade, "city", parts), "chain")
    assert row is not None and row.id == chain


def test_no_two_prices_of_a_kind_can_tie(trade: Tables) -> None:
    """Rows of one kind with as many conditions ask one fact for different words, so that only one can hold."""
    for kind in {row.part for row in trade.prices.values()}:
        every = [row for row in trade.prices.values() if row.part == kind]
        # What stands in for a fact that nobody knows stands beside none that holds.
        rows = [row for row in every if not row.if_unknown]
        assert len(every) - len(rows) <= 1, kind
        for count in {len(row.when) for row in rows}:
            tied = [row for row in rows if len(row.when) == count]
            shared = set.intersection(*({one.text for one in row.when} for row in tied))
            apart = [one for row in tied for one in row.when if one.text not in shared]
            words = [word for one in apart for word in one.words]
            assert len(tied) == 1 or len({(one.what, one.fact) for one in apart}) == 1, kind
            assert len(words) == len(set(words)), kind


def test_every_part_of_a_proposal_has_a_price_in_whole_pence(trade: Tables) -> None:
    """An estimate never leaves out a part because nobody priced its kind."""
    priced = {row.part for row in trade.prices.values()}
    asked = (*trade.proposals.values(), *trade.operations.values())
    assert {part_wanted(part).kind for row in asked for part in row.parts} <= priced
    assert all(row.price == round(row.price, 2) and row.price > Decimal(0) for row in trade.prices.values())


def _operations(build: Build, limit: str, kind: str, end: str) -> list[str]:
    part = next(one for one in build.parts if one.kind.id == kind and end_of(one.end) in (end, ""))
    rows = (row for row in build.tables.proposals.values() if limit in row.limits and row.operation)
    return [row.operation for row in rows if all_hold(build, row.when, part).answer]


def test_a_cut_tyre_asks_for_the_work_of_its_own_wheel(trade: Tables) -> None:
    """A tube where it has one, sealant where it is tubeless, and the motor's plug where a motor is in the hub."""
    told: dict[str, Facts] = {"tyre front": {}, "tyre rear": {}, "sealant rear": {}}
    mixed = _bike(trade, "gravel", told)
    assert _operations(mixed, "tyre-cut", "tyre", "front") == ["tyre-tube"]
    assert _operations(mixed, "tyre-cut", "tyre", "rear") == ["tyre-tubeless"]
    rim: Facts = {"stops_on": "rim"}
    told = {"tyre front": {}, "tyre rear": {}, "hub motor front": {}, "brake front": rim, "brake rear": rim}
    motor = _bike(trade, "city", told)
    assert _operations(motor, "tyre-cut", "tyre", "front") == ["hub-motor-wheel-tube"]
    assert _operations(motor, "tyre-cut", "tyre", "rear") == ["tyre-tube"]
    geared = _bike(trade, "city", {**told, "hub gear": {}, "brake rear": {"stops_on": "roller"}})
    assert _operations(geared, "tyre-cut", "tyre", "rear") == ["tyre-hub-gear"]


@pytest.mark.parametrize("behind", ["cassette", "freewheel", "sprocket"])
def test_worn_teeth_behind_ask_for_what_is_there(trade: Tables, behind: str) -> None:
    """Cassette, screw-on freewheel or single sprocket: the one that this bike has."""
    build = _bike(trade, "city", {"chain": {}, behind: {}})
    assert _operations(build, "chain-elongation-gone-with-it", "chain", "") == [behind]


def test_an_operation_for_what_a_bike_has_not_is_not_for_it(trade: Tables) -> None:
    """A bleed on hoses, a belt on a belt bike, the drive's check on an e-bike; where nobody knows, it is offered."""
    build = _bike(trade, "city", {"brake front": {"stops_on": "rim", "brake_line": "cable"}, "chain": {}})
    for name in ("bleed", "pads-disc", "belt", "ebike-check", "hub-gear-service", "pivots"):
        assert not does_apply(build, trade.operations[name]), name
    for name in ("brake-cable", "brake-pads-rim", "chain", "wheel-true", "full-service"):
        assert does_apply(build, trade.operations[name]), name
    assert does_apply(_bike(trade, "city", {"brake front": {}}), trade.operations["bleed"])


def test_brakes_are_bedded_in_by_slowing_down(trade) -> None:
    """From riding speed down to walking pace: the other way round one would speed up."""
    words = trade.cautions["brakes"].words
    assert "slow down hard twenty times" in words
    assert words.index("riding speed") < words.index("walking pace")
    assert "speed" not in words[words.index("walking pace") :]
