"""Wear from the command line: one part by hand, ways of changing chains, many chains, learning."""

import json
import re
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from tests.engines.wear.rows import law
from tests.story import Story

BY_HAND = ["wear", "part", "--kind", "chain", "--speeds", "11", "--use", "mixed", "--km", "2100"]
LINE = {
    "id": 7, "workshop": "mill lane", "use": "road-dry", "limit": 0.75,
    "readings": [{"km": 900, "days": 60, "instrument": "rule", "value": 0.2}],
}  # fmt: skip


@pytest.mark.django_db
def test_one_part_by_hand_with_a_three_point_gauge(run: Run) -> None:
    """Between 0.5 and 0.75 on eleven speeds is past 0.5: the limit's verdict, its reasons, and who decides at the stand."""
    words = [*BY_HAND, "--low", "0.5", "--high", "0.75", "--instrument", "three-point"]
    told = run(*words, "--json").json
    assert told["row"] == "chain-elongation-11"
    assert told["forecast"]["chance_past_limit"] > 0.5
    assert 0.5 < told["forecast"]["present"]["median"] < 0.75
    plain = run(*words).out
    assert "At the stand, go by the gauge" in plain
    assert "The marking on the part and its maker's instructions win." in plain


@pytest.mark.django_db
def test_one_part_by_hand_in_another_unit(run: Run) -> None:
    """12 1/16 in over 24 pitches is 306.4 mm, and 60 months are five years: the same answers as in the row's own unit."""
    length = ["wear", "part", "--limit", "chain-length-12-pitch-pairs", "--km", "2000", "--json", "--value"]
    age = ["wear", "part", "--limit", "tyre-age", "--json", "--value"]
    for words, said, own in ((length, "12 1/16 in", "306.39"), (age, "60 months", "5")):
        by_unit, by_row = (run(*words, value).json["forecast"] for value in (said, own))
        assert by_unit == by_row


@pytest.mark.django_db
def test_more_kilometres_at_the_same_value_by_hand_give_no_less_road(run: Run) -> None:
    """Play felt at a bottom bracket, from 0.4 to 4 times the distance that usually brings it: the road never falls.

    It fell by a tenth of a life: a hand says little, so the distance itself told of wear.
    """
    of = law("bb-play")
    value, life = of.new + 0.8 * (of.limit - of.new), of.median_life
    ask = ["wear", "part", "--limit", of.id, "--value", f"{value:.3f}", "--json", "--km"]
    roads = [
        run(*ask, f"{pace * 0.8 * life:.0f}").json["forecast"]["to_limit"]["median"]
        for pace in (0.41, 0.7, 1.2, 2.0, 3.9)
    ]
    assert roads[0] > 0.05 * life
    assert all(more >= less - 1e-6 * life for less, more in pairwise(roads))


@pytest.mark.django_db
def test_no_answer_by_hand_says_what_nobody_knows(run: Run) -> None:
    """Two digits of km, no lining below nothing: pads of 0.03 mm and a rotor with a long way to go."""
    pads = run("wear", "part", "--limit", "disc-pad-lining-resin", "--value", "0.03").out.splitlines()[0]
    assert re.search(r"\(likely 0(\.0\d)? to 0\.\d+\)", pads) and "-" not in pads
    rotor = run("wear", "part", "--limit", "rotor-thickness-1.8", "--value", "1.7").out.splitlines()[1]
    figures = [figure.replace(",", "") for figure in re.findall(r"[\d,]{3,}", rotor)]
    assert len(figures) == 3
    assert all(set(figure[2:]) <= {"0"} for figure in figures)


@pytest.mark.django_db
def test_parts_go_by_the_names_that_people_use(run: Run) -> None:
    """A tire is a tyre, a brake block a rim brake pad, and a hub gear of three speeds has the chain of a single speed."""
    for kind, row in (("brake block", "rim-pad-groove"), ("ring", "chainring-lift")):
        told = run("wear", "part", "--kind", kind, "--value", "2", "--json").json
        assert told["row"] == row
    assert "tyre-tread-city" in run("wear", "part", "--kind", "tire", "--value", "2").err
    hub = run("wear", "part", "--kind", "chain", "--speeds", "3", "--value", "0.4", "--json").json
    assert hub["row"] == "chain-elongation-1"


