"""Looks, faults, access and complaints: every reading belongs to one look, and a bad row is refused with its place."""

from collections.abc import Callable
from pathlib import Path

import pytest

from pinchbolt.engines.build import limits_on, looks_on
from pinchbolt.engines.look import shares_on
from pinchbolt.errors import InputRefused
from pinchbolt.reference import Tables, load
from pinchbolt.workshop.looks._look_sheet import look_sheet
from tests.reference.templates_built import built

Shop = Callable[..., Path]


def test_every_reading_of_every_bike_belongs_to_one_look(trade: Tables) -> None:
    """None that no walk-round would take, none that is taken twice; what the records tell is never looked at."""
    for row in trade.templates.values():
        build = built(trade, row, row.speeds[0])
        looks = [(part.id, one.row.id) for look in looks_on(build) for part, one in look.reads]
        rows = [
            (part.id, one.row.id)
            for part in build.parts
            for one in limits_on(build, part)
            if one.row.instrument != "record"
        ]
        assert sorted(looks) == sorted(rows), row.id


def test_every_fault_of_a_bike_is_seen_and_every_unsafe_one_by_one_tap(trade: Tables) -> None:
    """What can throw the rider needs no instrument to be noticed."""
    measured_only = {"fluid-wet"}
    for fault in trade.look_faults.values():
        by_tap = [row.id for row in trade.looks.values() if fault.id in row.sees and not row.figure]
        assert by_tap or fault.harm < 8 or fault.id in measured_only, fault.id


def test_every_complaint_can_be_looked_for_where_it_can_be(trade: Tables) -> None:
    """On each kind of bike that has a cause of it a place leads; shares and nothing found come to ten at most."""
    for row in trade.templates.values():
        bike = built(trade, row, row.speeds[0])
        for name in trade.complaints:
            sheet = look_sheet(bike, complaints=[name])
            shares = shares_on(sheet, sheet.complaints[0])
            assert sum(shares.values()) + sheet.complaints[0].nothing_found <= 10 + 1e-9
            assert not shares or any(place in sheet.look_at for place in sheet.complaints[0].first), (
                row.id,
                name,
            )


def test_a_look_says_what_a_find_is(trade: Tables) -> None:
    """One tap needs words that say what was found."""
    assert [row.id for row in trade.looks.values() if not row.figure and not row.found] == []


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ('[[look]]\nid = "pedals"\nseconds = 0\n', '"seconds" is 0: above 0'),
        ('[[look]]\nid = "pedals"\nfalse_alarm = 1.5\n', '"false_alarm" is 1.5: above 0, under 1'),
        (
            '[[look]]\nid = "pedals"\nsees = { "squeak" = 0.5 }\n',
            'names "squeak": an id that stands under [[look_fault]]',
        ),
        ('[[look]]\nid = "pedals"\nstation = "wheel-{end}"\n', '"station" has {end}'),
        ('[[look]]\nid = "bar-slip"\naccess = ["stand"]\n', '"access" is given: nothing'),
        ('[[look]]\nid = "battery-case"\nafter = ["display"]\n', '"after" comes round to itself'),
        ('[[access]]\nid = "stand"\nafter = ["wheel-out-rear"]\n', '"after" comes round to itself'),
        ('[[look_fault]]\nid = "bar-slip"\nharm = 101\n', '"harm" is 101: 100 at most'),
        ('[[look_fault]]\nid = "bar-slip"\nleans = { luck = 1.0 }\n', '"leans" names "luck"'),
        (
            '[[look_fault]]\nid = "bar-slip"\ngoes_with = "cassette-worn"\ngoes_with_log_odds = 1.0\n',
            "a fault that goes with no other",
        ),
        ('[[complaint]]\nid = "creak"\nnothing_found = 10\n', '"nothing_found" is 10: above 0, under 10'),
        (
            '[[complaint]]\nid = "creak"\nfirst = ["ouija"]\n',
            'names "ouija": an id that stands under [[look]]',
        ),
    ],
)
def test_a_bad_row_is_refused_with_its_place(shop: Shop, row: str, said: str) -> None:
    """File, row, field and what is allowed."""
    with pytest.raises(InputRefused) as refused:
        load(shop(look=row))
    assert said in refused.value.sentence
    assert "look.toml" in refused.value.sentence


@pytest.mark.parametrize(
    ("said", "row", "bike", "first"),
    [
        ("judder", "shudder", "hardtail", "headset-play"),
        ("drifts", "pulls", "road-disc", "dish"),
        ("spokes break", "spokes-break", "tourer", "spokes:rear"),
        ("post slips", "sinks", "full-suspension", "saddle-loose"),
        ("drops the chain", "chain-off", "city-hub-gear", "chain-slack"),
        ("drops the chain", "chain-off", "gravel-1x", "chainring"),
        ("motor knocks", "motor-noise", "e-mtb", "motor-mount"),
        ("used bike", "second-hand", "road-rim", "frame-crack"),
    ],
)
def test_what_an_owner_says_leads_where_a_mechanic_would_look(
    trade: Tables, said: str, row: str, bike: str, first: str
) -> None:
    """The words of an owner find their complaint; on such a bike its places hold the one that a mechanic looks at for it."""
    (found,) = [one for one in trade.complaints.values() if said in one.said]
    assert found.id == row
    template = trade.templates[bike]
    sheet = look_sheet(built(trade, template, template.speeds[0]), complaints=[row])
    there = [place for place in sheet.complaints[0].first if place in sheet.look_at]
    assert any(place.partition(":")[0] == first or place == first for place in there), there
    # Half of ten such bikes at least have a cause that this bike can have.
    assert sum(shares_on(sheet, sheet.complaints[0]).values()) >= 3
