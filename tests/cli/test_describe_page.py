"""The page on describing a bike is true: its commands run in their order and do what it says."""

import re
import shlex
from pathlib import Path

from pinchbolt.engines.build import SOURCES
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.goes_to import GOES_TO
from tests.cli.conftest import Run
from tests.story import Story

PAGE = Path(__file__).parents[2] / "docs" / "how-to" / "describe-a-bike.md"
TEXT = PAGE.read_text(encoding="utf-8")


def _commands() -> list[list[str]]:
    (block,) = re.findall(r"```\n(.*?)```", TEXT, re.DOTALL)
    return [shlex.split(line)[1:] for line in block.splitlines()]


def test_the_commands_of_the_page_run_in_their_order(arrived: Story, run: Run) -> None:
    """From a bike begun from nothing to its safety list; each ends well and does what the page says."""
    names: dict[str, str] = {}
    said: list[tuple[list[str], str]] = []
    for words in _commands():
        ran = run(*[names.get(word, word) for word in words])
        assert ran.code == 0, (words, ran.err)
        said.append((words, ran.out))
        if words[0] == "check-in":
            names["TAG"], names["JOB"] = re.findall(r"^(\S+) is in \(new bike\), job (\d+)", ran.out)[0]
        for part in build_of(bike_by_tag(names["TAG"])).parts:
            names[part.kind.id.upper()] = str(part.id)
    told = {words[0]: out for words, out in said}
    assert "1.55 mm governs this part" in told["mark-limit"] and "into the bins" in told["take-off"]
    assert next(out for words, out in said if "owner's word" in words).count("resin (owner's word)") == 1
    build = build_of(bike_by_tag(names["TAG"]))
    assert "rotor" not in {part.kind.id for part in build.parts}
    assert build.confirmed == set(build.tables.spots.values())
    (pads,) = (part for part in build.parts if part.kind.id == "pads")
    assert (pads.facts["pads"].value, pads.facts["pads"].source) == ("sintered", "read off the part")


def test_the_ways_of_knowing_and_the_places_on_the_page_are_all() -> None:
    """Each source and each place where a part goes is named on the page."""
    page = " ".join(TEXT.split())
    assert [source for source in SOURCES if source not in page] == []
    assert [words for words in GOES_TO.values() if words not in page] == []
