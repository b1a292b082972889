"""Kits from the command line: out of files, and for bikes on record."""

import json
import re
from pathlib import Path

import pytest

from pinchbolt.records.models import Tool
from pinchbolt.reference import tables
from pinchbolt.workshop.bikes.change_build import AddRequest, add_part
from tests.cli.conftest import ROOT, Run
from tests.story import NOW, TODAY, Story

JOINTS = [
    {"id": "face", "name": "stem face, bar marked 5", "drive": ["hex-4"], "floor_n_m": 4, "cap_n_m": 5},
    {"id": "post", "name": "carbon post marked 5", "drive": ["hex-4", "tx-25"], "floor_n_m": 3, "cap_n_m": 5},
    {"id": "cage", "name": "bottle cage", "drive": ["hex-4", "tx-25"]},
]
TOOLS = [
    {"id": "four", "name": "4 mm key", "grams": 24, "price": "3.50", "drive": ["hex-4"]},
    {"id": "four-too", "name": "another 4 mm key", "grams": 24, "price": "3.50", "drive": ["hex-4"]},
    {"id": "t25", "name": "T25 key", "grams": 26, "price": "5.00", "drive": ["tx-25"]},
    {"id": "preset", "name": "preset key 5 N·m", "grams": 90, "price": "25.00", "steps_n_m": [5], "deviation_percent": 6},
    {"id": "click", "name": "click wrench", "grams": 480, "price": "95", "least_n_m": 2, "greatest_n_m": 14, "deviation_percent": 6},
]  # fmt: skip
CSV = {
    "joints.csv": "id,name,drive,floor_n_m,cap_n_m\n"
    + "".join(
        f'{row["id"]},"{row["name"]}",{";".join(row["drive"])},{row.get("floor_n_m", "")},{row.get("cap_n_m", "")}\n'
        for row in JOINTS
    ),
    "tools.csv": "id,name,grams,price,drive,steps_n_m,least_n_m,greatest_n_m,deviation_percent\n"
    "four,4 mm key,24,3.50,hex-4,,,,\nfour-too,another 4 mm key,24,3.50,hex-4,,,,\nt25,T25 key,26,5.00,tx-25,,,,\n"
    "preset,preset key 5 N·m,90,25.00,,5,,,6\nclick,click wrench,480,95,,,2,14,6\n",
}
TOML = {
    "joints.toml": "".join(
        f'[[joint]]\nid = "{row["id"]}"\nname = "{row["name"]}"\ndrive = {json.dumps(row["drive"])}\n'
        + "".join(f"{end} = {row[end]}\n" for end in ("floor_n_m", "cap_n_m") if end in row)
        for row in JOINTS
    ),
    "tools.toml": "".join(
        "[[tool]]\n" + "".join(f"{name} = {json.dumps(value)}\n" for name, value in row.items())
        for row in TOOLS
    ),
}


@pytest.fixture
def files(tmp_path: Path) -> Path:
    """The same joints and tools in each kind of file."""
    held = {"joints.json": json.dumps(JOINTS), "tools.json": json.dumps({"tools": TOOLS}), **CSV, **TOML}
    for name, text in held.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def kit(files: Path, run: Run, *more: str, kind: str = "json") -> dict:  # type: ignore[type-arg]
    """The answer for the files of one kind."""
    ran = run(
        "kit", "--joints", str(files / f"joints.{kind}"), "--tools", str(files / f"tools.{kind}"), *more, "--json"
    )  # fmt: skip
    assert ran.code == 0, ran.err
    return ran.json


def test_a_preset_of_five_does_not_keep_a_bar_marked_five(files: Path, run: Run) -> None:
    """Source: worked by hand, 5 / 0.94 = 5.32 > 5: only the click wrench keeps both, so the preset is left out."""
    told = kit(files, run, "--least", "count")
    assert [tool["id"] for tool in told["tools"]] == ["four", "click"]
    assert (told["count"], told["grams"], told["price"]) == (2, 504.0, "98.50")
    assert (told["torque_needed"], told["torque_kept"]) == (2, 2)


def test_the_answer_carries_the_proof_and_the_kits_that_are_as_good(files: Path, run: Run) -> None:
    """Two keys of 24 g are alike: the other is named, and nothing is under two tools."""
    told = kit(files, run)
    assert told["proven"] and told["at_least"] == pytest.approx(2.0, abs=1e-6)
    assert told["proof"].startswith("No set of these 5 tools does better than 2 tools")
    assert told["ties"] == ["another 4 mm key instead of 4 mm key"] and not told["more_ties"]


