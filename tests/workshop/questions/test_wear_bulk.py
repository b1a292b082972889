"""Chains from a file: a line in, a line out; one bad line and nothing is written."""

import json
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest

from pinchbolt.engines.wear import forecast_chains, trade_chains
from pinchbolt.errors import InputRefused
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.questions._chain_columns import columns_of
from pinchbolt.workshop.questions._chain_scan import CHAIN_NAMES, READING_NAMES, quick_scan, scan, words_of
from pinchbolt.workshop.questions.wear_bulk import ALLOWED, _as_arrays, read_chains, wear_batch, wear_learn

GOOD = {
    "id": 1, "workshop": 3, "use": "mixed", "limit": 0.75, "closed_km": None,
    "readings": [
        {"km": 410, "days": 31, "instrument": "two-point", "low": None, "high": 0.5},
        {"km": None, "days": 92, "instrument": "vernier", "value": 0.41},
    ],
}  # fmt: skip


def written(folder, *lines):
    """A file with these lines."""
    path = folder / "in.ndjson"
    path.write_text("".join((one if isinstance(one, str) else json.dumps(one)) + "\n" for one in lines))
    return path


def test_a_line_in_is_a_line_out(tmp_path):
    """Id, seven quantiles in order, a chance and odds; no odds where there is one reading."""
    one = {**GOOD, "id": "b", "readings": GOOD["readings"][:1]}
    out = tmp_path / "out.ndjson"
    assert wear_batch(written(tmp_path, GOOD, one), out) == 2
    first, second = map(json.loads, out.read_text().splitlines())
    assert (first["id"], second["id"]) == (1, "b")
    assert list(first["to_limit_km"]) == ["0.025", "0.1", "0.25", "0.5", "0.75", "0.9", "0.975"]
    km = list(first["to_limit_km"].values())
    assert km == sorted(km)
    assert 0 <= first["chance_past_limit"] < 0.05
    assert first["odds_same"] > 1
    assert second["odds_same"] is None


def test_the_order_of_lines_changes_no_forecast(tmp_path):
    """A chain's forecast is its own: alone, first or last in the file."""
    lines = [{**GOOD, "id": k, "limit": 0.5 + 0.05 * k} for k in range(5)]
    told = []
    for order in (lines, lines[::-1]):
        wear_batch(written(tmp_path, *order), tmp_path / "out")
        told.append({d["id"]: d for d in map(json.loads, (tmp_path / "out").read_text().splitlines())})
    assert told[0] == told[1]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"use": "road"}, 'use is "road": road-dry, mixed, mud, e-bike, indoor'),
        ({"readings": [{"km": 900, "days": 9, "instrument": "rule", "value": 19}]}, "value is 19: -1 to 8 %, or null"),
        ({"readings": [{"km": 900, "days": 9, "instrument": "rule", "value": -5}]}, "value is -5: -1 to 8 %, or null"),
        ({"closed_km": 0}, "closed_km is 0: 1 to 300000 km, or null"),
        ({"readings": [{"km": 900, "days": 9, "instrument": "rule", "value": 0.2}], "closed_km": 100},
         "closed_km is 100: reading 1, 900 km from its fitting, shows it below its limit"),
        ({"limit": 75}, "limit is 75: 0.1 to 3 %"),
        ({"workshop": None}, "workshop is missing"),
        ({"readings": [{"km": 1, "days": 1, "instrument": "eye", "value": 1}]}, 'instrument is "eye"'),
        ({"readings": [{"km": 1, "days": 1, "instrument": "rule"}]}, "is one value, or low and high"),
        ({"readings": [{"km": -4, "days": 1, "instrument": "rule", "value": 0.2}]}, "km is -4: 0 to 50000 km, or null"),
        ({"readings": [{"km": None, "days": None, "instrument": "rule", "value": 0.2}]}, "neither km nor days"),
        ({"readings": [{"km": 1, "days": 1, "instrument": "two-point", "low": 0.75, "high": 0.5}]}, "low must be below"),
        ({"id": 1}, "id is 1, as on line 1"),
    ],
)  # fmt: skip
def test_a_bad_line_refuses_the_whole_file_and_writes_nothing(tmp_path, change, said):
    """The line is named with what is allowed; an output of before stays as it was."""
    out = tmp_path / "out.ndjson"
    out.write_text("as before")
    path = written(tmp_path, GOOD, "", {**GOOD, "id": 2, **change})
    with pytest.raises(InputRefused, match="1 of 2 lines could not be read") as refused:
        wear_batch(path, out)
    assert said in refused.value.errors["line 3"]
    assert out.read_text() == "as before"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["in.ndjson", "out.ndjson"]


