"""The wheel sheet on screen and paper: measured, read, plucked, turned, built from parts, and meters with their tables."""

from io import BytesIO

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from pypdf import PdfReader

from pinchbolt.records.models import Event, MeterTable, Tool, WheelReading
from pinchbolt.workshop.wheels.print_wheel import print_wheel
from pinchbolt.workshop.wheels.wheel_sheet import wheel_sheet
from tests.bench.job_screens.conftest import key
from tests.paper.reading import words
from tests.story import NOW, Story
from tests.wheel_sounds import wav_of
from tests.workshop.wheels.wheel_story import (
    KIND,
    OnStand,
    build_figures,
    in_stand,
    measures,
    rear_of,
    wheel_figures,
    wheel_parts,
)


def at(on: Story) -> str:
    """Where the rear wheel's sheet is."""
    return f"/job/{on.job}/wheels/{rear_of(on)}/"


@pytest.fixture
def stand(arrived: Story) -> OnStand:
    """The rear wheel in the stand, read once."""
    made = in_stand(told=arrived)
    made.read()
    return made


def test_the_next_nipple_is_a_tap_and_the_wheel_is_drawn(stand: OnStand, ines: Client) -> None:
    """Cautions first, then the spoke's number and what to do with it; after the tap the next one."""
    page = ines.get(at(stand.told)).content.decode()
    one = stand.sheet().next
    assert one is not None
    assert page.index("Glasses on") < page.index("Next turns") < page.index(f"done: spoke {one.spoke}<")
    assert 'class="wr"' in page and "The longer a spoke, the tighter it is" in page
    sent = {"key": key(), "spoke": one.spoke, "quarters": one.quarters}
    assert ines.post(f"{at(stand.told)}turned/", sent).status_code == 303
    assert f"done: spoke {one.spoke}<" not in ines.get(at(stand.told)).content.decode()


def test_a_reading_with_one_empty_field_keeps_all_that_was_typed(arrived: Story, ines: Client) -> None:
    """The spoke is named, nothing is written, and 95 figures still stand in their fields."""
    typed = wheel_figures(arrived)
    typed["side-7"] = ""
    told = ines.post(f"{at(arrived)}read/", {"key": key(), **typed})
    page = told.content.decode()
    assert told.status_code == 422 and "side at spoke 7 is empty" in page
    assert f'name="up-31" inputmode="decimal" autocomplete="off" value="{typed["up-31"]}"' in page
    assert not WheelReading.objects.exists()
    typed["side-7"] = "o,4"
    assert (
        "a number is expected" in ines.post(f"{at(arrived)}read/", {"key": key(), **typed}).content.decode()
    )
    typed["side-7"] = "-0,4"
    assert ines.post(f"{at(arrived)}read/", {"key": key(), **typed}).status_code == 303
    assert wheel_sheet(arrived.job, rear_of(arrived)).spokes[6].read.side_mm == -0.4  # type: ignore[union-attr]


def test_wav_files_are_heard_in_the_order_of_their_numbers(arrived: Story, ines: Client) -> None:
    """2.wav before 10.wav; a recording of two spokes is named with its spoke, and none of that sending is kept."""
    stand, rng = in_stand(told=arrived), np.random.default_rng(5)
    tones = {2: 400.0, 10: 420.0, 11: 380.0}
    files = [SimpleUploadedFile(f"{name}.wav", wav_of(rng, tone)) for name, tone in tones.items()]
    sent = {"key": key(), "first": "4", "sounds": files[::-1]}
    assert ines.post(f"{at(arrived)}plucked/", sent).status_code == 303
    heard = {one.number: one.heard_hz for one in stand.sheet().spokes if one.heard_hz}
    assert {spoke: round(hz) for spoke, hz in heard.items()} == {4: 400, 5: 420, 6: 380}
    bad = [
        SimpleUploadedFile("7.wav", wav_of(rng, 400.0)),
        SimpleUploadedFile("8.wav", wav_of(rng, 400.0, 470.0)),
    ]
    told = ines.post(f"{at(arrived)}plucked/", {"key": key(), "first": "7", "sounds": bad})
    assert told.status_code == 422 and "spoke 8 (8.wav)" in told.content.decode()
    for wrong, said in (
        (SimpleUploadedFile("x.wav", b"RIFFnot a sound"), "x.wav"),
        (SimpleUploadedFile("hum.wav", wav_of(rng)), "hum.wav"),
    ):
        told = ines.post(f"{at(arrived)}plucked/", {"key": key(), "first": "7", "sounds": [wrong]})
        assert told.status_code == 422 and said in told.content.decode()
    assert Event.objects.filter(kind="spokes plucked").count() == 1
    page = ines.get(at(arrived)).content.decode()
    assert "data-listen hidden" in page and "microphone works only where this page is opened securely" in page