@pytest.mark.django_db
def test_a_roller_pushing_gauge_counts_for_less_by_hand(run: Run) -> None:
    """The same showing by a two-point gauge leaves less wear believed."""
    believed = [
        run(*BY_HAND, "--low", "0.5", "--high", "0.75", "--instrument", name, "--json").json["forecast"]["present"]["median"]
        for name in ("two-point", "three-point")
    ]  # fmt: skip
    assert believed[0] < believed[1]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--instrument", "eye", "--value", "0.4"], "does not read percent: two-point, three-point, rule, vernier"),
        (["--value", "0.4", "--low", "0.3"], "a number or a range"),
        (["--use", "space"], "road-dry, mixed, mud, e-bike, indoor"),
        (["--kind", "rotor"], "rotor-thickness-1.8, rotor-thickness-2.0"),
        (["--speeds", "15"], "chains of 1 to 14 sprockets are in the table"),
        (["--low", "0.75", "--high", "0.5"], "the low end must be below"),
        (["--low", "0.5", "--high", "0.5"], "the low end must be below"),
        (["--value", "19"], "0 to 3 percent is possible. Was 1.9 meant?"),
        (["--value=-5"], "0 to 3 percent is possible"),
        (["--value", "306.4"], "Did you mean 0.52493 percent?"),
        (["--limit", "tyre-age", "--value", "60"], "60 months? Did you mean 5 years?"),
        (["--limit", "rotor-thickness-1.8", "--value", "0.06"], "0.06 in? Did you mean 1.524 mm?"),
        (["--kind", "brake block", "--use", "space"], "road-dry, mixed, mud"),
    ],
)  # fmt: skip
def test_a_part_by_hand_that_cannot_be_is_refused(run: Run, words: list[str], said: str) -> None:
    """Exit 2 and what is allowed."""
    ran = run(*BY_HAND, *words)
    assert (ran.code, said in ran.err) == (2, True), ran.err


@pytest.mark.django_db
def test_ways_of_changing_are_compared_at_given_prices(run: Run) -> None:
    """Chain 45, cassette 225: about 0.46 % is inside the best range (worked: 1 x (45 / (225 x 1.95))^(1 / 2.95) = 0.46)."""
    told = run("wear", "change-point", "--chain", "45", "--cassette", "225", "--json").json
    assert told["table"]["best_at_percent"]["low"] < 0.46 < told["table"]["best_at_percent"]["high"]
    cost = {way["id"]: float(way["a_thousand"]) for way in told["table"]["ways"]}
    assert cost["change-at-0.5"] < cost["rotate-3"] < cost["rotate-2"] < cost["change-at-0.75"]
    refused = run("wear", "change-point", "--chain", "-4", "--cassette", "225")
    assert refused.code == 2 and "price of the chain is -4" in refused.err
    assert "a number above 0 is needed" in run("wear", "change-point", "--chain", "x").err


def test_ways_of_changing_at_a_bikes_own_prices(arrived: Story, run: Run) -> None:
    """Use, speeds and shelf prices come from its record."""
    told = run("wear", "change-point", "--bike", arrived.tag, "--json").json
    bike = arrived.record.bike
    assert (told["asked"]["use"], told["asked"]["speeds"]) == (bike.use_class, 12)
    assert float(told["asked"]["cassette"]) > float(told["asked"]["chain"]) > 0
    assert run("wear", "change-point", "--bike", "ZZ-999").code == 2


@pytest.mark.django_db
def test_chains_in_bulk_learned_and_forecast(run: Run, tmp_path: Path) -> None:
    """A file in, a file out, the bar on stderr and nothing but the answer on stdout."""
    source, target, kept = (tmp_path / name for name in ("in.ndjson", "out.ndjson", "learned.json"))
    source.write_text(json.dumps(LINE) + "\n")
    assert run("wear", "learn", str(source), "--save", str(kept), "--json").json["chains"] == 1
    ran = run("wear", "batch", str(source), str(target), "--learned", str(kept), "--json")
    assert ran.json == {"chains": 1, "written": str(target), "learned": str(kept)}
    assert "100%" in ran.err
    assert json.loads(target.read_text())["id"] == 7


@pytest.mark.django_db
def test_a_bad_line_ends_with_exit_2_and_no_file(run: Run, tmp_path: Path) -> None:
    """Its number and what is allowed are said; the output is not made."""
    source = tmp_path / "in.ndjson"
    source.write_text(json.dumps(LINE | {"use": "snow"}) + "\n")
    ran = run("wear", "batch", str(source), str(tmp_path / "out"))
    assert ran.code == 2 and 'line 1: use is "snow": road-dry, mixed' in ran.err
    assert not (tmp_path / "out").exists()


def test_the_workshop_learns_from_its_own_parts(asked_for: Story, run: Run) -> None:
    """A version, and a name behind it; without a name it is refused."""
    assert run("learn").code == 2
    told = run("learn", "--as", "Ines", "--json").json
    assert told["version"].startswith("trade ") and told["parts"] > 0


def test_one_part_by_hand_waits_for_nothing_it_does_not_need() -> None:
    """No records and no scipy are loaded for one reading: with them the first answer takes three times as long."""
    asked = "wear part --speeds 11 --km 2100 --low 0.5 --high 0.75 --instrument two-point --json".split()
    words = f"import sys; from pinchbolt.cli import main; main({asked!r}); print(sorted(sys.modules), file=sys.stderr)"
    ran = subprocess.run([sys.executable, "-c", words], capture_output=True, text=True, check=True)
    assert json.loads(ran.stdout)["forecast"]["verdict"]
    loaded = set(re.findall(r"'([\w.]+)'", ran.stderr))
    assert "pinchbolt.engines.wear" in loaded
    assert not {"scipy", "django.db", "pinchbolt.records"} & loaded