def test_what_is_no_json_is_named_by_its_line(tmp_path):
    """Not a number, a list, half a line: each by its number."""
    path = written(tmp_path, '{"id": NaN}', "[1]", '{"id": 1', GOOD)
    with pytest.raises(InputRefused, match=r"3 of 4 lines could not be read \(lines 1, 2, 3\)"):
        read_chains(path)


def test_what_was_learned_moves_the_forecast(tmp_path):
    """Forty chains closed at 1,500 km teach that this workshop's chains last less than the trade's 3,000."""
    closed = [
        {
            **GOOD,
            "id": k,
            "closed_km": 1500 + 10 * k,
            "passed_after_km": 1400 + 10 * k,
            "closed_how": "bench",
            "readings": [{"km": 700, "days": 70, "instrument": "rule", "value": 0.3 + 0.004 * k}],
        }
        for k in range(40)
    ]
    told = wear_learn(written(tmp_path, *closed), tmp_path / "learned.json")
    assert (told.chains, told.closed, told.workshops) == (40, 40, 1)
    path = written(tmp_path, {**GOOD, "readings": []})
    left = []
    for learned in (None, tmp_path / "learned.json"):
        wear_batch(path, tmp_path / "out", learned)
        left.append(json.loads((tmp_path / "out").read_text())["to_limit_km"]["0.5"])
    assert left[0] == pytest.approx(3000, rel=0.05)
    assert left[1] < 2200


def test_a_learned_file_that_is_none_is_refused(tmp_path):
    """Any other JSON, or none at all."""
    other = tmp_path / "other.json"
    other.write_text("[]")
    with pytest.raises(InputRefused, match="is not what learning wrote"):
        wear_batch(written(tmp_path, GOOD), tmp_path / "out", other)
    with pytest.raises(InputRefused, match="is not there"):
        wear_batch(written(tmp_path, GOOD), tmp_path / "out", tmp_path / "nowhere.json")


def test_lines_that_cannot_be_read_may_be_left_out(tmp_path):
    """Asked for, the sound lines are forecast as ever, and what was left out is told by number and cause."""
    alone, both = tmp_path / "alone.ndjson", tmp_path / "both.ndjson"
    wear_batch(written(tmp_path, GOOD, {**GOOD, "id": 2}), alone)
    left = {}
    count = wear_batch(
        written(tmp_path, GOOD, "{torn", {**GOOD, "id": 2}, {**GOOD, "id": 1}), both, left_out=left
    )
    assert count == 2
    assert both.read_text() == alone.read_text()
    assert left == {2: "not a JSON object on one line", 4: "id is 1, as on line 1: each chain has its own"}


def test_a_chain_read_past_its_limit_may_have_passed_it_long_before():
    """Passed at 2,000 km, read at 5,000: that is no contradiction."""
    line = {
        **GOOD,
        "closed_km": 2000,
        "readings": [{"km": 5000, "days": 9, "instrument": "rule", "value": 1.2}],
    }
    with TemporaryDirectory() as folder:
        assert read_chains(written(Path(folder), line)).lines.closed[0] == 2000


def test_where_every_line_is_bad_nothing_is_written(tmp_path):
    """Left out one and all, there is nothing to forecast, and that is said."""
    with pytest.raises(InputRefused, match="holds no chain"):
        wear_batch(written(tmp_path, "{torn"), tmp_path / "out", left_out={})
    assert not (tmp_path / "out").exists()