def test_leaving_a_tool_out_says_what_is_lost_and_what_takes_its_place(files: Path, run: Run) -> None:
    """The click wrench has no stand-in, the key has."""
    lost = kit(files, run, "--without", "click")["without"]
    assert lost["loses"] == [
        "keep the torque of stem face, bar marked 5",
        "keep the torque of carbon post marked 5",
    ]
    assert "No other tool at hand can keep the torque of stem face" in lost["instead"]
    assert kit(files, run, "--without", "four")["without"]["instead"] == (
        "Others can take its place: 2 tools, 504 g, a price of 98.50 in all."
    )


@pytest.mark.parametrize("kind", ["toml", "csv"])
@pytest.mark.parametrize("least", ["count", "mass", "price"])
def test_every_kind_of_file_gives_the_same_kit(files: Path, run: Run, kind: str, least: str) -> None:
    """JSON, TOML and CSV are three ways of writing the same rows."""
    assert kit(files, run, "--least", least, kind=kind) == kit(files, run, "--least", least)


def test_plain_lines_say_what_each_tool_is_for(files: Path, run: Run) -> None:
    """One line a tool, and the marking that wins."""
    out = run("kit", "--joints", str(files / "joints.json"), "--tools", str(files / "tools.json")).out
    assert "four: 4 mm key, 24 g, turns 3; nothing else in the kit can: turn stem face" in out
    assert "A torque tool for 2 of 2 joints that need one." in out
    assert "The marking on the part and its maker's instructions win." in out


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"drive": None}, "has no drive: name what turns it"),
        ({"floor_n_m": 6}, "floor_n_m and cap_n_m stand together, above 0, the floor not above the cap"),
        ({"cap_n_m": "lots"}, 'cap_n_m is "lots": a number of 0 or more'),
        ({"colour": "red"}, '"colour" is not known'),
        ({"id": " "}, "id is missing"),
        ({"joint": "no-such"}, 'joint is "no-such": it is a row of the joints table'),
    ],
)
def test_a_bad_row_refuses_the_whole_file_and_is_named(
    files: Path, run: Run, change: dict[str, object], said: str
) -> None:
    """Nothing is chosen from half a file; the row is said by its number."""
    (files / "joints.json").write_text(json.dumps([JOINTS[1], {**JOINTS[0], **change}]), encoding="utf-8")
    ran = run("kit", "--joints", str(files / "joints.json"), "--tools", str(files / "tools.json"))
    assert ran.code == 2 and "joints.json: joint 2: " in ran.err and said in ran.err
    assert "nothing was chosen" in ran.err


@pytest.mark.parametrize("held", ["{", "[]", "7", '{"joints": [1]}', '"' + "x" * 50, "[" * 5000])
def test_a_file_that_is_no_list_of_joints_is_refused(files: Path, run: Run, held: str) -> None:
    """A sentence, never a trace."""
    (files / "joints.json").write_text(held, encoding="utf-8")
    ran = run("kit", "--joints", str(files / "joints.json"), "--tools", str(files / "tools.json"))
    assert ran.code == 2 and "joints.json" in ran.err and "Correct the file" in ran.err


def test_a_missing_price_is_a_missing_fact(files: Path, run: Run) -> None:
    """Exit 3: the answer can't be told."""
    rows = [{name: value for name, value in row.items() if name != "price"} for row in TOOLS]
    (files / "tools.json").write_text(json.dumps(rows), encoding="utf-8")
    ran = run(
        "kit", "--joints", str(files / "joints.json"), "--tools", str(files / "tools.json"), "--least", "price"
    )  # fmt: skip
    assert ran.code == 3 and "No price is known for 4 mm key" in ran.err


def test_files_or_bikes_not_both_and_not_neither(files: Path, run: Run) -> None:
    """One of the two, and a word that is not allowed is named with those that are."""
    assert "give one of the two" in run("kit").err
    assert run("kit", "--joints", str(files / "joints.json")).code == 2
    ran = run(
        "kit", "--joints", str(files / "joints.json"), "--tools", str(files / "tools.json"), "--least", "beauty"
    )  # fmt: skip
    assert ran.code == 2 and 'least is "beauty": count, mass, price' in ran.err


def hang_hand_tools() -> None:
    """Every hand tool of the table hangs on the board."""
    for row in tables().tools.values():
        Tool.objects.create(table_id=row.id, name=row.name)


