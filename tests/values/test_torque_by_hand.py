"""21 kinds of bike: every joint's figures, setting and head are those that a mechanic wrote down before."""

from datetime import date

import pytest

from pinchbolt.engines.build import clamped_by, figures_of, joints_of
from pinchbolt.engines.torque import JointSpec, ToolSpec, TorqueRange, best_setting, window
from pinchbolt.errors import NoSafeAnswer, Unknown
from pinchbolt.reference import Tables, tables
from tests.values.test_bikes_by_hand import BIKES, sheet
from tests.values.test_bikes_by_hand import written as joints_written
from tests.values.torque_of_bikes import BY_HAND, MAKER, NO_TOOL, written

TODAY, IN_DATE = date(2026, 11, 28), date(2027, 6, 1)


def board(trade: Tables) -> list[ToolSpec]:
    """Every torque tool of the table, in date, as far out as its class allows."""
    found = []
    for row in trade.torque_tools.values():
        of_class = trade.torque_classes[row.class_]
        by_end = of_class.deviation_to_10 if row.range[1] <= 10 else of_class.deviation_over_10
        out = of_class.deviation if of_class.deviation is not None else by_end
        assert out is not None
        found.append(ToolSpec(row.id, row.name, *row.range, out, row.step or 0.1, row.steps, IN_DATE))
    return found


@pytest.mark.parametrize("name", BIKES)
def test_every_joint_of_a_kind_of_bike_is_set_as_the_hand_would(name: str) -> None:
    """Figures alike, settings within a twentieth; by hand where no tool is for it, refused where only the maker knows."""
    trade, build = tables(), sheet(tables(), name)
    tools = board(trade)
    wrong = {}
    for one in joints_of(build):
        if not one.stands:
            continue
        row, told = one.row, written(one.name, BY_HAND["as"].get(name, ()))
        figures = figures_of(build, one)
        parts = tuple(part.kind.id for part in clamped_by(build, one))
        asked = JointSpec(
            row.id, row.name, parts, TorqueRange(figures.low, figures.high, figures.typical, figures.source),
            table_is_no_default=figures.makers_figure_only,
        )  # fmt: skip
        if row.closed_by != "torque":
            good = told.set == NO_TOOL
        elif figures.makers_figure_only:
            with pytest.raises(Unknown):
                window(asked)
            good = told.set == MAKER
        else:
            found = window(asked)
            try:
                setting = best_setting(found, tools, TODAY).set
            except NoSafeAnswer:
                setting = 0.0
            good = told.agrees(found.floor, found.cap, setting)
        if not good or row.drive[0] != told.head:
            wrong[one.name] = (figures.low, figures.high, row.drive[0], told)
    assert wrong == {}


@pytest.mark.parametrize("name", BIKES)
def test_the_hand_wrote_figures_for_every_joint_that_it_listed(name: str) -> None:
    """No joint of the list is without its line."""
    missing = {one for one in joints_written(name, "bolts") if one.partition(":")[0] not in BY_HAND["joint"]}
    assert missing == set()
