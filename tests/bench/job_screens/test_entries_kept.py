"""A wrong value comes back with its sentence and with every entry that was made."""

from django.http import HttpResponse
from django.test import Client
from django.utils import timezone

from pinchbolt.records.models import DoneValue, Event, Reading
from pinchbolt.workshop.leaving.sign_off import sign_off_list
from tests.bench.job_screens.acts import row_of, second_items, tool_of
from tests.bench.job_screens.conftest import (
    asked_for,
    at_work,
    key,
    lines_of,
    ready,
    started,
    with_brake_work,
)
from tests.story import STEM, Story


def refused(answer: HttpResponse, status: int = 422) -> str:
    """The page of a refusal: nothing was written, and it says so."""
    text = answer.content.decode()
    assert answer.status_code == status, text
    assert "data-refused" in text
    return text


def test_a_slip_of_the_point_is_asked_back_with_the_figure_kept(arrived: Story, ines: Client) -> None:
    """75 for 0.75: the page asks whether 0.75 was meant, and the figure, instrument and distance are still there."""
    row = row_of(arrived, "chain-elongation-11")
    entries = {
        "key": key(),
        "row": row,
        f"{row}-value": "75",
        f"{row}-distance_km": "2 100",
        f"{row}-distance_known": "odometer",
    }
    text = refused(ines.post(f"/job/{arrived.job}/walk-round/reading/", entries))
    assert "Was 0.75 meant?" in text
    assert f'name="{row}-value" value="75"' in text
    assert 'value="2 100"' in text
    assert '<option value="odometer" selected>odometer</option>' in text
    assert not Reading.objects.exists()


def test_inches_are_asked_about_and_one_tap_saves_the_millimetres(arrived: Story, ines: Client) -> None:
    """0.07 on a rotor: the page asks whether inches were meant and offers 1.778 mm; that button alone saves it."""
    row, address = row_of(arrived, "rotor-thickness-1.8", "front"), f"/job/{arrived.job}/walk-round/reading/"
    text = refused(ines.post(address, {"key": key(), "row": row, f"{row}-value": "0.07"}))
    assert "0.07 in? Did you mean 1.778 mm?" in text
    assert f'name="{row}-meant" value="1.778"' in text
    assert "data-others" in text
    assert not Reading.objects.exists()
    again = ines.post(address, {"key": key(), "row": row, f"{row}-value": "0.07", f"{row}-meant": "1.778"})
    assert again.status_code == 303
    assert Reading.objects.get().low == 1.778


def test_a_value_is_taken_with_its_unit_on_the_screen(arrived: Story, ines: Client) -> None:
    """A keyboard types 0.07 in: it is taken as it is said."""
    row = row_of(arrived, "rotor-thickness-1.8", "front")
    said = {"key": key(), "row": row, f"{row}-value": "0.07 in"}
    assert ines.post(f"/job/{arrived.job}/walk-round/reading/", said).status_code == 303
    assert Reading.objects.get().low == 1.778


def test_a_figure_that_is_none_is_said_at_its_field(arrived: Story, ines: Client) -> None:
    """Letters in a figure: the sentence names the field, and the other reading forms stay untouched."""
    row = row_of(arrived, "rotor-thickness-1.8", "front")
    text = refused(
        ines.post(
            f"/job/{arrived.job}/walk-round/reading/", {"key": key(), "row": row, f"{row}-value": "thin"}
        )
    )
    assert "is &quot;thin&quot;: a number in mm is needed" in text
    assert text.count("data-refused") == 1


def test_a_day_ahead_and_a_distance_that_goes_back_are_asked_back(arrived: Story, ines: Client) -> None:
    """Day and distance are kept beside their sentences; a reading's distance never goes back."""
    row = row_of(arrived, "chain-elongation-11")
    address = f"/job/{arrived.job}/walk-round/reading/"
    first = {"key": key(), "row": row, f"{row}-choice": "0", f"{row}-distance_km": "2100"}
    assert ines.post(address, first).status_code == 303
    text = refused(ines.post(address, {**first, "key": key(), f"{row}-distance_km": "900"}))
    assert "Correct it, or fit a new part" in text
    assert 'value="900"' in text
    text = refused(
        ines.post(address, {"key": key(), "row": row, f"{row}-choice": "0", f"{row}-day": "2199-01-01"})
    )
    assert "can&#x27;t be after today" in text
    assert 'value="2199-01-01"' in text


