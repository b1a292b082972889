"""Limits go by what is on the bike: against the lists that the templates held before, and each can come up."""

import tomllib
from itertools import product
from pathlib import Path

from pinchbolt.drawing import PLACES
from pinchbolt.engines.build import Build, FactValue, PartOn, all_hold, limits_on, settled
from pinchbolt.reference import Tables
from pinchbolt.reference.rows.condition import Condition
from pinchbolt.reference.rows.measure import LimitRow
from tests.reference.templates_built import built, first_twelve, part_on

HERE = Path(__file__).parent
BEFORE = tomllib.loads((HERE / "limits-before.toml").read_text(encoding="utf-8"))
MOVED = tomllib.loads((HERE / "limits-moved.toml").read_text(encoding="utf-8"))["moved"]


def _read(trade: Tables, template: str, speeds: int) -> dict[tuple[str, str], str]:
    build = built(trade, trade.templates[template], speeds)
    return {
        (f"{part.kind.id} {part.end}".strip(), one.row.id): ("deeper" if one.deeper else "always")
        + (", by caution" if one.by_caution else "")
        for part in build.parts
        for one in limits_on(build, part)
    }


def _read_before(template: str, speeds: int) -> dict[tuple[str, str], str]:
    found = {}
    for part, lists in BEFORE["template"][template].items():
        for how, ids in lists.items():
            for limit in ids:
                if speeds in BEFORE["speeds"].get(limit, [speeds]):
                    found[part, limit] = how
    return found


def _moved(trade: Tables) -> dict[tuple[str, str, str, str], set[str]]:
    """What is read otherwise than before: limit, part, how before, how now; and on which bikes."""
    found: dict[tuple[str, str, str, str], set[str]] = {}
    for name, template in first_twelve(trade, BEFORE["template"]).items():
        for speeds in template.speeds:
            before, now = _read_before(name, speeds), _read(trade, name, speeds)
            for part, limit in before.keys() | now.keys():
                was, is_ = before.get((part, limit), "never"), now.get((part, limit), "never")
                if was != is_:
                    found.setdefault((limit, part, was, is_), set()).add(f"{name} {speeds}")
    return found


def test_what_the_query_reads_is_what_the_templates_listed_but_for_reasoned_differences(
    trade: Tables,
) -> None:
    """Every limit of every part of every template is read as before, or the move stands in the list with its reason."""
    said = {
        (row["limit"], part, row["was"], row["now"]): set(row["bikes"])
        for row in MOVED
        for part in row["parts"]
    }
    assert _moved(trade) == said
    assert [row["limit"] for row in MOVED if len(row["why"]) < 20] == []


def test_nothing_that_was_read_on_every_walk_round_is_lost_while_its_part_is_there(trade: Tables) -> None:
    """What was always read and now never is has another row in its place; a brake track needs a rim brake."""
    instead = {
        "brake-fluid-age-mineral": "brake-fluid-age-glycol",
        "runout-lateral-rim-brake": "runout-lateral-disc",
        "tyre-wear-mark": "tyre-knob-height",
        "fork-lower-hours": "fork-coil-hours",
    }
    track = {"rim-wall-thickness", "rim-wear-mark"}
    for name, template in first_twelve(trade, BEFORE["template"]).items():
        for speeds in template.speeds:
            now = _read(trade, name, speeds)
            there = {part for part, _ in now}
            for (part, limit), how in _read_before(name, speeds).items():
                if how != "always" or (part, limit) in now or part not in there:
                    continue
                without_brake = limit in track and part.replace("rim", "rim pads") not in there
                assert without_brake or (part, instead.get(limit, "")) in now, (name, speeds, part, limit)


def _parts_for(trade: Tables, one: Condition, on: PartOn) -> tuple[PartOn, list[PartOn]]:
    """The part and others beside it that make a condition true."""
    if one.negated:
        return on, []
    if one.what in trade.features:
        feature = trade.features[one.what]
        beside: list[PartOn] = []
        for inner in feature.all or feature.any[:1]:
            on, more = _parts_for(trade, inner, on)
            beside += more
        return on, beside
    if one.what == "bike":
        return on, []
    known = {one.fact: FactValue(_value(one), "measured")} if one.fact else {}
    if one.what == "":
        return PartOn(on.id, on.kind, on.end, {**on.facts, **known}), []
    kinds = trade.kinds.values()
    row = next(kind for kind in kinds if (one.fact in kind.facts if one.what == "*" else kind.id == one.what))
    facts = {**known, **settled(row, {})} if one.what != "*" else {**settled(row, {}), **known}
    return on, [PartOn(2, row, (on.side or "rear") if row.ends == "each" else "", facts)]