def test_a_travel_kit_of_a_bike_on_record_covers_pedals_post_stem_bars_and_axles(
    arrived: Story, run: Run
) -> None:
    """What is undone for the journey is turned, and what can throw the rider kept to its torque."""
    hang_hand_tools()
    told = run("kit", "--bike", arrived.tag, "--choose", "travel", "--least", "mass", "--json").json
    turned = {name for tool in told["tools"] for name in tool["turns"]}
    for joint in ("pedal", "stem face plate", "stem to steerer", "seat post collar", "thru axle"):
        assert any(joint in name for name in turned), joint
    assert told["proven"] and not told["missing"] and told["torque_kept"] == told["torque_needed"] > 0


def test_a_worn_tool_is_not_packed(arrived: Story, run: Run) -> None:
    """What went off the board is not in the bag."""
    hang_hand_tools()
    words = ("kit", "--bike", arrived.tag, "--choose", "roadside", "--json")
    assert "hex-5" in [tool["id"] for tool in run(*words).json["tools"]]
    Tool.objects.filter(table_id="hex-5").update(in_use=False)
    assert "hex-5" not in [tool["id"] for tool in run(*words).json["tools"]]


def only_with(arrived: Story, *parts: tuple[str, str, dict[str, object]]) -> None:
    """The bike has these parts and no others."""
    arrived.record.bike.fittings.update(end=TODAY)
    for kind, end, facts in parts:
        asked = AddRequest(arrived.tag, kind, end, facts)  # type: ignore[arg-type]
        add_part(asked, by=arrived.first, key=arrived.key(), now=NOW)


def test_what_is_done_by_hand_is_turned_and_kept_by_no_torque_tool(arrived: Story, run: Run) -> None:
    """A pad pin takes under 1 N·m: no torque tool is packed for it, though its failure can throw the rider."""
    words = ("kit", "--bike", arrived.tag, "--from", "table", "--torque", "every", "--json")
    only_with(arrived, ("pads", "front", {}))
    told = run(*words).json
    # A key of 3, of 2.5 and a driver: nobody has read which pin it is.
    assert told["torque_needed"] == 0 and told["count"] == 3 and told["by_hand"] == []
    only_with(arrived, ("wheel", "front", {"axle_hold": "quick-release", "bearing": "cartridge"}))
    by_hand = run(*words).json["by_hand"]
    assert len(by_hand) == 1 and "quick-release" in by_hand[0]


def test_joints_whose_torque_only_the_maker_knows_are_said(arrived: Story, run: Run) -> None:
    """A pivot without a marking is 'cannot tell', not covered and not hidden."""
    only_with(arrived, ("pivots", "", {}), ("stem", "", {"face_bolts": 4, "stem_kind": "two bolts"}))
    told = run("kit", "--bike", arrived.tag, "--from", "table", "--json").json
    assert len(told["cannot_tell"]) == 1 and "makers differ too much" in told["cannot_tell"][0]


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--choose", "picnic", 'choose is "picnic": all, roadside, travel. Choose one.'),
        ("--torque", "some", 'torque is "some": critical, every, none. Choose one.'),
        ("--from", "shed", 'tools is "shed": board, table. Choose one.'),
    ],
)
def test_a_word_that_is_not_one_of_those_allowed_is_refused(
    arrived: Story, run: Run, option: str, value: str, said: str
) -> None:
    """With those that are."""
    ran = run("kit", "--bike", arrived.tag, option, value)
    assert ran.code == 2 and ran.err == said


def test_the_worked_example_of_the_method_page_is_true(
    tmp_path: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its two files, its command, its answer: word for word."""
    page = (ROOT / "docs" / "methods" / "kits.md").read_text(encoding="utf-8")
    joints, tools = re.findall(r"```json\n(.*?)```", page, re.DOTALL)
    (tmp_path / "joints.json").write_text(joints, encoding="utf-8")
    (tmp_path / "tools.json").write_text(tools, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    command, _, answer = re.search(r"```\n\$ pinchbolt (.*?)```", page, re.DOTALL)[1].partition("\n")  # type: ignore[index]
    assert run(*command.split()).out == answer


def test_the_few_for_home_are_told_with_what_they_meet_and_about_what_they_cost(
    arrived: Story, run: Run
) -> None:
    """Five unless another number is said; what stays open is the workshop's."""
    ran = run("kit", "--bike", arrived.tag, "--home", "5")
    assert ran.code == 0 and ran.out.startswith("These 5 tools do ")
    assert re.search(r"About £\d+ to £\d+ in all\.", ran.out) and "open: " in ran.out
    told = run("kit", "--bike", arrived.tag, "--home", "3", "--json").json
    assert len(told["tools"]) == 3 and told["proven"]
