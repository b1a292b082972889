"""Wear on the screens: odds for the part on record, the way to the change-point table, the life line on the bike page."""

from dataclasses import replace
from math import inf

import pytest
from django.test import Client

from pinchbolt.bench.findings.findings_screen import ahead_of
from pinchbolt.values import DaySpread, Interval
from pinchbolt.workshop.stays.note_finding import findings_of
from tests.bench.job_screens.acts import row_of
from tests.bench.job_screens.conftest import key
from tests.story import Story

pytestmark = pytest.mark.django_db


def read(at: Story, client: Client, choice: str, km: str) -> None:
    """Read the chain by its big buttons."""
    row = row_of(at, "chain-elongation-11")
    entries = {"key": key(), "row": row, f"{row}-choice": choice, f"{row}-distance_km": km}
    assert client.post(f"/job/{at.job}/walk-round/reading/", entries).status_code == 303


def test_a_chain_finding_leads_to_the_ways_of_changing_in_one_tap(arrived: Story, ines: Client) -> None:
    """The table shows every way with its cost and interval, and says who decides at the stand."""
    read(arrived, ines, "1", "2100")
    address = f"/job/{arrived.job}/findings/change-point/"
    assert f'href="{address}"' in ines.get(f"/job/{arrived.job}/findings/").content.decode()
    page = ines.get(address).content.decode()
    for said in (
        "change each chain at 0.5 %",
        "likely",
        "At the stand the gauge decides",
        "Cost per 1,000 km",
    ):
        assert said in page
    assert Client().get(address).status_code == 302
    assert ines.post(address).status_code == 405


def test_odds_for_the_part_on_record_come_with_the_second_reading(
    arrived: Story, ines: Client, tobias: Client
) -> None:
    """After one reading nothing is said of it; after two that fit, the weighing stands behind "why" and asks nobody anything."""
    read(arrived, ines, "1", "2100")
    page = ines.get(f"/job/{arrived.job}/findings/").content.decode()
    assert "The readings fit" not in page
    read(arrived, tobias, "1", "2150")
    page = ines.get(f"/job/{arrived.job}/findings/").content.decode()
    assert "The readings fit the chain on record" in page.partition("<summary>why</summary>")[2]
    assert "Perhaps it was changed elsewhere, or misread. Ask the owner." not in page


def test_readings_that_do_not_fit_one_part_ask_a_question(
    arrived: Story, ines: Client, tobias: Client
) -> None:
    """A chain past 1 % that reads as new: another chain, or misread; people know."""
    read(arrived, ines, "1", "2100")
    read(arrived, tobias, "0", "2150")
    page = ines.get(f"/job/{arrived.job}/findings/").content.decode()
    assert "Perhaps it was changed elsewhere, or misread. Ask the owner." in page


def test_the_bike_page_shows_the_life_of_a_part(arrived: Story, ines: Client) -> None:
    """A part with a forecast has its life line; one without has none."""
    assert "wear so far" not in ines.get(f"/bike/{arrived.tag}/").content.decode()
    read(arrived, ines, "1", "2100")
    page = ines.get(f"/bike/{arrived.tag}/").content.decode()
    assert page.count("wear so far") == 1
    assert "life of the chain, wear" in page


def test_what_has_no_end_is_said_in_words(arrived: Story, ines: Client) -> None:
    """Not within ten years, and no upper end to what is left: no 'any km', and no days between two that never come."""
    read(arrived, ines, "1", "2100")
    chain = next(one.forecast for one in findings_of(arrived.record) if one.forecast)
    left = replace(chain.to_limit, wide=Interval(412.0, inf))
    never = DaySpread(None, (None, None), (None, None))
    seen = ahead_of(replace(chain, to_limit=left, day_at_limit=never, chance_past_limit=0.1))
    assert seen is not None
    assert (seen.use_interval, seen.day_words, seen.day_interval) == (
        "likely 410 km or more",
        "not within ten years",
        "",
    )
