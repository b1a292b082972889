"""The bike on record is the bike on the stand: parts are added, replaced, taken off and described at any time."""

import pytest

from pinchbolt.errors import InputRefused, NotAllowed, NotFound, NotPossibleNow
from pinchbolt.records.models import BinPart, Event, Fitting, Part, Person
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.bikes.building import replace_part
from pinchbolt.workshop.leaving.bike_sheet import bike_sheet
from pinchbolt.workshop.rides.exposure import use_of
from tests.story import NOW, PASSPHRASE, TODAY, joints_on
from tests.workshop.build_story import (
    add,
    bike,
    build,
    confirm,
    describe,
    fact,
    from_nothing,
    items_of,
    kinds_on,
    part_on,
    read,
    readings_of,
    replace,
    take_off,
)
from tests.workshop.ride_story import ride_of, take

pytestmark = pytest.mark.django_db

GEARS = {"shifters", "gear cables", "rear derailleur", "hanger"}


def test_a_childs_single_speed_has_no_gears_to_look_at() -> None:
    """Checked in with one sprocket: no shifter, cable, derailleur or hanger, and none of their readings."""
    there = bike("child", speeds=1)
    assert not kinds_on(there) & GEARS
    assert (
        not readings_of(there, "rear derailleur")
        | readings_of(there, "hanger")
        | readings_of(there, "gear cables")
    )
    assert kinds_on(bike("tourer", speeds=9)) | {"shifters"} >= GEARS


def test_what_a_build_got_wrong_is_struck_off() -> None:
    """'Never there' is a slip of the template: no part, no reading; the history tells who struck it off, and no life of it.

    Who changed the sheet is told all the same: a wrong tap must be found again, and a record that forgets is no record.
    """
    there = bike("child", speeds=7)
    derailleur = part_on(there, "rear derailleur")
    take_off(there, derailleur, "never there")
    assert "rear derailleur" not in kinds_on(there)
    assert readings_of(there, "rear derailleur") == set()
    assert derailleur.fittings.get().gone_to == "never there"
    told = [line.words for line in bike_sheet(there.tag, NOW).history if "derailleur" in line.words]
    assert len(told) == 1 and "it never was there" in told[0]


def test_a_coaster_brake_can_be_said() -> None:
    """Rim brake behind off, coaster on: it is read as a coaster, and nobody is asked for a lever or a cable behind.

    Said of the build with seven sprockets: the one with a single sprocket has its coaster from the start.
    """
    there = bike("child", speeds=7)
    for kind in ("brake", "brake cable", "rim pads"):
        take_off(there, part_on(there, kind, "rear"), "never there")
    add(there, "coaster brake", "rear")
    assert "coaster-brake" in readings_of(there, "coaster brake")
    assert readings_of(there, "brake", "rear") | readings_of(there, "brake cable", "rear") == set()
    assert "reaction-arm:rear" in joints_on(there.tag)
    assert "brake-cable-pinch:rear" not in joints_on(there.tag)
    assert "so-coaster" in items_of(there) and "so-brake-rear" not in items_of(there)


def test_a_part_keeps_its_life_from_bike_to_bins_to_bike() -> None:
    """400 km on the one bike, weeks in the bins, then on the other: one part, and its 400 km with it.

    A part of the bins is named by the number on its label, as in every other act on the bins.
    """
    there, other = bike("road-disc"), bike("gravel-1x", speeds=11)
    chain = part_on(there, "chain")
    Fitting.objects.filter(part=chain).update(start="2026-02-01", start_known=True)
    take(there, *((f"{day}.fit", ride_of(day, 40.0)) for day in range(0, 40, 4)))
    take_off(there, chain, "bins")
    lying = BinPart.objects.get(used_part=chain)
    assert (lying.count, lying.kind) == (1, "chain")
    take_off(other, part_on(other, "chain"), "scrap")
    assert add(other, "chain", bin=lying.number) == chain
    lying.refresh_from_db()
    assert lying.count == 0
    assert use_of(chain, TODAY).km == pytest.approx(400.0)


