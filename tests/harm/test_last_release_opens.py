"""A home folder of the release before opens with today's code: nothing is lost, and what is said otherwise is named here."""

import json
import lzma
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
HOME = "home-0.1.0"

# Parts that an older record spoke of without having them, by bike, with the reason: a migration puts them on the sheet.
ADDED: dict[str, tuple[list[list[str]], str]] = {
    **dict.fromkeys(
        ("MY-03", "MY-04", "MY-05", "MY-07"),
        (
            [["valve", "front"], ["valve", "rear"]],
            "the joint of a tubeless valve stood on the sheet, its valve did not",
        ),
    ),
    "MY-08": ([["hub gear", ""]], "its words tell of a 5-speed hub gear, and no gear stood on its sheet"),
    "MY-09": (
        [["child seat", ""]],
        "its words tell of two child seats, and a torque was read off the block of one",
    ),
}
# Rows that a migration adds or takes away on purpose, by table.
_MORE = sum(len(parts) for parts, _ in ADDED.values())
ROWS: dict[str, int] = {"records_part": _MORE, "records_fitting": _MORE}
# Joints that another row of the same joint stands for now, by bike and joint, or none (empty), with the reason.
JOINTS: dict[tuple[str, str], tuple[str, str]] = {
    ("MY-01", "stem-face-4"): (
        "stem-face-4-carbon",
        "its bar is on record as of carbon: the row that spares it",
    ),
    **{
        ("MY-07", f"caliper-post-mount:{end}"): (
            f"caliper-is-mount:{end}",
            "its record says that the calipers are of the other mount; the build it was begun by said post",
        )
        for end in ("front", "rear")
    },
    **{
        ("MY-08", joint): (
            "",
            "a belt bike: the part that the build brought was taken off its sheet long ago",
        )
        for joint in ("cassette-lockring", "rear-mech", "jockey-bolt", "gear-cable-pinch:rear")
    },
}
# Torque windows that are others now, by bike and joint, with the reason.
_UNTOLD = ("MY-01", "MY-02", "MY-03", "MY-04", "MY-05", "MY-07")
_EACH = tuple(f"MY-{number:02d}" for number in range(1, 13))
_MOVED: tuple[tuple[tuple[str, ...], tuple[str, ...], str], ...] = (
    (
        ("seat-collar", "stem-steerer-2"),
        (*_UNTOLD, "MY-11"),
        "carbon, or nobody has told what it is made of: the lowest",
    ),
    (("bb-threaded-cup",), _UNTOLD, "the frame may be of carbon"),
    (("lever-clamp-drop:front", "lever-clamp-drop:rear"), ("MY-01",), "a bar of carbon"),
    (("front-mech-clamp",), ("MY-01", "MY-02", "MY-12"), "a band, until a tab is seen"),
    (("kickstand",), ("MY-06", "MY-08", "MY-09"), "an M6, until its thread is measured"),
    (
        ("rim-pad-stud:front",),
        ("MY-02", "MY-06", "MY-10", "MY-11", "MY-12"),
        "road and long-arm blocks are told apart",
    ),
    (("rim-pad-stud:rear",), ("MY-02", "MY-10", "MY-12"), "road and long-arm blocks are told apart"),
    (
        ("bleed-screw:front", "bleed-screw:rear"),
        ("MY-01", "MY-03", "MY-04", "MY-05", "MY-07", "MY-08", "MY-09"),
        "the reservoir's screw alone; the nipple is a joint of its own",
    ),
    (("crank-preload-cap",), _UNTOLD, "plastic, closed by hand"),
    (("quick-release:front",), ("MY-02", "MY-12"), "closed by hand"),
    (("quick-release:rear",), ("MY-02", "MY-08", "MY-12"), "closed by hand"),
    (("valve-nut:front", "valve-nut:rear"), ("MY-03", "MY-04", "MY-05", "MY-07"), "closed by hand"),
    (("spoke-nipple:front", "spoke-nipple:rear"), _EACH, "by tension, not by torque"),
)
WINDOWS: dict[tuple[str, str], str] = {
    (tag, joint): why for joints, tags, why in _MOVED for joint in joints for tag in tags
}
# Kinds of part whose use is counted otherwise now, with the reason.
USE: dict[str, str] = {}

