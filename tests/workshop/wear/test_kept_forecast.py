"""The forecast as a finding keeps it: written from the engine's, read back from every shape in which one was ever written."""

import json
import lzma
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing
from datetime import date
from math import inf
from pathlib import Path
from typing import Any

import pytest

from pinchbolt.engines.wear import Forecast
from pinchbolt.records.models import Finding
from pinchbolt.values import Reason, Verdict
from pinchbolt.workshop.common.from_plain import from_plain
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.questions.part_by_hand import PartByHandRequest, part_by_hand
from pinchbolt.workshop.stays.at_the_counter import at_the_counter
from pinchbolt.workshop.stays.note_finding import findings_of
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
from pinchbolt.workshop.wear.kept_forecast import VERSION, ReadingKept, keep, kept_forecast, kept_reasons
from tests.story import NOW, Story, checked_in, walked_round

HARM = Path(__file__).resolve().parents[2] / "harm"
# What may be missing in what was kept before shapes were numbered: it came one after the other.
CAME_LATER = ("reading", "same", "version", "belief")
OF_THE_LAW = (
    "prior_source", "prior_row", "use_class", "limit_by", "part_log_sd", "noise", "slow_sd", "slow_use", "misread", "clock",
)  # fmt: skip


def stored(name: str, folder: Path) -> sqlite3.Connection:
    """A copy of the database of a stored home."""
    packed = lzma.decompress((HARM / name).read_bytes())
    if name.endswith(".sqlite3.xz"):
        (folder / "bench.sqlite3").write_bytes(packed)
        return sqlite3.connect(folder / "bench.sqlite3")
    there = sqlite3.connect(":memory:")
    there.executescript(packed.decode())
    return there


def lost(record: Any, told: Any, where: str = "") -> Iterator[str]:
    """Every value of *record* that *told* does not hold at the same place."""
    if isinstance(record, Mapping) and isinstance(told, Mapping):
        for name, value in record.items():
            yield from lost(value, told.get(name, "nothing"), f"{where}.{name}")
    elif isinstance(record, list) and isinstance(told, list) and len(record) == len(told):
        for n, (one, other) in enumerate(zip(record, told, strict=True)):
            yield from lost(one, other, f"{where}.{n}")
    elif record != told:
        yield f"{where}: {record} became {told}"


def by_hand(**asked: Any) -> Forecast:
    """A forecast of a chain by its reading."""
    return part_by_hand(PartByHandRequest(limit="chain-elongation-11", **asked), date(2030, 5, 1)).forecast


def written(version: int | None = VERSION, **asked: Any) -> dict[str, Any]:
    """What is written down of a chain read by a go/no-go gauge, or as it was written before shapes were numbered."""
    kept = keep(by_hand(km=2100, low=0.5, high=0.75, **asked), ReadingKept(0.5, None, 0.42, None), None)
    told: dict[str, Any] = as_json(kept)
    return {**told, "version": version} if version else {n: v for n, v in told.items() if n != "version"}


@pytest.mark.parametrize("name", ["home-0.1.0.sqlite3.xz", "home-of-the-release-before.sql.xz"])
def test_every_forecast_on_record_reads_with_nothing_lost(name: str, tmp_path: Path) -> None:
    """Both stored homes, finding by finding: all that is on record stands in what is read, and is told again the same."""
    with closing(stored(name, tmp_path)) as there:
        rows = there.execute("SELECT forecast, reasons FROM records_finding").fetchall()
    with_one = 0
    for forecast, reasons in rows:
        record = json.loads(forecast) if forecast else None
        kept = kept_forecast(record)
        assert (kept is None) == (record is None)
        if kept is not None:
            assert list(lost(record, as_json(kept))) == []
            assert kept.version == 1 and Verdict(kept.verdict) is kept.verdict
            assert (kept.same is None) == (record["same"] is None)
            with_one += 1
        assert as_json(kept_reasons(json.loads(reasons))) == json.loads(reasons)
    assert with_one == 212


def test_what_is_written_today_reads_the_same() -> None:
    """Forth and back: the same forecast, its ends that are open included, and the number of its shape."""
    forecast, shown = by_hand(km=900, high=0.5), ReadingKept(None, 0.5, None, 0.58)
    kept = keep(forecast, shown, None)
    again = kept_forecast(json.loads(json.dumps(as_json(kept))))
    assert again == kept and again.version == VERSION and again.reading == shown
    assert again.law == forecast.law and again.belief == forecast.belief


def test_a_record_is_read_anew_where_it_is_another_one() -> None:
    """The same finding's record read twice is the same forecast; a record that differs, of another home, is read for itself."""
    first, other = written(), {**written(), "chance_past_limit": 0.123}
    seen = kept_forecast(first, 7)
    assert seen is not None and kept_forecast(dict(first), 7) is seen
    changed = kept_forecast(other, 7)
    assert changed is not None and changed.chance_past_limit == 0.123
    again = kept_forecast(first, 7)
    assert again == seen == kept_forecast(first)


def test_the_first_shape_reads_with_what_it_lacks_left_open() -> None:
    """Before readings, odds and beliefs were kept beside it, and with a law of few figures: none of them is made up."""
    told = written()
    first = {name: value for name, value in told.items() if name not in CAME_LATER}
    first["law"] = {name: value for name, value in told["law"].items() if name not in OF_THE_LAW}
    kept = kept_forecast(first)
    assert kept is not None
    assert (kept.reading, kept.same, kept.belief, kept.version) == (None, None, None, 1)
    assert kept.law.limit == told["law"]["limit"] and kept.law.part_log_sd is None
    assert kept.to_limit.median == told["to_limit"]["median"]