@pytest.mark.parametrize("gone_to", ["bins", "owner", "scrap", "never there"])
def test_where_a_part_went_is_written_down(gone_to: str) -> None:
    """Each of the four ways ends the fitting and is told in the history; what was never there ends on the day it began.

    That day, not today: nothing of the bike's life may be counted to a part that it never had.
    """
    there = bike()
    saddle = part_on(there, "saddle")
    take_off(there, saddle, gone_to)
    fitting = saddle.fittings.get()
    ended = fitting.start if gone_to == "never there" else TODAY
    assert (fitting.end, fitting.gone_to) == (ended, gone_to)
    told = [line.words for line in bike_sheet(there.tag, NOW).history if "saddle" in line.words]
    assert len(told) == 1 and ("never was there" in told[0]) is (gone_to == "never there")
    assert Event.objects.filter(kind="part taken off", bike=there.record.bike).count() == 1


def test_a_new_part_starts_today_and_one_that_was_there_starts_with_the_record() -> None:
    """'Was on it before': from the bike's first day, its start not known."""
    there = bike()
    new, old = add(there, "mudguards"), add(there, "carrier", "rear", was_there=True)
    assert (new.fittings.get().start, new.fittings.get().start_known) == (TODAY, True)
    first = Fitting.objects.filter(bike=there.record.bike).order_by("start")[0].start
    assert (old.fittings.get().start, old.fittings.get().start_known) == (first, False)


def test_a_request_that_comes_twice_adds_once() -> None:
    """A double tap on a bad line: one pair of mudguards."""
    from pinchbolt.workshop.bikes.change_build import AddRequest, add_part

    there = bike()
    asked, key = AddRequest(there.tag, "mudguards"), there.key()
    first = add_part(asked, by=there.first, key=key, now=NOW)
    assert add_part(asked, by=there.second, key=key, now=NOW) == first
    assert [part.kind for part in parts_on(there.record.bike)].count("mudguards") == 1


@pytest.mark.parametrize(
    ("kind", "end", "facts", "said"),
    [
        ("left-handed spanner", "", {}, "is no kind of part: such as .* Choose a kind"),
        ("rotor", "", {}, "front or rear"),
        ("rotor", "middle", {}, "front or rear is possible"),
        ("saddle", "front", {}, "no end"),
        ("joining link", "", {}, "used up"),
        ("rotor", "front", {"rotor": 1600}, "120 to 240 mm"),
        ("rotor", "front", {"colour": "blue"}, "colour"),
        ("pads", "front", {"pads": "cheese"}, "resin, sintered"),
    ],
)
def test_what_cannot_be_on_a_bike_is_refused_whole(
    kind: str, end: str, facts: dict[str, object], said: str
) -> None:
    """Kind, end and facts are held to the table; the sentence says what is allowed, and nothing is written.

    A rotor's diameter has the range of the fit rules that ask for it, 120 to 240 mm: it stands once.
    """
    there = bike()
    before = len(parts_on(there.record.bike))
    with pytest.raises(InputRefused, match=said):
        add(there, kind, end, facts)
    assert len(parts_on(there.record.bike)) == before
    assert not Event.objects.filter(kind="part added").exists()


def test_a_place_that_is_taken_is_said() -> None:
    """A second chain or a second front rotor is a slip: replace the one that is there; a trike has two of each in front."""
    there = bike()
    for kind, end in (("chain", ""), ("rotor", "front")):
        with pytest.raises(NotPossibleNow, match=kind):
            add(there, kind, end)
    trike = from_nothing("trike")
    for end in ("front left", "front right"):
        add(trike, "wheel", end)
        add(trike, "rotor", end, {"rotor_kind": "six-bolt"})
    assert {f"rotor-6-bolt:{end}" for end in ("front left", "front right")} <= set(joints_on(trike.tag))


def test_a_part_of_another_bike_is_not_changed_here() -> None:
    """Taken off yesterday on another tablet: the sentence says that it is gone, and nothing is written twice."""
    there = bike()
    saddle = part_on(there, "saddle")
    take_off(there, saddle)
    with pytest.raises((NotPossibleNow, NotFound), match="saddle"):
        take_off(there, saddle)
    with pytest.raises((NotPossibleNow, NotFound), match="saddle"):
        replace(there, saddle)