DISC = ("MY-01", "MY-03", "MY-04", "MY-05", "MY-07", "MY-08", "MY-09")
UNLIT = ("MY-01", "MY-02", "MY-03", "MY-04", "MY-05", "MY-07", "MY-11", "MY-12")
# What a mechanic no longer ticks, by item of the whole list (a stay asks as much of it as its work touched): the bikes, and why.
# Common practice, no source.
NO_LONGER: dict[str, tuple[tuple[str, ...], str]] = {
    "so-rim": (DISC, "a rim that no brake rubs on has no wear mark"),
    "so-brake-rear": (("MY-11",), "there is no brake behind on this fixed wheel"),
    "so-freewheel": (
        ("MY-06", "MY-11"),
        "a hub gear and a fixed sprocket have no freehub; each has its own item",
    ),
    "so-lights": (UNLIT, "no lights stand on the build sheet"),
    "so-hose": (
        ("MY-02", "MY-06", "MY-10", "MY-11", "MY-12"),
        "cables alone: they have an item of their own now",
    ),
}
# What a mechanic ticks besides.
EVERY = tuple(f"MY-{number:02d}" for number in range(1, 13))
BESIDES: dict[str, tuple[tuple[str, ...], str]] = {
    "so-suspension": (("MY-04", "MY-07", "MY-08"), "the fork is sprung"),
    "so-mudguards": (
        ("MY-06", "MY-08", "MY-09", "MY-12"),
        "mudguards and a carrier stand on the build sheet",
    ),
    "so-carbon": (
        ("MY-02", "MY-03", "MY-04", "MY-05", "MY-07", "MY-11"),
        "MY-03: the steerer takes an expander plug, so it is carbon; of the others nobody has written down what frame, stem, "
        "cranks and post are made of, and what is not known is asked. Builds that are all of metal are not asked",
    ),
    "so-tubeless": (("MY-03", "MY-04", "MY-05", "MY-07"), "sealant stands on the build sheet"),
    "so-hub-gear": (("MY-06", "MY-08"), "a hub gear"),
    "so-drum": (("MY-06",), "a roller brake behind"),
    "so-child-bike": (("MY-10",), "a child's bike"),
    "so-fixed": (("MY-11",), "a fixed sprocket"),
    "so-no-rear-brake": (("MY-11",), "whether a fixed wheel is a brake the law of the place says"),
    "so-cables": (EVERY, "each has a cable to a brake or a gear"),
    "so-ride-long": (
        EVERY,
        "the hard ride after work on brakes or gears is apart from the short one that every bike gets",
    ),
    "so-road-law": (
        EVERY,
        "bell, reflectors and lights are looked at on every bike, also where none is fitted",
    ),
}


