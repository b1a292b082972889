"""What a tap writes is what its words say."""

import re
from datetime import date, timedelta
from decimal import Decimal

from django.test import Client
from django.utils import timezone

from pinchbolt.records.models import Finding, Line, ListCheck, Reading
from pinchbolt.workshop.bikes.change_build import DescribeRequest, describe
from pinchbolt.workshop.stays.not_seen import NotSeenRequest, say_not_seen
from pinchbolt.workshop.stays.price import estimate
from pinchbolt.workshop.torque.torque_sheet import torque_sheet
from tests.bench.job_screens.acts import row_of, second_items
from tests.bench.job_screens.conftest import asked_for, at_work, key, lines_of, started, with_brake_work
from tests.story import STEM, Story
from tests.workshop.build_story import part_on


def test_the_gauges_three_answers_are_three_intervals(arrived: Story, ines: Client) -> None:
    """0.5 stays out: below 0.5; in at 0.5, not at 0.75: between; in at 0.75: from there on; the distance is the owner's word."""
    row = row_of(arrived, "chain-elongation-11")
    for choice in ("0", "1", "2"):
        entries = {"key": key(), "row": row, f"{row}-choice": choice, f"{row}-distance_km": "2,100"}
        assert ines.post(f"/job/{arrived.job}/walk-round/reading/", entries).status_code == 303
    found = Reading.objects.order_by("pk").values_list("low", "high", "distance_km", "distance_known")
    assert list(found) == [
        (None, 0.5, 2100, "owner's word"),
        (0.5, 0.75, 2100, "owner's word"),
        (0.75, None, 2100, "owner's word"),
    ]


def test_a_reading_of_another_day_keeps_its_day_as_a_guess(arrived: Story, ines: Client) -> None:
    """Read yesterday or so: the day is kept, and that it is a guess."""
    row = row_of(arrived, "rotor-thickness-1.8", "front")
    yesterday: date = timezone.localdate() - timedelta(days=1)
    entries = {
        "key": key(),
        "row": row,
        f"{row}-value": "1,72",
        f"{row}-day": yesterday.isoformat(),
        f"{row}-day_is_guess": "1",
    }
    assert ines.post(f"/job/{arrived.job}/walk-round/reading/", entries).status_code == 303
    taken = Reading.objects.get()
    assert (taken.low, taken.high, taken.day, taken.day_is_guess) == (1.72, 1.72, yesterday, True)


def test_no_fault_by_eye_answers_the_open_questions_with_the_good_word(arrived: Story, ines: Client) -> None:
    """Every yes/no question of the place is answered and sound; figures and what was answered before are left alone."""
    tyre = arrived.record.bike.fittings.get(part__kind="tyre", part__place="front").part
    seen = DescribeRequest(tyre.pk, {"tread": "slick"})
    describe(seen, by=arrived.first, key=arrived.key(), now=timezone.now())
    row = row_of(arrived, "tyre-cut", "front")
    cut = {"key": key(), "row": row, f"{row}-choice": "1"}
    assert ines.post(f"/job/{arrived.job}/walk-round/reading/", cut).status_code == 303
    address = f"/job/{arrived.job}/walk-round/front-tyre/nothing-found/"
    assert ines.post(address, {"key": key()}).status_code == 303
    verdicts = dict(Finding.objects.values_list("limit", "verdict"))
    assert verdicts.pop("tyre-cut") == "unsafe to ride"
    assert verdicts == {"tyre-low": "sound", "tyre-wear-mark": "sound"}


def test_the_lower_marking_moves_the_setting(arrived: Story, ines: Client) -> None:
    """A bar found to be marked 4.5 N·m takes the setting down: a tool 4 % out may then show 4.32 N·m at most."""
    started(arrived)
    entries = {"key": key(), "part": "handlebar", "greatest_n_m": "4.5"}
    assert ines.post(at_work(arrived.job, f"torque/{STEM}/marking/"), entries).status_code == 303
    joint = next(one for one in torque_sheet(arrived.record, timezone.localdate()) if one.joint == STEM)
    assert joint.setting is not None
    # Guarded acceptance with ISO 6789-1:2017 Type II class A over 10 N·m: 4.5 (1 - 0.04).
    assert joint.setting.set <= 4.5 * 0.96 + 1e-9
    page = ines.get(at_work(arrived.job, f"torque/{STEM}/")).content.decode()
    assert f'<span class="set-figure">{joint.setting.set:g}</span>' in page
    assert "handlebar marked 4.5 N·m max" in page


def test_other_parts_change_the_price_and_keep_the_labour(arrived: Story, ines: Client) -> None:
    """36.00 becomes two at 20.25: the line costs 4.50 more, and the old line is withdrawn, not rewritten."""
    asked_for(arrived)
    before = estimate(arrived.record)
    line = lines_of(arrived)["chain"]
    entries = {"key": key(), "line": line, "name-0": "chain, half", "each-0": "£20.25", "count-0": "2"}
    assert ines.post(f"/job/{arrived.job}/estimate/parts/", entries).status_code == 303
    after = estimate(arrived.record)
    assert after.priced.total - before.priced.total == Decimal("4.50")
    assert Line.objects.filter(operation="chain").count() == 2