def test_fluid_and_lining_are_read_by_what_is_in_the_brake() -> None:
    """A lid that says glycol, pads that say sintered: age and lining are read on those rows from then on, not on the template's."""
    there = bike("road-disc")
    fluid, pads = part_on(there, "brake fluid", "front"), part_on(there, "pads", "rear")
    describe(there, fluid, fluid="glycol")
    describe(there, pads, pads="sintered")
    assert {limit for limit in readings_of(there, "brake fluid", "front") if "age" in limit} == {
        "brake-fluid-age-glycol"
    }
    assert {limit for limit in readings_of(there, "pads", "rear") if "lining" in limit} == {
        "disc-pad-lining-sintered"
    }
    assert {limit for limit in readings_of(there, "pads", "front") if "lining" in limit} == {
        "disc-pad-lining-resin"
    }


def test_a_reading_that_stands_can_be_read_again_though_the_fact_was_put_right() -> None:
    """Read as resin, put right to sintered: the new row comes, and the old reading is not lost from the page."""
    there = bike("road-disc")
    pads = part_on(there, "pads", "rear")
    read(there, pads, "disc-pad-lining-resin", value=1.4)
    describe(there, pads, pads="sintered")
    assert {"disc-pad-lining-resin", "disc-pad-lining-sintered"} <= readings_of(there, "pads", "rear")


def test_a_belt_is_looked_at() -> None:
    """Chain and cassette off, belt on: its tension and its sprocket are read, and no chain is."""
    there = bike("city-hub-gear")
    take_off(there, part_on(there, "chain"), "never there")
    add(there, "belt")
    assert readings_of(there, "belt") and not readings_of(there, "chain")


def test_what_comes_from_a_build_is_not_looked_at_until_a_hand_has_been_there() -> None:
    """One tap on a corner confirms what an eye sees; lining and fluid are markings and stay the template's guess."""
    there = bike("road-disc")
    rotor, pads = part_on(there, "rotor", "front"), part_on(there, "pads", "front")
    assert (fact(there, rotor, "rotor_kind").source, fact(there, pads, "pads").source) == (
        "template",
        "template",
    )
    seen = {one.id: one.confirmed for one in build(there).parts}
    assert not seen[rotor.pk] and not seen[pads.pk]
    confirm(there, "front-brake")
    seen = {one.id: one.confirmed for one in build(there).parts}
    assert seen[rotor.pk] and seen[pads.pk] and not seen[part_on(there, "rotor", "rear").pk]
    assert fact(there, rotor, "rotor_kind").source != "template"
    assert fact(there, pads, "pads").source == "template"
    describe(there, pads, pads="resin")
    assert fact(there, pads, "pads").source == "read off the part"


def test_a_tap_for_the_whole_bike_launders_no_guess() -> None:
    """After 'all as shown' nothing that is a marking, a measure or an owner's word counts as read."""
    there = bike("road-disc")
    confirm(there)
    assert all(one.confirmed for one in build(there).parts)
    for end in ("front", "rear"):
        assert fact(there, part_on(there, "pads", end), "pads").source == "template"
        assert fact(there, part_on(there, "rotor", end), "rotor").source == "template"
    assert fact(there, part_on(there, "fork"), "frame_axle").source == "template"


def test_the_owners_word_does_not_win_over_the_marking() -> None:
    """'Sintered', says the owner; 'resin' is printed on the plate: the plate governs, and an empty word takes it back."""
    there = bike("road-disc")
    pads = part_on(there, "pads", "front")
    describe(there, pads, pads="resin")
    describe(there, pads, source="owner's word", pads="sintered")
    assert (fact(there, pads, "pads").value, fact(there, pads, "pads").source) == (
        "resin",
        "read off the part",
    )
    assert fact(there, pads, "pads").told == "sintered"
    describe(there, pads, pads=None)
    assert (fact(there, pads, "pads").value, fact(there, pads, "pads").source) == ("sintered", "owner's word")


def test_what_the_owner_said_before_the_plate_was_read_is_answered_by_it() -> None:
    """'Sintered' at the counter, 'resin' on the plate: the question is settled; the word comes back if the reading is taken back."""
    there = bike("road-disc")
    pads = part_on(there, "pads", "front")
    describe(there, pads, source="owner's word", pads="sintered")
    assert fact(there, pads, "pads").source == "owner's word"
    describe(there, pads, pads="resin")
    assert (fact(there, pads, "pads").value, fact(there, pads, "pads").told) == ("resin", None)
    describe(there, pads, pads=None)
    assert (fact(there, pads, "pads").value, fact(there, pads, "pads").source) == ("sintered", "owner's word")
    describe(there, pads, pads=None)
    assert "pads" not in next(one for one in build(there).parts if one.id == pads.pk).facts