@pytest.fixture(scope="module")
def before() -> dict[str, Any]:
    """What the release before said of its home."""
    told: dict[str, Any] = json.loads(lzma.decompress((HERE / f"{HOME}.json.xz").read_bytes()))
    return told


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of that home."""
    folder = tmp_path_factory.mktemp("home")
    (folder / "bench.sqlite3").write_bytes(lzma.decompress((HERE / f"{HOME}.sqlite3.xz").read_bytes()))
    return folder


@pytest.fixture(scope="module")
def now(home: Path) -> dict[str, Any]:
    """What this release says of it after its migrations."""
    told: dict[str, Any] = json.loads(_asked(home, "-m", "tests.harm.home_says", "migrate"))
    return told


def _asked(home: Path, *words: str) -> str:
    kept = {name: value for name, value in os.environ.items() if name != "PINCHBOLT_DATABASE"}
    surroundings = {
        **kept,
        "PINCHBOLT_HOME": str(home),
        "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
    }
    return subprocess.check_output([sys.executable, *words], cwd=ROOT, env=surroundings, text=True)


def test_every_row_is_still_there(before: dict[str, Any], now: dict[str, Any]) -> None:
    """No table holds fewer or more rows than before, but for those named; new tables are not compared."""
    wanted = {table: count + ROWS.get(table, 0) for table, count in before["counts"].items()}
    assert {table: now["counts"].get(table) for table in wanted} == wanted


def test_every_part_stands_where_it_stood(before: dict[str, Any], now: dict[str, Any]) -> None:
    """Each bike has the parts that it had, each under its own number, kind and place, and those that are named above."""
    for tag, bike in before["bikes"].items():
        there = now["bikes"][tag]["parts"]
        assert {part: there.get(part) for part in bike["parts"]} == bike["parts"], tag
        more = [what for part, what in there.items() if part not in bike["parts"]]
        assert sorted(more) == ADDED.get(tag, ([], ""))[0], tag


def test_worn_parts_keep_the_row_that_they_were_read_on(before: dict[str, Any], now: dict[str, Any]) -> None:
    """Two rotors of 2.0 mm stay on the row of 2.0: that row was on their record, and its thickness is a fact of them now."""
    rotors = [part for part, (kind, _) in before["bikes"]["MY-09"]["parts"].items() if kind == "rotor"]
    rows = {
        line.partition(" ")[2]
        for line in now["bikes"]["MY-09"]["readings"]
        if line.partition(" ")[0] in rotors
    }
    assert len(rotors) == 2
    assert {row for row in rows if row.startswith("rotor-thickness")} == {"rotor-thickness-2.0"}


def test_every_verdict_is_the_one_that_was_given(before: dict[str, Any], now: dict[str, Any]) -> None:
    """What was found then is not judged again: job by job, and on the bike page."""
    assert now["jobs"] == before["jobs"]
    for tag, bike in before["bikes"].items():
        assert now["bikes"][tag]["verdicts"] == bike["verdicts"], tag


def test_every_fact_is_still_told_of_its_bike(before: dict[str, Any], now: dict[str, Any]) -> None:
    """Under its name, or, where it was said of both ends in one, of each end."""
    lost = [
        f"{tag}: {name} {value}"
        for tag, bike in before["bikes"].items()
        for name, value in bike["facts"].items()
        if not _still_told(name, value, now["bikes"][tag]["facts"])
    ]
    assert lost == []


def _still_told(name: str, value: object, facts: dict[str, object]) -> bool:
    # A wheel's mount for its rotor was called otherwise where it was said of both ends.
    at_an_end = {"rotor_mount": "hub_rotor_mount"}.get(name, name)
    ends = [facts.get(f"{at_an_end}_{end}") for end in ("front", "rear")]
    return facts.get(name) == value or ends == [value, value]


def test_every_joint_is_still_a_joint_of_its_bike(before: dict[str, Any], now: dict[str, Any]) -> None:
    """No joint is lost, but for those for which a better row stands; what comes besides is told by the rows."""
    for tag, bike in before["bikes"].items():
        there = set(now["bikes"][tag]["joints"])
        wanted = {JOINTS.get((tag, joint), (joint, ""))[0] for joint in bike["joints"]} - {""}
        assert wanted <= there, tag
        assert not there & {joint for bike_tag, joint in JOINTS if bike_tag == tag}, tag


def test_every_torque_window_is_the_same(before: dict[str, Any], now: dict[str, Any]) -> None:
    """Floor and cap in N·m, or no window at all, but for those named; markings read then still govern."""
    moved = {
        (tag, joint): (window, now["bikes"][tag]["windows"].get(joint))
        for tag, bike in before["bikes"].items()
        for joint, window in bike["windows"].items()
        if (tag, joint) not in JOINTS
        and _figures(now["bikes"][tag]["windows"].get(joint)) != _figures(window)
    }
    assert moved.keys() == WINDOWS.keys(), moved


def _figures(window: object) -> list[float] | None:
    """Floor and cap; None where the sheet refuses, whatever its words."""
    return window if isinstance(window, list) else None


def test_every_part_went_as_far_as_it_had_gone(before: dict[str, Any], now: dict[str, Any]) -> None:
    """Kilometres by ride files and by word, but for kinds whose use is counted otherwise."""
    for tag, bike in before["bikes"].items():
        for part, km in bike["km"].items():
            if bike["parts"][part][0] not in USE:
                assert now["bikes"][tag]["km"].get(part) == pytest.approx(km, abs=1e-3), (
                    tag,
                    bike["parts"][part],
                )


def test_what_was_read_on_a_part_can_be_read_again(before: dict[str, Any], now: dict[str, Any]) -> None:
    """A limit with a reading that stands is offered in the walk-round as before, wherever limits come from."""
    for tag, bike in before["bikes"].items():
        read = {f"{part} {limit}" for part, found in bike["verdicts"].items() for limit in found if limit}
        assert read & set(bike["readings"]) <= set(now["bikes"][tag]["readings"]), tag


def test_no_safety_item_is_lost_that_a_mechanic_asks(before: dict[str, Any], now: dict[str, Any]) -> None:
    """What is gone from a bike's list is named with its reason; the longtail with child seats keeps their item."""
    for tag, bike in before["bikes"].items():
        may_go = {item for item, (bikes, _) in NO_LONGER.items() if tag in bikes}
        assert set(bike["items"]) - set(now["bikes"][tag]["items"]) <= may_go, tag


