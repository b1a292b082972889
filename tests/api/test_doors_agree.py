"""One refusal, the same sentence through every door."""

import json
from typing import Any

import pytest

from pinchbolt.cli import main
from pinchbolt.errors import PinchboltError
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.common.fit_answers import fit_rule
from pinchbolt.workshop.questions.ask_setting import SettingRequest, tool_setting
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
from tests.api.conftest import Send
from tests.story import NOW, TODAY, Story


def refusal_of(call: Any) -> PinchboltError:
    """What a use case refuses with, as a screen gets it."""
    with pytest.raises(PinchboltError) as caught:
        call()
    return caught.value


def check_same(refusal: PinchboltError, answer: tuple[int, Any], typed: list[str], capsys: Any) -> None:
    """The screen's sentence, the JSON envelope and the command line's stderr say the same."""
    assert answer == (refusal.status, refusal.envelope())
    capsys.readouterr()
    code = main(typed)
    assert capsys.readouterr().err.strip() == refusal.sentence and code == refusal.exit_code


def rotor(story: Story) -> int:
    """The front rotor of the story's bike."""
    from pinchbolt.records.models import Part

    return Part.objects.filter(kind="rotor", place="front", fittings__bike__tag=story.tag).get().pk


def test_a_slip_of_the_point_is_asked_about_in_the_same_words(
    arrived: Story, send: Send, capsys: Any
) -> None:
    """A rotor of 18 mm: was 1.8 meant?"""
    part, row = rotor(arrived), "rotor-thickness-1.8"
    refusal = refusal_of(
        lambda: take_reading(
            ReadingRequest(arrived.job, part, row, value=18.0), by=arrived.first, key="slip-0001", now=NOW
        )
    )
    assert "18 mm" in refusal.sentence and "Was 1.8 meant?" in refusal.sentence
    answer = send(
        "POST", f"/job/{arrived.job}/reading", {"part": part, "limit": row, "value": 18.0}, "slip-0002"
    )
    check_same(
        refusal,
        answer,
        ["reading", str(arrived.job), str(part), row, "--value", "18", "--as", "ines"],
        capsys,
    )


def test_a_job_that_is_not_there(arrived: Story, send: Send, capsys: Any) -> None:
    """404, exit 2."""
    refusal = refusal_of(lambda: job_by_id(99))
    check_same(refusal, send("GET", "/job/99/findings"), ["findings", "99"], capsys)


def test_a_window_too_narrow_for_the_tool(arrived: Story, send: Send, capsys: Any) -> None:
    """409, exit 3: sound input, no safe answer."""
    refusal = refusal_of(lambda: tool_setting(SettingRequest(4, 4.1, 2, 14, 6), TODAY))
    body = {"floor": 4, "cap": 4.1, "tool_least": 2, "tool_greatest": 14, "deviation_percent": 6}
    answer = send("POST", "/torque/setting", body)
    assert refusal.exit_code == 3
    typed = ["torque", "set", "--floor", "4", "--cap", "4.1", "--tool", "2", "14", "--deviation", "6"]
    check_same(refusal, answer, typed, capsys)


def test_a_rule_that_is_not_in_the_table(arrived: Story, send: Send, capsys: Any) -> None:
    """404, exit 2."""
    refusal = refusal_of(lambda: fit_rule("no-such-rule", {}))
    answer = send("POST", "/fit/rule", {"rule": "no-such-rule"})
    check_same(refusal, answer, ["fit", "rule", "no-such-rule"], capsys)


def test_with_json_the_command_line_prints_the_envelope_of_the_json_door(
    arrived: Story, send: Send, capsys: Any
) -> None:
    """Letter for letter."""
    import json

    answer = send("GET", "/job/99/findings")
    capsys.readouterr()
    assert main(["findings", "99", "--json"]) == 2
    assert json.loads(capsys.readouterr().out) == answer[1]