def test_what_was_measured_is_asked_with_what_is_known(arrived: Story, ines: Client) -> None:
    """A field that is empty is named; what was measured before stands in the fields the next time."""
    told = ines.post(f"{at(arrived)}measured/", {"key": key(), **measures(arrived), "erd_mm": ""})
    assert told.status_code == 422 and "effective diameter is empty" in told.content.decode()
    assert ines.post(f"{at(arrived)}measured/", {"key": key(), **measures(arrived)}).status_code == 303
    assert 'name="offset_right_mm" value="17.5"' in ines.get(at(arrived)).content.decode()


def test_a_meter_gets_its_table_and_is_tried_on_a_weight(arrived: Story, ines: Client) -> None:
    """A line that is no pair is named; then 80 kg say how far out it is."""
    tool = Tool.objects.create(table_id="spoke-tension-meter", name="spoke tension meter").pk
    sent = {"tool": tool, "spoke_kind": KIND}
    told = ines.post("/tools/meters/table/", {"key": key(), **sent, "points": "10 500\n15 8oo"})
    assert told.status_code == 422 and "15 8oo" in told.content.decode()
    told = ines.post("/tools/meters/table/", {"key": key(), **sent, "points": "10 500\n15 900\n20 700"})
    assert told.status_code == 422 and "turns back" in told.content.decode()
    assert not MeterTable.objects.exists()
    assert (
        ines.post(
            "/tools/meters/table/", {"key": key(), **sent, "points": "10 500\n15 785\n20 1100"}
        ).status_code
        == 303
    )
    assert (
        ines.post("/tools/meters/weight/", {"key": key(), **sent, "mass_kg": "80", "shown": "15"}).status_code
        == 303
    )
    assert "hung 785 N, reads 785 N" in ines.get("/tools/meters/").content.decode()


def test_the_sheet_on_paper_has_the_turns_in_order_and_every_spoke(stand: OnStand) -> None:
    """One pressing, twice the same bytes; ticks for each nipple, the mark, before and after, all 32 spokes."""
    seen = stand.sheet()
    pdf = print_wheel(stand.told.job, stand.part, NOW)
    paper = words(pdf)
    assert pdf == print_wheel(stand.told.job, stand.part, NOW)
    assert "Wheel sheet" in paper and "1350 N" in paper and "Glasses on" in paper
    order = [paper.index(f"{one.side}, {one.words}") for one in seen.turns[:1]]
    assert order and all(
        f"{one.read.side_mm:+.2f}".replace("-", "−") in paper or f"{one.read.side_mm:+.2f}" in paper
        for one in seen.spokes
        if one.read
    )
    assert len(PdfReader(BytesIO(pdf)).pages) <= 2


def test_a_wheel_is_built_from_the_bins(arrived: Story, ines: Client) -> None:
    """Lengths with their chance, the order of lacing drawn, and one tap puts it on the estimate."""
    wheel_parts(arrived)
    page = ines.get(f"{at(arrived)}build/").content.decode()
    assert "spoke 292 mm, 40 in the bins" in page and "Lacing order" not in page
    told = ines.get(f"{at(arrived)}build/", build_figures(arrived))
    page = told.content.decode()
    assert told.status_code == 200 and "16 spokes on the left" in page and "Lacing order" in page
    assert page.count('aria-labelledby="wr-') >= 4
    wrong = ines.get(f"{at(arrived)}build/", {**build_figures(arrived), "erd_mm": "6020"})
    assert wrong.status_code == 200 and "200 to 750 mm" in wrong.content.decode()
