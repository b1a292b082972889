"""Wheels from the command line: length, plucked spokes, and the next turns."""

import json
import wave
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from pinchbolt.engines.wheels import Noise
from ratios.wheel_bench import pluck, read, wheel
from tests.cli.conftest import Run

HUB = "--circle 45 --offset 17.4 --hole 2.5 --spokes 32 --crossings 3".split()


def recorded(folder: Path, name: str, tone: float, *others: float) -> str:
    """A drawn pluck as a file."""
    sound = pluck(np.random.default_rng(31), [(one, 1.0) for one in (tone, *others)], 0.02, 0.1)
    file = folder / name
    with wave.open(str(file), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(sound.rate)
        out.writeframes((sound.samples * 32000).astype("<i2").tobytes())
    return str(file)


def readings() -> dict[str, Any]:
    """A rear wheel as it was read."""
    rng = np.random.default_rng(32)
    drawn = wheel(rng, rear=True)
    seen = read(rng, drawn.state, Noise())
    facts = {
        "spokes": 32, "erd_mm": 602, "circle_left_mm": 45, "circle_right_mm": 45, "offset_left_mm": 35,
        "offset_right_mm": 17.5, "crossings_left": 3, "crossings_right": 3,
    }  # fmt: skip
    told = {
        "side_mm": np.round(seen.side * 1000, 2).tolist(),
        "up_mm": np.round(seen.up * 1000, 2).tolist(),
        "tension_n": np.round(seen.tension).tolist(),
    }
    return {"wheel": facts, "limits": {"greatest_n": 1365}, "rounds": [told]}


def filed(folder: Path, told: object) -> str:
    """Readings as a file."""
    file = folder / "readings.json"
    file.write_text(json.dumps(told), encoding="utf-8")
    return str(file)


def test_a_length_is_told_with_its_doubt_and_chance(run: Run) -> None:
    """A set of rear spokes: 292.4 mm, 292 from the shelf."""
    found = run("wheel", "length", "--erd", "602", *HUB, "--stocked", "290,292,294", "--json")
    assert found.code == 0
    assert found.json["length_mm"] == pytest.approx(292.39, abs=0.01)
    assert found.json["stocked"][0]["length_mm"] == 292 and found.json["stocked"][0]["chance"] > 0.9
    assert "likeliest" in run("wheel", "length", "--erd", "602", *HUB).out


def test_the_rim_by_two_spokes_stands_in_for_its_diameter(run: Run) -> None:
    """And without either nothing is told."""
    found = run(
        "wheel", "length", *HUB, *"--rim-spoke 300 --rim-spoke 300 --rim-gap 2.1 --rim-gap 2.5 --json".split()
    )
    assert found.json["erd_mm"] == pytest.approx(602.3) and found.json["erd_sd_mm"] == pytest.approx(
        0.361, abs=0.001
    )
    assert run("wheel", "length", *HUB).code == 3


def test_holes_in_pairs_name_two_lengths_and_judge_the_shelf_for_both(run: Run) -> None:
    """Half of the set leans one way: its length is ordered too, and one stocked length does not do for both."""
    asked = ["wheel", "length", "--erd", "602", *HUB, "--pair-gap", "25"]
    found = run(*asked, "--json").json
    assert found["other_length_mm"] < found["length_mm"] - 1.5
    for length, stocked in (("length_mm", "stocked"), ("other_length_mm", "other_stocked")):
        best = found[stocked][0]
        assert abs(best["length_mm"] - found[length]) <= 0.5 and best["over_mm"] == pytest.approx(
            best["length_mm"] - found[length], abs=0.002
        )
        assert (
            f"{found[length]:.1f} mm" in found["words"]
            and f"{best['length_mm']:g} mm is likeliest" in found["words"]
        )
    assert "the other way in a pair, " in run(*asked).out
    assert run("wheel", "length", "--erd", "602", *HUB, "--json").json["other_stocked"] == []


@pytest.mark.parametrize(
    ("words", "code", "sentence"),
    [
        ("--erd 602 --offset 17.4 --spokes 32 --crossings 3 --straight-pull", 3, "straight-pull"),
        ("--erd 602 --circle 45 --offset 17.4 --hole 2.5 --spokes 32 --crossings 4", 2, "neighbour's head"),
        ("--erd 60.2 --circle 45 --offset 17.4 --hole 2.5 --spokes 32 --crossings 3", 2, "200 to 750 mm"),
        ("--erd 602 --offset 17.4 --spokes 32 --crossings 3", 2, "circle through the flange"),
        (
            "--erd 602 --circle 45 --offset 17.4 --hole 2.5 --spokes 32 --crossings 3 --tension 1000",
            2,
            "Give the missing one",
        ),
        (
            "--erd 602 --circle 45 --offset 17.4 --hole 2.5 --spokes 32 --crossings 3 --stocked 29o",
            2,
            "stocked is",
        ),
    ],
)
def test_a_length_that_cannot_be_is_refused(run: Run, words: str, code: int, sentence: str) -> None:
    """One sentence, with what is allowed."""
    found = run("wheel", "length", *words.split())
    assert (found.code, found.out) == (code, "") and sentence in found.err


def test_plucks_without_a_reference_are_shares_and_with_one_newtons(run: Run, tmp_path: Path) -> None:
    """Both ways say which they are."""
    files = [recorded(tmp_path, "a.wav", 350.0), recorded(tmp_path, "b.wav", 385.0)]
    spoke = ["--length-mm", "288", "--diameter-mm", "2.0", "--json"]
    bare = run("wheel", "pluck", *files, *spoke).json
    assert [one["tension_n"] for one in bare["plucks"]] == [None, None]
    assert (
        bare["plucks"][0]["relative"] == pytest.approx(0.9, abs=0.01) and "by ear alone" in bare["doubts"][0]
    )
    told = run("wheel", "pluck", *files, *spoke, "--reference-n", "1000", "--reference-hz", "385").json[
        "plucks"
    ]
    assert told[1]["tension_n"] == pytest.approx(1000, rel=0.01)
    assert told[0]["tension_low_n"] < told[0]["tension_n"] < told[0]["tension_high_n"] < 1000


def test_two_tones_tell_no_tension(run: Run, tmp_path: Path) -> None:
    """A second spoke that sounds is said, and its neighbour's file still counts."""
    files = [
        recorded(tmp_path, "a.wav", 350.0, 392.0),
        recorded(tmp_path, "b.wav", 385.0),
        recorded(tmp_path, "c.wav", 380.0),
    ]
    told = run("wheel", "pluck", *files, "--length-mm", "288", "--diameter-mm", "2.0", "--json").json[
        "plucks"
    ]
    assert (
        told[0]["second_hz"] is not None and told[0]["relative"] is None and "two tones" in told[0]["words"]
    )
    assert told[1]["relative"] is not None


@pytest.mark.parametrize(
    ("extra", "sentence"),
    [
        ([], "free length and its diameter"),
        (["--segments", "15x2.0/abc"], "segments is"),
        (["--length-mm", "288", "--diameter-mm", "2.0", "--reference-n", "900"], "takes both"),
        (["--length-mm", "2880", "--diameter-mm", "2.0"], "50 to 400 mm"),
    ],
)
def test_a_pluck_that_cannot_be_is_refused(run: Run, tmp_path: Path, extra: list[str], sentence: str) -> None:
    """Before anything is told."""
    found = run("wheel", "pluck", recorded(tmp_path, "a.wav", 350.0), *extra)
    assert found.code == 2 and sentence in found.err


def test_a_file_that_is_no_sound_is_refused(run: Run, tmp_path: Path) -> None:
    """A compressed recording under a WAV's name, or none at all."""
    file = tmp_path / "a.wav"
    file.write_bytes(b"ID3" + bytes(100))
    found = run("wheel", "pluck", str(file), "--length-mm", "288", "--diameter-mm", "2.0")
    assert found.code == 2 and "no WAV file" in found.err
    assert (
        "no such file"
        in run("wheel", "pluck", str(tmp_path / "b.wav"), "--length-mm", "288", "--diameter-mm", "2.0").err
    )


def test_a_plan_is_told_turn_by_turn(run: Run, tmp_path: Path) -> None:
    """In the order of the hands, loosening first, half a turn at most, cautions with it."""
    file = filed(tmp_path, readings())
    found = run("wheel", "plan", file, "--json").json
    assert found["turns"] and all(1 <= abs(one["quarters"]) <= 2 for one in found["turns"])
    assert found["foreseen"]["side_mm"] < found["now"]["side_mm"]
    assert found["foreseen"]["greatest_n"] <= 1365
    plain = run("wheel", "plan", file).out
    assert "loosen" in plain and "tighten" in plain and "rounded is not tightened" in plain


def test_slips_in_a_file_of_readings_are_refused_whole(run: Run, tmp_path: Path) -> None:
    """A misspelt limit is not quietly left out; what is not read, is not JSON, or is no figure, is said."""
    told = readings()
    slips: list[tuple[object, int, str]] = [
        ({**told, "limits": {"greatest": 1200}}, 2, "limits.greatest"),
        ({**told, "rounds": []}, 2, "No readings"),
        ({"rounds": told["rounds"]}, 2, "wheel is missing"),
        (
            {
                **told,
                "rounds": [{**told["rounds"][0], "tension_n": [None, *told["rounds"][0]["tension_n"][1:]]}],
            },
            3,
            "spoke 1 was not read",
        ),
        ({**told, "rounds": [{**told["rounds"][0], "side_mm": [0.1]}]}, 2, "1 figures for 32 spokes"),
        ({**told, "wheel": {**told["wheel"], "sides": "LR"}}, 2, "2 letters for 32 spokes"),
        ({**told, "wheel": {**told["wheel"], "spokes": 10**9}}, 2, "12 to 72"),
        (
            {**told, "rounds": [{**told["rounds"][0], "turned_quarters": [10**400] * 32}]},
            2,
            "turned_quarters",
        ),
        ({**told, "read_times": 0}, 2, "read 1 to 20 times"),
        ([1, 2], 2, "Correct the file"),
    ]
    for slip, code, sentence in slips:
        found = run("wheel", "plan", filed(tmp_path, slip))
        assert (found.code, found.out) == (code, "") and sentence in found.err, found.err
    file = tmp_path / "bad.json"
    file.write_text('{"wheel": NaN}', encoding="utf-8")
    assert "is no JSON" in run("wheel", "plan", str(file)).err
    endless = json.dumps({**told, "rounds": [{**told["rounds"][0], "turned_quarters": [0] * 32}]})
    file.write_text(endless.replace('"turned_quarters": [0', '"turned_quarters": [1e400'), encoding="utf-8")
    assert "whole quarters, 12 either way" in run("wheel", "plan", str(file)).err
    file.write_text('{"wheel": {"spokes": 32, "spokes": 36}}', encoding="utf-8")
    assert '"spokes" stands more than once, with 32 and 36' in run("wheel", "plan", str(file)).err