def _bike_kind(trade: Tables, when: tuple[Condition, ...]) -> str:
    """The kind of bike that the conditions ask for, by themselves or through a feature."""
    for one in when:
        if one.what == "bike":
            return one.words[0]
        if (
            one.what in trade.features
            and (inner := _bike_kind(trade, trade.features[one.what].any)) != "city"
        ):
            return inner
    return "city"


def _value(one: Condition) -> str | float | bool:
    word = one.words[0]
    if word in ("yes", "no"):
        return word == "yes"
    return float(word) if word.replace(".", "", 1).isdigit() else word


def test_every_limit_can_come_up(trade: Tables) -> None:
    """For each limit and kind that it is read on there is a bike on which it is: no row waits for what can never be."""
    for row in trade.limits.values():
        for name in row.on:
            kind = trade.kinds[name]
            assert kind.fitted_to != "supply", row.id
            on = PartOn(1, kind, (row.end or "rear") if kind.ends == "each" else "", settled(kind, {}))
            beside: list[PartOn] = []
            for one in row.when:
                on, more = _parts_for(trade, one, on)
                beside += more
            build = Build(trade, _bike_kind(trade, row.when), (on, *beside))
            if row.read_in == "records":
                assert all_hold(build, row.when, on).answer, (row.id, name)
            else:
                assert row.id in {found.row.id for found in limits_on(build, on)}, (row.id, name)


def _groups(trade: Tables) -> list[list[LimitRow]]:
    """Limits that say the same of the same kind of part and are told apart by a fact."""
    found: dict[tuple[str, str], list[LimitRow]] = {}
    for row in trade.limits.values():
        if row.read_in != "records":
            for kind in row.on:
                found.setdefault((kind, row.quantity), []).append(row)
    return [rows for rows in found.values() if len(rows) > 1]


def test_of_limits_that_say_the_same_one_is_the_careful_one(trade: Tables) -> None:
    """Chain, hanger, rotor, linings, fluid, runout twice: where nobody knows, exactly one row is read."""
    groups = _groups(trade)
    assert len(groups) == 7, [[row.id for row in rows] for rows in groups]
    assert [[row.id for row in rows] for rows in groups if sum(row.if_unknown for row in rows) != 1] == []


def test_of_limits_that_say_the_same_never_two_are_read(trade: Tables) -> None:
    """Whatever is known of the deciding facts, a part is judged by one figure."""
    for rows in _groups(trade):
        facts = sorted({(one.what, one.fact) for row in rows for one in row.when if one.fact})
        words = [
            [None, *sorted({w for row in rows for one in row.when if one.fact == fact for w in one.words})]
            for _, fact in facts
        ]
        for chosen in product(*words):
            kind = trade.kinds[rows[0].on[0]]
            own = {f: w for (what, f), w in zip(facts, chosen, strict=True) if what == "" and w is not None}
            others = {
                f: w for (what, f), w in zip(facts, chosen, strict=True) if what == "*" and w is not None
            }
            part = PartOn(1, kind, "rear" if kind.ends == "each" else "", _known(own))
            sprockets = PartOn(2, trade.kinds["cassette"], "", _known(others))
            for beside in ((sprockets,), (sprockets, part_on(trade, "rim pads rear", {}, 3))):
                build = Build(trade, "road", (part, *beside))
                read = [one.row.id for one in limits_on(build, part) if one.row in rows]
                assert len(read) <= 1, (chosen, read)
                if None in chosen and not own and not others:
                    assert len(read) == 1, (chosen, read)


def _known(facts: dict[str, str]) -> dict[str, FactValue]:
    return {name: FactValue(word, "measured") for name, word in facts.items()}


