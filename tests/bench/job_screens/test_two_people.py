"""Two people on one bike at once: both write, nothing overwrites, and who comes second is told."""

from django.test import Client

from pinchbolt.records.models import Answer, DoneValue, Event, Finding, Line, ListCheck, Reading
from tests.bench.job_screens.acts import row_of, second_items, tool_of
from tests.bench.job_screens.conftest import asked_for, at_work, key, lines_of, started
from tests.story import STEM, Story


def test_both_readings_of_two_people_are_kept(arrived: Story, ines: Client, tobias: Client) -> None:
    """Ines reads 1.72, Tobias 1.70 on a page opened before: both stand, each under its name, the newest is shown."""
    row = row_of(arrived, "rotor-thickness-1.8", "front")
    address = f"/job/{arrived.job}/walk-round/reading/"
    assert ines.post(address, {"key": key(), "row": row, f"{row}-value": "1.72"}).status_code == 303
    assert tobias.post(address, {"key": key(), "row": row, f"{row}-value": "1.70"}).status_code == 303
    taken = Reading.objects.filter(event__corrected_by__isnull=True).order_by("pk")
    assert [(one.low, one.event.by.sign_in) for one in taken] == [(1.72, "ines"), (1.70, "tobias")]
    page = ines.get(f"/job/{arrived.job}/walk-round/front-brake/").content.decode()
    assert '<span class="reading-shown">1.7 mm</span>' in page


def test_a_reading_is_put_right_by_a_new_one_that_names_it(
    arrived: Story, ines: Client, tobias: Client
) -> None:
    """The wrong reading stays in the log; who would put it right a second time is told that it was."""
    row = row_of(arrived, "rotor-thickness-1.8", "front")
    address = f"/job/{arrived.job}/walk-round/reading/"
    ines.post(address, {"key": key(), "row": row, f"{row}-value": "1.27"})
    wrong = Reading.objects.get()
    right = {"row": row, f"{row}-value": "1.72", f"{row}-corrects": wrong.pk}
    assert tobias.post(address, {**right, "key": key()}).status_code == 303
    late = ines.post(address, {**right, "key": key(), f"{row}-value": "1.73"})
    assert late.status_code == 409
    assert "corrected already" in late.content.decode()
    assert 'value="1.73"' in late.content.decode()
    assert Reading.objects.count() == 2
    assert Reading.objects.get(event__corrected_by__isnull=True).event.corrects_id == wrong.pk
    assert Finding.objects.filter(event__corrected_by__isnull=True).count() == 1


def test_answers_to_two_lines_meet_on_one_estimate(arrived: Story, ines: Client, tobias: Client) -> None:
    """One takes the answer by phone, the other at the counter; a later answer corrects the earlier one and both are kept."""
    asked_for(arrived)
    lines = lines_of(arrived)
    address = f"/job/{arrived.job}/estimate/answers/"
    ines.post(address, {"key": key(), f"answer-{lines['chain']}": "agreed", "how": "by phone"})
    tobias.post(address, {"key": key(), f"answer-{lines['tyre-tube']}": "declined", "how": "at the counter"})
    ines.post(address, {"key": key(), f"answer-{lines['tyre-tube']}": "agreed", "how": "by phone"})
    assert Answer.objects.count() == 3
    standing = Answer.objects.filter(event__corrected_by__isnull=True)
    assert {(one.line.operation, one.agreed) for one in standing} == {("chain", True), ("tyre-tube", True)}


def test_a_line_that_was_changed_meanwhile_is_not_changed_blindly(
    arrived: Story, ines: Client, tobias: Client
) -> None:
    """Both change the chain's price from the same page: the second is told, and one line stands."""
    asked_for(arrived)
    entries = {"line": lines_of(arrived)["chain"], "name-0": "chain", "count-0": "1"}
    address = f"/job/{arrived.job}/estimate/parts/"
    assert ines.post(address, {**entries, "key": key(), "each-0": "40.00"}).status_code == 303
    late = tobias.post(address, {**entries, "key": key(), "each-0": "44.00"})
    assert late.status_code == 409
    assert "corrected already" in late.content.decode()
    standing = Line.objects.get(operation="chain", event__corrected_by__isnull=True)
    assert standing.parts[0]["each"] == "40.00"


def test_a_line_is_done_once(arrived: Story, ines: Client, tobias: Client) -> None:
    """Both tap done: one did it, the other is told."""
    started(arrived)
    entries = {"line": lines_of(arrived)["chain"]}
    address = at_work(arrived.job, "line/")
    assert ines.post(address, {**entries, "key": key()}).status_code == 303
    late = tobias.post(address, {**entries, "key": key()})
    assert late.status_code == 409
    assert "is done already" in late.content.decode()
    assert Event.objects.filter(kind="line done").count() == 1


def test_two_done_values_of_a_joint_are_both_in_the_log(arrived: Story, ines: Client, tobias: Client) -> None:
    """The second value corrects the first; neither is lost."""
    started(arrived)
    address, tool = at_work(arrived.job, f"torque/{STEM}/done/"), tool_of(arrived)
    ines.post(address, {"key": key(), "tool": tool, "done_n_m": "4.5"})
    tobias.post(address, {"key": key(), "tool": tool, "done_n_m": "4.6"})
    assert DoneValue.objects.count() == 2
    standing = DoneValue.objects.get(event__corrected_by__isnull=True)
    assert (standing.done_n_m, standing.event.by.sign_in) == (4.6, "tobias")


def test_a_stand_holds_one_bike(arrived: Story, ines: Client, tobias: Client) -> None:
    """The second bike is told which bike is there."""
    from tests import story

    other = story.checked_in("road-disc")
    assert ines.post(at_work(arrived.job, "stand/"), {"key": key(), "stand": "2"}).status_code == 303
    late = tobias.post(at_work(other.job, "stand/"), {"key": key(), "stand": "2"})
    assert late.status_code == 409
    assert f"{arrived.tag} is on stand 2" in late.content.decode()


def test_both_tick_the_list_and_both_looks_are_kept(arrived: Story, ines: Client, tobias: Client) -> None:
    """Two people tick the same item from two tablets: the list holds it once, the log twice."""
    started(arrived)
    item = second_items(arrived)[0]
    for tablet in (ines, tobias):
        answer = tablet.post(f"/job/{arrived.job}/sign-off/looked/", {"key": key(), "item": [item]})
        assert answer.status_code == 303
    assert ListCheck.objects.filter(item=item).count() == 2
    assert ListCheck.objects.filter(item=item, event__corrected_by__isnull=True).count() == 1


def test_one_mark_is_not_two_acts(arrived: Story, ines: Client) -> None:
    """A mark that was used for one reading is refused for another, and nothing is written."""
    row = row_of(arrived, "rotor-thickness-1.8", "front")
    address, mark = f"/job/{arrived.job}/walk-round/reading/", key()
    assert ines.post(address, {"key": mark, "row": row, f"{row}-value": "1.72"}).status_code == 303
    other = ines.post(address, {"key": mark, "row": row, f"{row}-value": "1.60"})
    assert other.status_code == 422
    assert "used before for something else" in other.content.decode()
    assert Reading.objects.count() == 1