def test_one_part_by_hand_and_ways_of_changing_answer_as_the_command_does(
    arrived: Story, send: Send, capsys: Any
) -> None:
    """The same figures through both doors, and the same refusal."""
    body = {"speeds": 11, "km": 2100.0, "low": 0.5, "high": 0.75, "instrument": "two-point"}
    status, told = send("POST", "/wear/part", body)
    assert status == 200
    capsys.readouterr()
    typed = "wear part --speeds 11 --km 2100 --low 0.5 --high 0.75 --instrument two-point --json".split()
    assert main(typed) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["forecast"]["to_limit"] == told["forecast"]["to_limit"]
    status, told = send("POST", "/wear/change-point", {"chain": "45", "cassette": "225"})
    assert status == 200
    capsys.readouterr()
    assert main("wear change-point --chain 45 --cassette 225 --json".split()) == 0
    assert json.loads(capsys.readouterr().out)["table"] == told["table"]
    for use in ("/wear/part", "/wear/change-point"):
        bad = (
            {"use": "on the moon", "chain": "45", "cassette": "225"}
            if "change" in use
            else {"use": "on the moon", "speeds": 11}
        )
        status, told = send("POST", use, bad)
        assert status == 422 and "on the moon" in told["error"], told


def test_learning_needs_readings_through_any_door(arrived: Story, send: Send) -> None:
    """Nothing was read yet: a sentence, and no version."""
    status, told = send("POST", "/learn", None, "learn-0001")
    assert status == 409 and "there is nothing to learn from" in told["error"]
    assert arrived.job


def test_a_kit_for_a_bike_that_is_not_there(arrived: Story, send: Send, capsys: Any) -> None:
    """404, exit 2, whichever door."""
    from pinchbolt.workshop.torque.choose_kit import KitRequest, kit_for_bikes

    refusal = refusal_of(lambda: kit_for_bikes(KitRequest(("XX-9",)), TODAY))
    answer = send("POST", "/kit", {"bikes": ["XX-9"]})
    check_same(refusal, answer, ["kit", "--bike", "XX-9"], capsys)


def test_a_key_of_another_size(arrived: Story, send: Send, capsys: Any) -> None:
    """Asked about in the same words: 5 mm where 4 was measured."""
    from pinchbolt.records.models import Tool
    from pinchbolt.workshop.tools.check_tool import MeasuredRequest, measure_tool

    tool = Tool.objects.create(table_id="hex-5", name="5 mm key").pk
    asked = MeasuredRequest(tool, 3.98)
    refusal = refusal_of(lambda: measure_tool(asked, by=arrived.first, key="size-0001", now=NOW))
    answer = send("POST", f"/tool/{tool}/size", {"measured_mm": 3.98}, "size-0002")
    typed = ["tools", "measure", f"t{tool}", "--size", "3.98", "--as", "ines"]
    check_same(refusal, answer, typed, capsys)


def test_a_kit_and_a_round_are_the_use_cases_own(arrived: Story, send: Send) -> None:
    """Letter for letter, as every answer."""
    from pinchbolt.workshop.common.plain_json import as_json
    from pinchbolt.workshop.torque.bolt_round import bolt_round
    from pinchbolt.workshop.torque.choose_kit import KitRequest, kit_for_bikes

    asked = KitRequest((arrived.tag,), choose="travel", tools="table")
    body = {"bikes": [arrived.tag], "choose": "travel", "tools": "table"}
    status, told = send("POST", "/kit", body)
    mine = as_json(kit_for_bikes(asked, TODAY))
    assert status == 200 and told == mine
    status, told = send("GET", f"/bike/{arrived.tag}/round?which=monthly")
    assert status == 200 and told == as_json(bolt_round(arrived.tag, "monthly", NOW))


def test_build_sheet_kinds_and_safety_list_are_the_same_through_both_doors(
    arrived: Story, send: Send, capsys: Any
) -> None:
    """Letter for letter."""
    for path, typed in (
        (f"/bike/{arrived.tag}/build", ["build", arrived.tag]),
        ("/kinds", ["kinds"]),
        ("/kinds?kind=hub%20gear", ["kinds", "hub gear"]),
        (f"/job/{arrived.job}/safety-list", ["safety-list", str(arrived.job)]),
    ):
        status, told = send("GET", path)
        capsys.readouterr()
        assert main([*typed, "--json"]) == 0 and status == 200
        assert json.loads(capsys.readouterr().out) == told, path


