"""Which limits are read on a part follows from the tables of today and the part, not from the day when it was fitted."""

from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path

import pytest

from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.workshop.common.trade_tables import read_tables_again, tables
from pinchbolt.workshop.stays.walk_round import walk_round
from tests.story import NOW
from tests.workshop.build_story import bike, part_on, read, readings_of

pytestmark = pytest.mark.django_db

OWN = "rotor-blue-edge"
# A limit names its kinds in `on`, once there is such a field; before that the kind stands in `part`.
_ON = 'on = ["rotor"]' if "on" in {field.name for field in fields(LimitRow)} else ""


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The folder of the workshop's own tables, read at the next question."""
    monkeypatch.setattr("django.conf.settings.SHOP_TABLES", str(tmp_path))
    read_tables_again()
    yield tmp_path
    read_tables_again()


def write(own: Path) -> None:
    """The workshop looks for a blue edge on every rotor, and starts again."""
    (own / "limits.toml").write_text(
        f"""
        [[limit]]
        id = "{OWN}"
        part = "rotor"
        {_ON}
        quantity = "edge gone blue"
        where = "outer edge, all round"
        instrument = "eye"
        unit = "yes/no"
        direction = "flag"
        limit = "yes"
        at_limit = "before it leaves"
        safety = true
        source = "our own book"
        certain = "medium"
        """,
        encoding="utf-8",
    )
    read_tables_again()


def test_a_limit_of_the_workshop_is_read_on_bikes_that_are_there(own: Path) -> None:
    """The bike came first, the row afterwards: it stands in the walk-round at both ends and its reading is a finding."""
    there = bike("road-disc")
    assert OWN not in readings_of(there, "rotor")
    write(own)
    for end in ("front", "rear"):
        assert OWN in readings_of(there, "rotor", end)
    found = read(there, part_on(there, "rotor", "rear"), OWN, word="yes").finding
    assert (found.verdict, found.safety) == ("before it leaves", True)


def test_a_limit_without_a_place_of_its_own_comes_at_the_place_of_its_part(own: Path) -> None:
    """Not named in the order of the walk-round: it is read with the brake that its rotor is part of, not 'elsewhere'."""
    write(own)
    there = bike("road-disc")
    places = {
        place.id for place in walk_round(there.record, NOW) for due in place.readings if due.limit == OWN
    }
    assert places == {"front-brake", "rear-brake"}


def test_a_limit_that_is_gone_leaves_its_reading_and_no_question(own: Path) -> None:
    """The workshop takes its row away again: what was read stays on the page, and nobody is asked for more."""
    there = bike("road-disc")
    write(own)
    rotor = part_on(there, "rotor", "rear")
    read(there, rotor, OWN, word="yes")
    (own / "limits.toml").unlink()
    read_tables_again()
    assert OWN not in readings_of(there, "rotor")
    assert rotor.readings.count() == 1


@pytest.mark.parametrize("template", sorted(tables().templates))
def test_each_rim_is_looked_at_for_cracks_once(template: str) -> None:
    """A wheel stands for its rim unless the rim stands on the sheet by itself: once in front, once behind, on every build."""
    there = bike(template)
    due = [
        due.part_place
        for place in walk_round(there.record, NOW)
        for due in place.readings
        if due.limit == "rim-crack"
    ]
    assert sorted(due) == ["front", "rear"]