def test_every_list_is_the_one_that_a_mechanic_asks(before: dict[str, Any], now: dict[str, Any]) -> None:
    """The list of each bike after the migration: as before, less what it has no part for, and what its parts ask besides."""
    for tag, bike in before["bikes"].items():
        gone = {item for item, (bikes, _) in NO_LONGER.items() if tag in bikes}
        besides = {item for item, (bikes, _) in BESIDES.items() if tag in bikes}
        assert set(now["bikes"][tag]["items"]) == set(bike["items"]) - gone | besides, tag


_MARKINGS = """
import django, json, sys
django.setup()
from pinchbolt.records.models import Marking
told = [[one.joint, one.part, one.on_part and one.on_part.kind] for one in Marking.objects.order_by("pk")]
json.dump(told, sys.stdout)
"""


def test_every_marking_is_of_its_part(now: dict[str, Any], home: Path) -> None:
    """Stem and bar carry theirs, and the child seat what was read off its block: it stands on the sheet from now on."""
    assert json.loads(_asked(home, "-c", _MARKINGS)) == [
        ["child-seat-block", "block", "child seat"],
        ["stem-face-4", "stem", "stem"],
        ["stem-face-4", "handlebar", "handlebar"],
    ]


_BUILDS = """
import django, json, sys
django.setup()
from pinchbolt.records.models import Bike
from pinchbolt.engines.build import flat_facts
from pinchbolt.workshop.bikes.build_sheet import sheets_of
bikes = list(Bike.objects.order_by("tag"))
builds = {number: sheet.build for number, sheet in sheets_of(bikes).items()}
told = {bike.tag: {part.id: part.kind.id for part in builds[bike.pk].parts} for bike in bikes}
own = {bike.tag: {n: f.value for part in builds[bike.pk].parts for n, f in part.facts.items()} for bike in bikes}
facts = {bike.tag: {**own[bike.tag], **flat_facts(builds[bike.pk])} for bike in bikes}
sure = {bike.tag: sorted(builds[bike.pk].confirmed) for bike in bikes}
json.dump({"parts": told, "facts": facts, "sure": sure}, sys.stdout, default=str)
"""


def test_the_build_tells_what_the_record_told(
    before: dict[str, Any], now: dict[str, Any], home: Path
) -> None:
    """Read in one go: the same parts, every fact that was on record, and no corner that a hand has not looked at.

    A fact is told by the name of the fit rules or, where none looks at it ("threaded 22.2"), of its part.
    """
    told = json.loads(_asked(home, "-c", _BUILDS))
    for tag, bike in before["bikes"].items():
        kinds = {part: kind for part, (kind, _) in bike["parts"].items()}
        assert {part: told["parts"][tag].get(part) for part in kinds} == kinds, tag
        assert len(told["parts"][tag]) == len(kinds) + len(ADDED.get(tag, ([], ""))[0]), tag
        facts = {name: _value(value) for name, value in told["facts"][tag].items()}
        assert [name for name, value in bike["facts"].items() if not _still_told(name, value, facts)] == []
    assert set(map(tuple, told["sure"].values())) == {()}


def _value(told: object) -> object:
    """The value of a fact, bare or with its source."""
    return told[0] if isinstance(told, list) else told