def test_a_choice_that_is_no_button_is_refused(arrived: Story, ines: Client) -> None:
    """A made-up answer writes nothing; a row of another bike is not there."""
    row = row_of(arrived, "headset-play")
    text = refused(
        ines.post(f"/job/{arrived.job}/walk-round/reading/", {"key": key(), "row": row, f"{row}-choice": "7"})
    )
    assert "Tap one of the buttons" in text
    answer = ines.post(f"/job/{arrived.job}/walk-round/reading/", {"key": key(), "row": "r99.headset-play"})
    assert answer.status_code == 404


def test_what_the_eye_found_is_kept_while_its_verdict_is_missing(arrived: Story, ines: Client) -> None:
    """The words stay when no verdict was chosen."""
    entries = {"key": key(), "words": "Bar tape torn at the drop.", "verdict": ""}
    text = refused(ines.post(f"/job/{arrived.job}/walk-round/headset/found/", entries))
    assert "Bar tape torn at the drop.</textarea>" in text
    assert "Choose one." in text


def test_a_line_twice_is_refused_where_it_was_asked_for(arrived: Story, ines: Client) -> None:
    """The same work for the same reason stands on the estimate once."""
    asked_for(arrived)
    text = refused(
        ines.post(f"/job/{arrived.job}/findings/line/", {"key": key(), "operation": "chain", "finding": ""}),
        409,
    )
    assert "is on the estimate already" in text
    assert '<option value="chain" selected>' in text


def test_parts_that_can_not_be_priced_keep_all_that_was_typed(arrived: Story, ines: Client) -> None:
    """Name, price and count of every row stay when one price can't be read."""
    asked_for(arrived)
    line = lines_of(arrived)["chain"]
    entries = {
        "key": key(), "line": line, "name-0": "chain, nickel", "each-0": "forty", "count-0": "2",
        "name-1": "joining link", "each-1": "4.50", "count-1": "1",
    }  # fmt: skip
    text = refused(ines.post(f"/job/{arrived.job}/estimate/parts/", entries))
    assert "costs &quot;forty&quot;" in text
    for kept in ("chain, nickel", "forty", "joining link", "4.50"):
        assert f'value="{kept}"' in text


def test_answers_stay_marked_when_the_way_of_answering_is_wrong(arrived: Story, ines: Client) -> None:
    """The lines' answers and the owner's words are still there."""
    asked_for(arrived)
    line = lines_of(arrived)["chain"]
    entries = {"key": key(), f"answer-{line}": "declined", "how": "by pigeon", "words": "not this month"}
    text = refused(ines.post(f"/job/{arrived.job}/estimate/answers/", entries))
    assert f'name="answer-{line}" value="declined" checked' in text
    assert "not this month" in text


def test_how_the_bike_is_left_is_kept_while_nobody_says_what_it_waits_for(
    arrived: Story, ines: Client
) -> None:
    """The half-open state is the last thing that may be lost."""
    started(arrived)
    words = "caliper off, two bolts in tray 4"
    text = refused(
        ines.post(at_work(arrived.job, "aside/"), {"key": key(), "waits_for": "rain", "words": words})
    )
    assert words in text


def test_a_stand_that_is_not_there_is_refused(arrived: Story, ines: Client) -> None:
    """There are three stands."""
    text = refused(ines.post(at_work(arrived.job, "stand/"), {"key": key(), "stand": "9"}))
    assert "There is no stand 9: 1 to 3" in text


def test_a_value_out_of_its_window_is_asked_back_and_then_kept_as_it_was(
    arrived: Story, ines: Client
) -> None:
    """5.8 N·m on a bar marked 5: the page asks; said once more, the value is written as out of its window."""
    started(arrived)
    address = at_work(arrived.job, f"torque/{STEM}/done/")
    entries = {"key": key(), "tool": tool_of(arrived), "done_n_m": "5.8"}
    text = refused(ines.post(address, entries))
    assert "Then save it again" in text
    assert 'name="sure" value="1"' in text
    assert text.count('value="5.8"') == 2  # in the question and still on the keypad
    assert not DoneValue.objects.exists()
    assert ines.post(address, {**entries, "key": key(), "sure": "1"}).status_code == 303
    kept = DoneValue.objects.get()
    assert (kept.done_n_m, kept.inside) == (5.8, False)
    assert "outside its range" in ines.get(at_work(arrived.job)).content.decode()


