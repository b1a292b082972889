"""The job card asks with the line that is done which part was new: one tap for each answer."""

import re

import pytest
from django.test import Client

from pinchbolt.workshop.bikes.build_sheet import parts_on
from tests.bench.job_screens.conftest import key, lines_of, started
from tests.story import Story
from tests.workshop.build_story import add

pytestmark = pytest.mark.django_db


def card(ines: Client, on: Story, line: int) -> str:
    """The line on the job card."""
    shown = ines.get(f"/job/{on.job}/work/").content.decode()
    return shown[shown.index(f'id="line-{line}"') :].split("</article>")[0]


def taps(shown: str) -> dict[str, str]:
    """What each button of the line sends, by its words."""
    return {
        words: value for value, words in re.findall(r'name="new" value="([^"]*)">([^<]*)</button>', shown)
    }


def test_a_tyre_is_new_by_one_tap(ines: Client, arrived: Story) -> None:
    """Tyre, tube, both, or nothing: what was tapped is told on the line."""
    on = asked_for_a_tube(arrived)
    line = lines_of(on)["tyre-tube"]
    told = taps(card(ines, on, line))
    assert list(told) == ["rear tyre", "rear inner tube", "both", "nothing new"]
    before = {part.pk for part in parts_on(on.record.bike)}
    answer = ines.post(f"/job/{on.job}/work/line/", {"key": key(), "line": line, "new": told["rear tyre"]})
    assert answer.status_code == 303
    gone = before - {part.pk for part in parts_on(on.record.bike)}
    assert gone == {int(told["rear tyre"])}
    assert "; new: rear tyre" in card(ines, on, line)


@pytest.mark.parametrize(("tapped", "ended"), [("both", 2), ("nothing new", 0)])
def test_both_and_nothing_are_one_tap_too(ines: Client, arrived: Story, tapped: str, ended: int) -> None:
    """What a puncture brings most days is neither more nor less than a tap."""
    on = asked_for_a_tube(arrived)
    line = lines_of(on)["tyre-tube"]
    before = {part.pk for part in parts_on(on.record.bike)}
    told = taps(card(ines, on, line))[tapped]
    ines.post(f"/job/{on.job}/work/line/", {"key": key(), "line": line, "new": told})
    assert len(before - {part.pk for part in parts_on(on.record.bike)}) == ended


def test_a_chain_is_done_without_a_question(ines: Client, arrived: Story) -> None:
    """A work that always renews the same part has its one button."""
    on = asked_for_a_tube(arrived)
    shown = card(ines, on, lines_of(on)["chain"])
    assert taps(shown) == {} and "new chain: done</button>" in shown


def asked_for_a_tube(on: Story) -> Story:
    """The bike of the job screens, its lines agreed and begun; it rides with tubes."""
    started(on)
    add(on, "tube", "rear")
    return on
