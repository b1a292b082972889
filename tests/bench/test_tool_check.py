"""Checking a tool or an instrument on the tablet."""

from collections.abc import Callable

import pytest
from django.test import Client

from pinchbolt.records.models import Event, Instrument, InstrumentCheck, Person, Tool, ToolCheck
from pinchbolt.reference import tables
from tests.bench.conftest import Cast

pytestmark = pytest.mark.django_db
Counted = Callable[[str], int]


@pytest.fixture
def key(cast: Cast) -> Tool:
    """A 5 mm key on the board."""
    return Tool.objects.create(table_id="hex-5", name=tables().tools["hex-5"].name, hangs="row 1")


def wrench() -> Tool:
    """A click wrench of the story's board."""
    return Tool.objects.get(name__startswith="small click wrench")


def gauge() -> Instrument:
    """The go/no-go chain gauge."""
    return Instrument.objects.get(table_id="chain-gauge-go-nogo")


def acts(of: str) -> tuple[str, dict[str, str]]:
    """Address and entries of each way to check."""
    key = Tool.objects.get(table_id="hex-5").pk
    return {
        "size": (f"/tools/{key}/size/", {"measured_mm": "4.98", "measured_with": "micrometer"}),
        "weight": (f"/tools/{wrench().pk}/weight/", {"mass_kg": "2,5", "arm_mm": "200", "clicked_n_m": "5"}),
        "calibration": (
            f"/tools/{wrench().pk}/calibration/",
            {"true_0": "2.8", "true_1": "8.3", "true_2": "14.1"},
        ),
        "look": (f"/tools/{key}/look/", {"state": "good", "words": ""}),
        "gauge": (f"/tools/gauge/{gauge().pk}/tried/", {"tried_on": "a new chain", "side": "0.5 stays out"}),
    }[of]


WAYS = pytest.mark.parametrize("way", ["size", "weight", "calibration", "look", "gauge"])


@WAYS
def test_a_check_is_written_once_however_often_it_is_sent(key: Tool, tablet: Client, way: str) -> None:
    """A double tap with the same mark is one check; the page then says what was found."""
    address, data = acts(way)
    before = Event.objects.count()
    for _ in range(2):
        answer = tablet.post(address, {**data, "key": "check-mark-01"})
        assert answer.status_code == 303, answer.content.decode()
    assert Event.objects.count() == before + 1
    assert "Last check:" in tablet.get(answer["Location"]).content.decode()


@WAYS
def test_the_counter_and_strangers_check_nothing(
    key: Tool, cast: Cast, signed_in: Callable[[Person], Client], way: str
) -> None:
    """Tools are a mechanic's; a signed-out tablet is led to the sign-in."""
    address, data = acts(way)
    before = Event.objects.count()
    refused = signed_in(cast.counter).post(address, {**data, "key": "check-mark-02"})
    assert refused.status_code == 403 and "a mechanic" in refused.content.decode()
    away = Client().post(address, {**data, "key": "check-mark-03"})
    assert away.status_code == 302 and away["Location"].startswith("/sign-in/")
    assert Event.objects.count() == before


@WAYS
def test_a_check_is_not_made_by_looking(key: Tool, tablet: Client, way: str) -> None:
    """An act's address takes no GET; and a check without a mark is refused."""
    address, data = acts(way)
    assert tablet.get(address).status_code == 302
    assert tablet.post(address, data).status_code == 422


def test_a_worn_key_goes_off_the_board_and_out_of_the_list(key: Tool, tablet: Client) -> None:
    """Source: ISO 2936, 5 mm key 4.95 to 5.00; off the board at 4.92 (common practice, no source)."""
    page = tablet.get(f"/tools/{key.pk}/").content.decode()
    assert "4.95 to 5</span> mm; off the board at" in page
    data = {"measured_mm": "4.90", "measured_with": "micrometer", "key": "worn-key-0001"}
    tablet.post(f"/tools/{key.pk}/size/", data)
    assert "Off the board:" in tablet.get(f"/tools/{key.pk}/").content.decode()
    assert "off the board: 5 mm hex key measures 4.90" in tablet.get("/tools/").content.decode()


