"""Ten minutes at the stand on the command line: the order with worth, chance, minutes and reason."""

import pytest

from tests import story
from tests.cli.conftest import Run
from tests.story import Story


@pytest.fixture
def arrived(db: None) -> Story:
    """A gravel bike that was checked in."""
    return story.checked_in("gravel-1x")


def test_the_order_says_worth_chance_minutes_and_reason(arrived: Story, run: Run) -> None:
    """Every look of every card in the order of the page, within the minutes; what is left says the same of itself."""
    told = run("walk-round", str(arrived.job), "--minutes", "10", "--json").json
    looks = [one for card in told["cards"] for one in card["looks"]]
    assert told["minutes"] == 10 and sum(one["seconds"] for one in looks) <= 600
    assert [one["look"] for one in looks][:3] == ["axle-closed:front", "brake-bite:front", "lever:front"]
    for one in (*looks, *told["left"]):
        assert 0 < one["chance"] < 1 and one["worth"] >= 0 and one["seconds"] > 0
        assert one["reason"] and one["chance_words"] and one["rule"] in ("complaint", "core", "worth", "left")
    assert {one["rule"] for one in looks} >= {"core", "worth"}
    assert run("walk-round", str(arrived.job), "--minutes", "10", "--json").json == told


def test_the_lines_name_cards_looks_and_what_is_left(arrived: Story, run: Run) -> None:
    """Each look of the JSON stands in a line with its reason; the last line says what is not in these minutes."""
    told = run("walk-round", str(arrived.job), "--minutes", "5", "--json").json
    lines = run("walk-round", str(arrived.job), "--minutes", "5").out.splitlines()
    for card in told["cards"]:
        for one in card["looks"]:
            (line,) = (line for line in lines if line.strip().startswith(f"{one['look']}  "))
            assert one["words"] in line and line.endswith(one["reason"])
    assert lines[-1].startswith(f"not in these minutes: {len(told['left'])}, among them")


def test_too_few_minutes_are_refused(arrived: Story, run: Run) -> None:
    """One minute is no walk-round; without minutes it is the list of readings."""
    ran = run("walk-round", str(arrived.job), "--minutes", "1")
    assert ran.code == 2 and "minutes are too few" in ran.err
    assert "[chain-elongation" in run("walk-round", str(arrived.job)).out