def test_what_is_not_met_stands_open_with_its_words(arrived: Story, ines: Client) -> None:
    """Not met is written as not met, shown with its words, and stops the sign-off."""
    with_brake_work(arrived)
    item = second_items(arrived)[0]
    entries = {"key": key(), "item": [item], "not_met": "1", "words": "lever comes to the bar"}
    assert ines.post(f"/job/{arrived.job}/sign-off/looked/", entries).status_code == 303
    newest = ListCheck.objects.get(item=item, event__corrected_by__isnull=True)
    assert (newest.met, newest.second, newest.words) == (False, False, "lever comes to the bar")
    assert "not right: lever comes to the bar" in ines.get(f"/job/{arrived.job}/sign-off/").content.decode()


def test_what_could_not_be_seen_stands_open_until_somebody_decides(arrived: Story, ines: Client) -> None:
    """A look of the walk-round by its own tick, an item of the list by its own button; each asks why, and shows it."""
    with_brake_work(arrived)
    frame = part_on(arrived, "frame")
    asked = NotSeenRequest(arrived.job, frame.pk, "frame-crack")
    look = say_not_seen(asked, by=arrived.first, key=key(), now=timezone.now())
    address = f"/job/{arrived.job}/sign-off/"
    assert "Not seen at the walk-round" in ines.get(address).content.decode()
    refused = ines.post(f"{address}unseen/", {"key": key(), "look": [look.id], "words": ""})
    assert "why it leaves unseen is empty" in refused.content.decode()
    entries = {"key": key(), "look": [look.id], "words": "wrapped in tape"}
    assert ines.post(f"{address}unseen/", entries).status_code == 303
    item = second_items(arrived)[0]
    entries = {"key": key(), "item": [item], "unseen": "1", "words": "no light"}
    assert ines.post(f"{address}looked/", entries).status_code == 303
    page = ines.get(address).content.decode()
    assert "Not seen at the walk-round" not in page and "Not looked at" in page
    assert "could not be seen (wrapped in tape)" in page and "could not see: no light" in page


def test_the_findings_show_doubts_and_the_rule_without_a_tap(arrived: Story, ines: Client) -> None:
    """What is uncertain stands in the open: the doubt and the drawn rule are not folded away."""
    row = row_of(arrived, "chain-elongation-11")
    entries = {"key": key(), "row": row, f"{row}-choice": "1", f"{row}-distance_km": "2100"}
    ines.post(f"/job/{arrived.job}/walk-round/reading/", entries)
    page = ines.get(f"/job/{arrived.job}/findings/").content.decode()
    finding = page[page.index('class="sheet finding') : page.index("<details")]
    assert 'class="doubt"' in finding
    assert '<svg xmlns="http://www.w3.org/2000/svg" class="wr"' in finding
    assert "likely" in finding


def test_a_walk_round_is_started_and_not_called_done_before_the_sign_off(
    arrived: Story, ines: Client
) -> None:
    """Neither one reading nor asking the owner says that the whole bike was looked at."""

    def said(step: str) -> str:
        bar = re.sub(r"<[^>]+>", "|", ines.get(f"/job/{arrived.job}/findings/").content.decode())
        found = re.search(rf"\|{step} ?\|(\w*)\|", bar)
        assert found, step
        return found.group(1)

    assert said("walk-round") == "next"
    row = row_of(arrived, "rotor-thickness-1.8", "front")
    ines.post(f"/job/{arrived.job}/walk-round/reading/", {"key": key(), "row": row, f"{row}-value": "1.72"})
    assert (said("check-in"), said("walk-round"), said("findings"), said("estimate")) == (
        "done",
        "started",
        "started",
        "next",
    )
    asked_for(arrived)
    assert (said("walk-round"), said("findings")) == ("started", "started")


def test_the_steps_of_an_own_scale_are_asked_and_said_in_their_own_words(
    arrived: Story, ines: Client
) -> None:
    """A sprocket gauge lifts with a catch; it is never smooth or gritty, which are words for a bearing."""
    row = row_of(arrived, "cassette-gauge")
    asked = ines.get(f"/job/{arrived.job}/walk-round/cassette/").content.decode()
    assert "lifts with a catch" in asked
    assert "gritty" not in asked
    entries = {"key": key(), "row": row, f"{row}-choice": "2"}
    assert ines.post(f"/job/{arrived.job}/walk-round/reading/", entries).status_code == 303
    assert Reading.objects.get().low == 2.0
    assert "lifts with a catch" in ines.get(f"/job/{arrived.job}/findings/").content.decode()


def test_a_bike_that_is_not_signed_off_has_no_button_to_hand_it_over_as_ready(
    arrived: Story, ines: Client
) -> None:
    """How many things are to do stands there, with the way to them; which they are is one tap away."""
    asked_for(arrived)
    page = ines.get(f"/job/{arrived.job}/handover/").content.decode()
    assert re.search(r"Not ready: \d+ things to do", page)
    assert re.findall(r'<button class="act wide[^>]*>(?:<span>)?([^<]*)', page) == [
        "hand over: not to be ridden"
    ]
    assert page.index('class="stop-list"') > page.index("<summary>what is to do</summary>")