def test_the_owner_takes_back_his_word_and_no_reading() -> None:
    """An empty word from the counter leaves what was read off the part."""
    there = bike("road-disc")
    pads = part_on(there, "pads", "front")
    describe(there, pads, pads="resin")
    describe(there, pads, source="owner's word", pads="sintered")
    describe(there, pads, source="owner's word", pads=None)
    known = fact(there, pads, "pads")
    assert (known.value, known.source, known.told) == ("resin", "read off the part", None)


def test_the_counter_writes_the_owners_word_down_and_nothing_else() -> None:
    """Who stands at the counter has not had the bike in hand."""
    there = bike("road-disc")
    there.first = Person.objects.make("juno", "Juno Marl", "counter", PASSPHRASE).pk
    pads = part_on(there, "pads", "front")
    describe(there, pads, source="owner's word", pads="sintered")
    with pytest.raises(NotAllowed, match="counter"):
        describe(there, pads, pads="sintered")
    with pytest.raises(NotAllowed, match="counter"):
        add(there, "mudguards")
    with pytest.raises(NotAllowed, match="counter"):
        take_off(there, pads)


@pytest.mark.parametrize("how", ["by hand", "by a done line"])
def test_a_new_wheel_takes_over_what_the_old_one_carried(how: str) -> None:
    """Tyre, rotor and cassette go onto the new wheel: they stay on the sheet, and what they bring stays on the list."""
    there = bike()
    wheel = part_on(there, "wheel", "rear")
    carried = [part_on(there, *one) for one in (("tyre", "rear"), ("rotor", "rear"), ("cassette", ""))]
    for part in carried:
        part.fittings.update(bike=None, wheel=wheel)
    before, list_before = kinds_on(there), items_of(there)
    assert before >= {"tyre", "rotor", "cassette"}
    if how == "by hand":
        new = replace(there, wheel)
    else:
        new = replace_part(wheel, there.record.bike, TODAY)
    assert new.pk != wheel.pk and kinds_on(there) == before and items_of(there) == list_before
    for part in carried:
        assert part.fittings.get(end__isnull=True).wheel == new
        assert part.fittings.count() == 2, "its life goes on"


def test_a_row_that_stands_in_says_so_in_its_finding() -> None:
    """Nobody knows how thick this rotor was when new: the reading is judged by the row of such rotors, and the finding says that."""
    there = bike()
    rotor = part_on(there, "rotor", "front")
    describe(there, rotor, rotor_new_mm=None)
    doubtful = read(there, rotor, "rotor-thickness-unknown", value=1.7).finding
    assert [doubt for doubt in doubtful.doubts if "Not known" in doubt and "the careful limit" in doubt]
    describe(there, rotor, rotor_new_mm=1.8)
    sure = read(there, rotor, "rotor-thickness-1.8", value=1.7).finding
    assert not [doubt for doubt in sure.doubts if "Not known" in doubt]


def test_a_wheel_that_comes_off_takes_its_tyre_and_rotor_along() -> None:
    """A template writes tyre, rotor and sprockets beside the wheel: nobody looks for them on a bike whose wheel is gone."""
    there = bike()
    wheel = part_on(there, "wheel", "rear")
    gone = {"tyre", "tube", "rotor", "cassette", "rim tape"}
    before = {(part.kind, part.place) for part in parts_on(there.record.bike)}
    take_off(there, wheel, "owner")
    after = {(part.kind, part.place) for part in parts_on(there.record.bike)}
    lost = before - after
    assert ("wheel", "rear") in lost and {("tyre", "rear"), ("rotor", "rear")} <= lost
    assert any(kind == "cassette" for kind, _ in lost) and {kind for kind, _ in lost} <= gone | {
        "wheel",
        "freehub",
        "spoke",
    }
    assert {("tyre", "front"), ("rotor", "front")} <= after
    tyre = Part.objects.get(kind="tyre", place="rear")
    assert tyre.fittings.get(end__isnull=True).wheel == wheel


def test_a_wheel_that_never_was_there_takes_nothing_along() -> None:
    """Struck off as a slip of the pen: what stands beside it stays."""
    there = bike()
    take_off(there, part_on(there, "wheel", "rear"), "never there")
    assert ("tyre", "rear") in {(part.kind, part.place) for part in parts_on(there.record.bike)}