def test_what_a_later_release_adds_is_left_alone() -> None:
    """A home that a newer release has written to still tells what this one knows of it."""
    told = written(version=9)
    kept = kept_forecast({**told, "tide": {"high": 3}, "law": {**told["law"], "moon": "full"}})
    assert kept is not None and kept.version == 9 and kept == kept_forecast(told)


def test_an_end_that_is_null_is_infinite_on_its_own_side() -> None:
    """What will hardly ever be reached has no upper end; a day that is null is none."""
    told = written()
    told["to_limit"] = {
        "median": None,
        "half": {"low": 9e5, "high": None},
        "wide": {"low": 8e5, "high": None},
    }
    told["present"]["wide"]["low"] = None
    told["day_at_limit"] = {"median": None, "half": [None, None], "wide": ["2034-02-01", None]}
    kept = kept_forecast(told)
    assert kept is not None
    assert (kept.to_limit.median, kept.to_limit.wide.high, kept.present.wide.low) == (inf, inf, -inf)
    assert kept.day_at_limit.wide == (date(2034, 2, 1), None)
    assert as_json(kept) == told


@pytest.mark.parametrize(
    "name", ["law", "day", "present", "to_limit", "day_at_limit", "chance_past_limit", "verdict"]
)
def test_a_hole_is_named(name: str) -> None:
    """Nothing is made up in place of what a forecast can't be without."""
    told = written()
    del told[name]
    with pytest.raises(ValueError, match=f"^{name} is missing$"):
        kept_forecast(told)


@pytest.mark.parametrize(
    ("place", "value", "words"),
    [
        ("law", "chain", "law is 'chain'"),
        ("law.limit", "0.75", "law.limit is '0.75'"),
        ("law.limit", True, "law.limit is 'True'"),
        ("law.limit", None, "law.limit is 'None'"),
        ("law.driver", "miles", "law.driver is 'miles'"),
        ("verdict", "fine", "verdict is 'fine'"),
        ("day", 20300501, "day is '20300501'"),
        ("day", "1 May", "day is '1 May'"),
        ("day_at_limit.wide", ["2030-06-01"], "day_at_limit.wide has 1 entries, not 2"),
        (
            "present.wide",
            {"low": 0.7, "high": 0.2},
            "present.wide can't be: interval 0.7 to 0.2: the low end must not be above the high end",
        ),
        ("doubts", "none", "doubts is 'none'"),
    ],
)
def test_a_value_of_another_kind_is_named_with_its_place(place: str, value: object, words: str) -> None:
    """Text for a figure, a verdict that is none of the five, ends the wrong way round."""
    told: dict[str, Any] = written()
    *way, last = place.split(".")
    inner = told
    for step in way:
        inner = inner[step]
    inner[last] = value
    with pytest.raises(ValueError, match=words):
        kept_forecast(told)


def test_a_reason_of_words_alone_has_no_source() -> None:
    """Row and source came later than the words."""
    assert kept_reasons([{"words": "Seen."}]) == (Reason("Seen."),)
    with pytest.raises(TypeError, match="no kind of plain value"):
        from_plain(list[str], [])


def _broken(story: Story) -> Finding:
    """The story's chain finding, whose forecast has lost its law: written past every guard, as a torn record would be."""
    finding = Finding.objects.filter(job=story.record, limit="chain-elongation-12to13").get()
    finding.forecast = {name: value for name, value in finding.forecast.items() if name != "law"}
    return finding


@pytest.mark.django_db
def test_a_finding_whose_forecast_is_torn_is_still_told_with_a_doubt(monkeypatch: pytest.MonkeyPatch) -> None:
    """One torn record closes no page: verdict and words stand, the doubt says what is lost, and what to do."""
    story = walked_round(checked_in())
    torn = _broken(story)
    as_loaded = Finding.from_db.__func__  # type: ignore[attr-defined]

    def from_db(cls: type[Finding], db: str, names: Any, values: Any) -> Finding:
        row: Finding = as_loaded(cls, db, names, values)
        row.forecast = torn.forecast if row.pk == torn.pk else row.forecast
        return row

    monkeypatch.setattr(Finding, "from_db", classmethod(from_db))
    seen = next(one for one in findings_of(story.record) if one.id == torn.pk)
    assert seen.forecast is None and seen.words == torn.words and seen.verdict == torn.verdict
    assert (
        seen.doubts[-1] == "The forecast of that day can't be shown: law is missing. Take the reading again."
    )
    told = next((one for one in at_the_counter(story.record, NOW).told if one.finding.id == torn.pk), None)
    assert told is None or not told.sure


@pytest.mark.django_db
def test_a_corrected_reading_keeps_its_own_forecast_and_the_new_one_has_another() -> None:
    """The first stays on record as it was said; only the second is told."""
    story = walked_round(checked_in())
    before = next(one for one in findings_of(story.record) if one.limit == "chain-elongation-12to13")
    record = Finding.objects.get(pk=before.id)
    assert before.part is not None and record.reading is not None
    taken = take_reading(
        ReadingRequest(story.job, before.part, before.limit, value=0.2, corrects=record.reading.event_id),
        by=story.first,
        key=story.key(),
        now=NOW,
    )
    after = next(one for one in findings_of(story.record) if one.limit == before.limit)
    assert after == taken.finding and after.forecast is not None and after.forecast.reading is not None
    assert (after.forecast.reading.low, after.forecast.version) == (0.2, VERSION)
    kept = kept_forecast(Finding.objects.get(pk=before.id).forecast)
    assert kept == before.forecast != after.forecast