def test_a_slip_comes_back_with_what_was_typed(key: Tool, tablet: Client) -> None:
    """49.8 for 4.98: nothing is written, the figure stays in its field."""
    before = ToolCheck.objects.count()
    data = {"measured_mm": "49.8", "measured_with": "caliper", "key": "slip-key-00001"}
    answer = tablet.post(f"/tools/{key.pk}/size/", data)
    page = answer.content.decode()
    assert answer.status_code == 422 and 'value="49.8"' in page and "Is this another size?" in page
    assert 'value="caliper" checked' in page
    assert ToolCheck.objects.count() == before


@pytest.mark.parametrize(
    ("way", "change", "said"),
    [
        ("size", {"measured_mm": ""}, "The size is empty"),
        ("weight", {"arm_mm": ""}, "The arm is empty"),
        ("weight", {"clicked_n_m": "55"}, "Measure again"),
        ("calibration", {"true_0": "", "true_1": "", "true_2": ""}, "give one of the two"),
        ("calibration", {"due": "tomorrow"}, "The next calibration is no day"),
        ("look", {"state": "worn"}, "Fill in what is wrong with it"),
        ("gauge", {"side": ""}, "A check shows one value, or one interval"),
        ("gauge", {"side": "sideways"}, "choose one"),
        ("gauge", {"tried_on": "a known length"}, "A known length has its mm and its pitches"),
        ("gauge", {"tried_on": "a known size"}, "The true size is empty"),
    ],
)
def test_a_check_that_says_nothing_is_refused_at_its_field(
    key: Tool, tablet: Client, way: str, change: dict[str, str], said: str
) -> None:
    """In a sentence, and nothing is written."""
    address, data = acts(way)
    before = ToolCheck.objects.count()
    answer = tablet.post(address, {**data, **change, "key": "says-nothing-1"})
    assert answer.status_code == 422 and said in answer.content.decode()
    assert ToolCheck.objects.count() == before and not InstrumentCheck.objects.exists()


def test_a_gauge_is_tried_on_a_known_length(key: Tool, tablet: Client) -> None:
    """Source: worked by hand, 255.27 mm over 20 pitches is 0.5 %: between its sides is as its kind shows it."""
    data = {
        "tried_on": "a known length", "length_mm": "255.27", "pitches": "20", "side": "0.5 drops in, 0.75 stays out",
        "key": "known-length-1",
    }  # fmt: skip
    assert tablet.post(f"/tools/gauge/{gauge().pk}/tried/", data).status_code == 303
    check = InstrumentCheck.objects.get()
    assert check.good and check.against == "255.27 mm over 20 pitches"


def test_a_gauge_that_is_out_names_what_it_read(key: Tool, tablet: Client, cast: Cast) -> None:
    """The readings since its last good check are listed on its page."""
    from tests.story import walked_round

    walked_round(cast.story)
    data = {"tried_on": "a new chain", "side": "0.75 drops in", "key": "gauge-out-0001"}
    tablet.post(f"/tools/gauge/{gauge().pk}/tried/", data)
    page = tablet.get(f"/tools/gauge/{gauge().pk}/").content.decode()
    assert "Off the board:" in page and "In doubt since the last good check" in page and cast.tag in page


def test_what_does_not_hang_here_is_not_found(cast: Cast, tablet: Client) -> None:
    """Plain sentences."""
    assert "There is no tool 999" in tablet.get("/tools/999/").content.decode()
    assert "There is no gauge 999" in tablet.get("/tools/gauge/999/").content.decode()
    assert tablet.get(f"/tools/{10**25}/").status_code == 404


def test_the_board_says_what_is_to_be_checked_and_leads_there(cast: Cast, tablet: Client) -> None:
    """No calibration on record comes first, one tap away from its page."""
    never = Tool.objects.create(table_id=wrench().table_id, name="wrench from the drawer")
    page = tablet.get("/tools/").content.decode()
    due = page[page.index('id="due"') : page.index('id="torque"')]
    assert f'href="/tools/{never.pk}/"' in due and "no calibration on record" in due
    assert 'href="/kit/"' in page