def test_a_disc_wheel_is_asked_for_no_brake_track(trade: Tables) -> None:
    """A rim is asked for its walls where a rim brake runs on it, at this end alone."""
    parts = [
        part_on(trade, "wheel front", {}, 1),
        part_on(trade, "wheel rear", {}, 2),
        part_on(trade, "brake front", {"stops_on": "rim"}, 3),
        part_on(trade, "brake rear", {"stops_on": "disc"}, 4),
    ]
    build = Build(trade, "city", tuple(parts))
    front, rear = ({found.row.id for found in limits_on(build, part)} for part in parts[:2])
    track = {"rim-wall-thickness", "rim-wear-mark", "rim-track-hollow"}
    assert front >= {*track, "rim-crack"}
    assert (rear & track, "rim-crack" in rear) == (set(), True)


def test_the_gears_in_a_hub_never_choose_the_chain_row(trade: Tables) -> None:
    """Eight gears in the hub and one sprocket: the chain is judged as a single-speed chain."""
    parts = (
        part_on(trade, "chain", {}, 1),
        part_on(trade, "hub gear", {"gears": 8}, 2),
        part_on(trade, "sprocket", {}, 3),
    )
    build = Build(trade, "city", parts)
    assert {one.row.id for one in limits_on(build, parts[0]) if not one.deeper} == {
        "chain-elongation-1",
        "chain-slack",
        "chain-stiff-link",
    }


def test_a_glycol_brake_is_read_on_its_own_row(trade: Tables) -> None:
    """Fluid of the lid's kind; where nobody has read the lid, the shorter time, and it says so."""
    ages = {}
    for fluid in ("glycol", "mineral", ""):
        part = part_on(trade, "brake fluid front", {"fluid": fluid} if fluid else {}, 1)
        read = limits_on(Build(trade, "mtb", (part,)), part)
        ages[fluid] = [(one.row.id, one.by_caution) for one in read if one.row.instrument == "record"]
    assert ages == {
        "glycol": [("brake-fluid-age-glycol", False)],
        "mineral": [("brake-fluid-age-mineral", False)],
        "": [("brake-fluid-age-glycol", True)],
    }


def test_a_wheel_is_asked_once_for_its_crack_whether_or_not_its_rim_stands_apart(trade: Tables) -> None:
    """The wheel stands for rim, hub and spokes unless such a part is on the build sheet."""
    wheel, rim = part_on(trade, "wheel rear", {}, 1), part_on(trade, "rim rear", {}, 2)
    for parts in ((wheel,), (wheel, rim)):
        build = Build(trade, "road", parts)
        read = [one.row.id for part in parts for one in limits_on(build, part)]
        assert [read.count(name) for name in ("rim-crack", "spoke-broken", "hub-end-float")] == [1, 1, 1]


def test_every_limit_that_is_read_has_a_place_and_every_place_a_spot(trade: Tables) -> None:
    """Named by a place, or read at the station of its row or its kind of part; corners are those of the drawing."""
    named = {name for place in trade.walk_round.values() for name in place.limits}
    for row in trade.limits.values():
        stations = {row.station or trade.kinds[kind].station_at("front") for kind in row.on}
        assert row.id in named or stations <= trade.walk_round.keys(), row.id
    assert {place.spot for place in trade.walk_round.values()} == set(PLACES)


# Seconds of a look by eye or hand, and of a figure that an instrument reads (common practice, no source).
LOOK, FIGURE = 8, 35


def test_a_walk_round_takes_less_time_than_it_did(trade: Tables) -> None:
    """Looks of seconds came for figures that took a dial, a gauge or a part out; what is in the records is not asked."""

    def seconds(read: dict[tuple[str, str], str]) -> int:
        rows = [trade.limits[limit] for (_, limit), how in read.items() if how.startswith("always")]
        return sum(
            LOOK if row.instrument in ("eye", "hand") else FIGURE
            for row in rows
            if row.instrument != "record"
        )

    for name, template in first_twelve(trade, BEFORE["template"]).items():
        for speeds in template.speeds:
            before, now = seconds(_read_before(name, speeds)), seconds(_read(trade, name, speeds))
            assert now < before, (name, speeds, before, now)