def test_a_build_sheet_is_changed_through_the_json_door(arrived: Story, send: Send) -> None:
    """Added, described, marked, replaced, confirmed, taken off: what the screens do, by JSON."""
    marks = iter(f"build-mark-{n:04d}" for n in range(99))

    def post(path: str, body: dict[str, Any]) -> Any:
        status, told = send("POST", path, body, next(marks))
        assert status == 200, told
        return told

    def part(number: int) -> Any:
        corners = send("GET", f"/bike/{arrived.tag}/build")[1]["corners"]
        return next((one for corner in corners for one in corner["parts"] if one["id"] == number), None)

    def known(number: int) -> dict[str, Any]:
        return {one["fact"]: (one["value"], one["source"]) for one in part(number)["facts"] if one["source"]}

    rack = post(f"/bike/{arrived.tag}/part", {"kind": "carrier", "end": "rear", "facts": {"load_kg": 25}})[
        "part"
    ]
    assert known(rack)["load_kg"] == (25, "read off the part")
    post(f"/part/{rack}/describe", {"facts": {"load_kg": 20}, "source": "maker's sheet"})
    assert known(rack)["load_kg"] == (20, "maker's sheet")
    post(f"/part/{rack}/describe", {"facts": {"load_kg": None}})
    assert "load_kg" not in known(rack)
    disc = rotor(arrived)
    marked = post(f"/part/{disc}/limit", {"limit": "rotor-thickness-1.8", "value": 1.6})
    assert (marked["value"], marked["table"]) == (1.6, 1.5) and part(disc)["markings"]
    new = post(f"/part/{disc}/replace", {"facts": {"rotor": 180}, "gone_to": "owner"})["part"]
    assert part(disc) is None and known(new)["rotor"][0] == 180 and part(new)["markings"] == []
    assert post(f"/bike/{arrived.tag}/confirm", {"corner": "front-brake"})["corners"] == ["front-brake"]
    assert post(f"/part/{rack}/take-off", {"gone_to": "bins", "price": "12.00"}) == {"part": rack}
    assert part(rack) is None


@pytest.mark.parametrize(
    ("path", "body", "typed"),
    [
        ("/bike/PB-001/part", {"kind": "flux"}, ["add", "PB-001", "flux"]),
        (
            "/bike/PB-001/part",
            {"kind": "rotor", "end": "middle"},
            ["add", "PB-001", "rotor", "--end", "middle"],
        ),
        ("/bike/PB-001/part", {"kind": "chain"}, ["add", "PB-001", "chain"]),
        (
            "/bike/PB-001/part",
            {"kind": "bell", "facts": {"colour": "red"}},
            ["add", "PB-001", "bell", "--fact", "colour=red"],
        ),
        ("/part/99999/replace", {}, ["replace", "99999"]),
        ("/part/99999/take-off", {"gone_to": "bins"}, ["take-off", "99999", "bins"]),
        ("/part/1/take-off", {"gone_to": "moon"}, ["take-off", "1", "moon"]),
        ("/part/1/describe", {"facts": {}}, ["describe", "1"]),
        ("/bike/PB-001/confirm", {"corner": "boot"}, ["confirm", "PB-001", "boot"]),
        ("/part/1/limit", {"limit": "no-such", "value": 1.0}, ["mark-limit", "1", "no-such", "1"]),
    ],
)
def test_a_build_sheet_is_refused_in_the_same_words(
    arrived: Story, send: Send, capsys: Any, path: str, body: dict[str, Any], typed: list[str]
) -> None:
    """The envelope of the one door, the sentence of the other."""
    status, told = send("POST", path, body, "refused-0001")
    capsys.readouterr()
    code = main([*typed, "--as", "ines", "--json"])
    said = capsys.readouterr()
    assert status in (404, 409, 422) and code == 2
    assert json.loads(said.out) == told and said.err.strip() == told["error"]