def test_an_empty_done_value_is_no_question_of_the_window(arrived: Story, ines: Client) -> None:
    """Nothing typed: the sentence says what is missing, and there is nothing to be sure of."""
    started(arrived)
    text = refused(
        ines.post(
            at_work(arrived.job, f"torque/{STEM}/done/"),
            {"key": key(), "tool": tool_of(arrived), "done_n_m": ""},
        )
    )
    assert "Type what the tool showed" in text
    assert 'name="sure"' not in text


def test_a_marking_out_of_sense_keeps_part_and_figures(arrived: Story, ines: Client) -> None:
    """500 N·m on a stem is asked back with the part still chosen."""
    started(arrived)
    entries = {"key": key(), "part": "handlebar", "greatest_n_m": "500", "least_n_m": "4"}
    text = refused(ines.post(at_work(arrived.job, f"torque/{STEM}/marking/"), entries))
    assert "Was 50 meant?" in text
    assert 'name="part" value="handlebar" checked' in text
    assert 'value="500"' in text
    assert 'name="least_n_m"' in text
    assert 'value="4"' in text


def test_the_second_look_is_not_the_same_eyes(arrived: Story, ines: Client, tobias: Client) -> None:
    """Ines looked first: her second look is refused, Tobias's is written, and hers after a break would be."""
    with_brake_work(arrived)
    address = f"/job/{arrived.job}/sign-off/looked/"
    item = second_items(arrived)[0]
    text = refused(ines.post(address, {"key": key(), "second": "1", "item": [item]}), 409)
    assert "somebody else must look" in text
    assert tobias.post(address, {"key": key(), "second": "1", "item": [item]}).status_code == 303
    other = second_items(arrived)[1]
    alone = {"key": key(), "second": "1", "after_break": "1", "item": [other]}
    assert ines.post(address, alone).status_code == 303
    seen = {one.id: one for one in sign_off_list(arrived.record, timezone.now()).items}
    assert seen[item].second_by == "Tobias Quill"
    assert seen[other].second_by == "Ines Holloway"


def test_ticks_stay_when_the_list_is_refused(arrived: Story, ines: Client) -> None:
    """A remark that is too long costs no tick."""
    started(arrived)
    items = second_items(arrived)[:2]
    entries = {"key": key(), "item": items, "not_met": "1", "words": "x" * 300}
    text = refused(ines.post(f"/job/{arrived.job}/sign-off/looked/", entries))
    for item in items:
        assert f'value="{item}" checked' in text
    assert "x" * 300 in text


def test_signing_off_says_what_stands_open(arrived: Story, ines: Client) -> None:
    """The refusal names the first thing and the page lists the rest."""
    started(arrived)
    text = refused(ines.post(f"/job/{arrived.job}/sign-off/sign/", {"key": key()}), 409)
    assert "cannot be signed off" in text
    assert "And 22 more." in text and "still to do" in text


def test_opening_again_asks_why(arrived: Story, ines: Client) -> None:
    """No reason, no opening."""
    ready(arrived)
    text = refused(ines.post(f"/job/{arrived.job}/sign-off/open-again/", {"key": key(), "words": " "}))
    assert "Fill in why the job is opened again" in text


def test_an_unsafe_bike_leaves_carried_and_acknowledged_or_not_at_all(arrived: Story, ines: Client) -> None:
    """Not as ready; as unsafe only once the warning was read out; who takes it stays written in the meantime."""
    started(arrived, "tyre-tube")
    address = f"/job/{arrived.job}/handover/leave/"
    entries = {"key": key(), "taken_by": "Dov Ellenby"}
    text = refused(ines.post(address, entries), 409)
    assert "cannot leave as ready" in text
    assert "Cut through the casing." in text
    text = refused(ines.post(address, {**entries, "key": key(), "as_unsafe": "1"}))
    assert "tick the box" in text
    assert 'value="Dov Ellenby"' in text
    assert (
        ines.post(address, {**entries, "key": key(), "as_unsafe": "1", "acknowledged": "1"}).status_code
        == 303
    )
    left = ines.get(f"/job/{arrived.job}/handover/").content.decode()
    assert "as unsafe to ride" in left
    assert "NOT SAFE TO RIDE" in left
    assert Event.objects.get(kind="handed over").said["as_unsafe"] is True