def _varied(g, number):
    """A chain with some of everything that a line may hold, well and badly."""
    chain = {"id": int(g.integers(0, 60)) if g.random() < 0.1 else number + 1000, "workshop": str(g.choice(["a", "b"])),
             "use": str(g.choice(["mixed", "mud", "sand"], p=[0.6, 0.39, 0.01])), "limit": 0.75}  # fmt: skip
    chain["readings"] = []
    for _ in range(int(g.integers(0, 4))):
        one = {"km": [400, 12.5, None][g.integers(3)], "days": [30, 0, None][int(g.random() * 2.1)]}
        one["instrument"] = str(g.choice(["two-point", "three-point", "rule", "vernier"]))
        one |= [
            {"value": 0.4},
            {"low": 0.5, "high": 0.75},
            {"low": None, "high": 0.5},
            {"low": 0.75},
            {"value": 9.0},
        ][int(g.random() * 4.05)]
        chain["readings"].append(one)
    if g.random() < 0.3:
        chain["closed_km"] = float(g.choice([100.0, 900.0, 2000.0]))
        chain["closed_how"] = [None, "gauge", "bench", "by eye"][int(g.random() * 3.05)]
        chain["passed_after_km"] = [None, 800.0][g.integers(2)]
    if g.random() < 0.3:
        chain |= {
            "drive": ["derailleur", "hub gear"][g.integers(2)],
            "fitted": [None, "told", "here"][g.integers(3)],
        }
    return chain


def test_a_block_read_at_once_is_what_its_lines_are_one_by_one(tmp_path, monkeypatch):
    """Forty files, good and bad: the same chains, the same lines left out, in the same words."""
    from pinchbolt.workshop.questions import wear_bulk

    g, at_once, by_line = np.random.default_rng(4), 0, 0
    for _ in range(40):
        path = written(tmp_path, *(_varied(g, k) for k in range(12)))
        quick_left, slow_left = {}, {}
        with monkeypatch.context() as plain:
            # As it stands: what is compiled is the same, and a dozen lines are not worth a compiler.
            plain.setattr(wear_bulk, "LINE_BY_LINE", 0)
            plain.setattr(wear_bulk, "quick_scan", lambda: scan)
            quick = read_chains(path, quick_left)
        with monkeypatch.context() as plain:
            plain.setattr(wear_bulk, "quick_scan", lambda: None)
            slow = read_chains(path, slow_left)
        at_once, by_line = at_once + (not slow_left), by_line + bool(slow_left)
        assert (quick.ids, quick.shops, quick_left) == (slow.ids, slow.shops, slow_left)
        for name in (
            "shop",
            "use",
            "limit",
            "closed",
            "km",
            "days",
            "gauge",
            "low",
            "high",
            "passed_after",
            "bench",
            "hub",
            "start",
        ):
            assert np.array_equal(
                getattr(quick.lines, name), getattr(slow.lines, name), equal_nan=name not in ("bench", "hub")
            ), name
    assert min(at_once, by_line) >= 5


@pytest.mark.parametrize(
    "line",
    [
        "[]", "{}", '{"id": true}', json.dumps({**GOOD, "id": True}), json.dumps({**GOOD, "limit": "0.75"}),
        json.dumps({**GOOD, "use": ["mixed"]}), json.dumps({**GOOD, "closed_km": 5, "passed_after_km": 9}),
        json.dumps({**GOOD, "closed_km": None, "passed_after_km": 900}),
        json.dumps({**GOOD, "readings": [{"km": True, "instrument": "rule", "value": 0.4}]}), '{"id": NaN}', "{},{}",
        json.dumps(GOOD) + "," + json.dumps({**GOOD, "id": 2}), json.dumps({**GOOD, "id": ""}), json.dumps({**GOOD, "limit": 10**400}),
        json.dumps({**GOOD, "use": None}), json.dumps({**GOOD, "limit": None}), json.dumps({**GOOD, "readings": None}), '{"id": 1',
        json.dumps({**GOOD, "id": -1}), json.dumps({**GOOD, "limit": 1e-7}), json.dumps({**GOOD, "limit": 0.12345678901234567}),
        json.dumps({**GOOD, "more": {"id": 3}}), json.dumps({**GOOD, "workshop": "\u00e4"}), json.dumps(GOOD)[:-1] + ', "id": 4}',
        json.dumps(GOOD).replace("410", "0410"), json.dumps(GOOD).replace("410", "410."), json.dumps(GOOD).replace("410", ".5"),
        json.dumps(GOOD).replace('"vernier"', "null"), json.dumps(GOOD).replace('"days": 31', '"km": 31'), json.dumps(GOOD) + " x",
        json.dumps(GOOD).replace("}, {", "} {"), json.dumps(GOOD).replace("0.41}]", "0.41}}"), json.dumps(GOOD).replace("0.41}]", "0.41]"),
    ],
)  # fmt: skip
def test_what_is_not_plain_is_never_read_at_once(line):
    """Each of these goes to the reading line by line, which says what is wrong, or reads it."""
    assert at_once(json.dumps(GOOD)) is not None
    assert at_once(json.dumps({**GOOD, "id": 7}), line) is None


@pytest.mark.parametrize(
    "line",
    [
        json.dumps({**GOOD, "note": "by hand", "paid": 4.5, "owner": None}),
        json.dumps({**GOOD, "id": "b-7", "workshop": "ä ö"}, ensure_ascii=False),
        json.dumps(GOOD, separators=(",", ":")), json.dumps(GOOD, indent=1).replace("\n", " \t"), json.dumps({**GOOD, "limit": 1}) + "\r",
        json.dumps(dict(reversed(GOOD.items()))), json.dumps({**GOOD, "closed_how": None, "drive": None, "fitted": None}),
        json.dumps({**GOOD, "id": 123456789012345678}), json.dumps(GOOD).replace("0.41", "-0.5"), json.dumps({**GOOD, "readings": []}),
        json.dumps({**GOOD, "closed_km": None, "closed_how": "bench", "passed_after_km": 900}),
    ],
)  # fmt: skip
def test_what_is_plain_is_read_at_once_as_it_is_alone(tmp_path, line):
    """Names in any order, blanks anywhere, letters of any alphabet, names that are not known: the same as line by line."""
    found, alone = at_once(line), read_chains(written(tmp_path, line))
    assert found is not None
    read = _as_arrays(found)
    assert (read.ids, read.shops) == (alone.ids, alone.shops)
    for name in (
        "limit",
        "km",
        "days",
        "low",
        "high",
        "closed",
        "passed_after",
        "use",
        "gauge",
        "hub",
        "start",
        "bench",
    ):
        assert np.array_equal(
            getattr(read.lines, name) * 1.0, getattr(alone.lines, name) * 1.0, equal_nan=True
        ), name


def at_once(*lines):
    """The lines as they are read at once, or None where they are not."""
    text = "\n".join(lines).encode()
    ends = np.cumsum([len(line.encode()) + 1 for line in lines]) - 1
    return columns_of(text, np.concatenate([[0], ends[:-1] + 1]), ends, ALLOWED, scan)


def test_lines_are_read_letter_by_letter_as_they_stand_and_compiled(tmp_path):
    """Two hundred chains, plain and not: the compiled form puts down what the loops say."""
    g = np.random.default_rng(6)
    lines = [json.dumps(_varied(g, k)) for k in range(200)] + ["{torn", "[]"]
    text = "\n".join(lines).encode()
    ends = np.cumsum([len(line) + 1 for line in lines]) - 1
    begins, answers = np.concatenate([[0], ends[:-1] + 1]), []
    words = words_of(
        (
            CHAIN_NAMES,
            READING_NAMES,
            ("mixed", "mud"),
            ("gauge", "bench"),
            ("hub gear",),
            ("here",),
            ("rule", "vernier"),
        )
    )
    for form in (scan, quick_scan()):
        marks, chains, held = np.zeros((202, 4), np.int64), np.zeros((202, 10)), np.zeros(202, np.int64)
        readings = np.zeros((text.count(b"{"), 6))
        count = form(np.frombuffer(text, np.uint8), begins, ends, *words, marks, chains, held, readings)
        answers.append((marks[held >= 0], chains[held >= 0], held, readings[:count]))
    assert 20 < (answers[0][2] >= 0).sum() < 180
    for plain, quick in zip(*answers, strict=True):
        assert np.array_equal(plain * 1.0, quick * 1.0, equal_nan=True)


def test_a_line_says_the_distances_of_the_forecast_to_a_tenth_of_a_kilometre(tmp_path):
    """What the engine works out for the same lines, rounded once; a distance of nothing has no sign before it."""
    lines = [{**GOOD, "id": k, "limit": 0.42 + 0.1 * k} for k in range(4)]
    path = written(tmp_path, *lines)
    wear_batch(path, tmp_path / "out")
    told = [json.loads(line) for line in (tmp_path / "out").read_text().splitlines()]
    read = read_chains(path)
    found = forecast_chains(read.lines, read.shops, trade_chains(tables().wear_priors))
    assert found.to_limit_km.shape == (4, 7)
    for row, line in zip(found.to_limit_km, told, strict=True):
        assert list(line["to_limit_km"].values()) == pytest.approx(row, abs=0.0501)
    assert "-0.0" not in (tmp_path / "out").read_text()
