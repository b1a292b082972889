"""What a file of joints or tools may say, and each thing that refuses it whole."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from pinchbolt.engines.build import lowest_figures
from pinchbolt.errors import InputRefused
from pinchbolt.reference import tables
from pinchbolt.workshop.torque._kit_files import (
    LARGEST_FILE,
    MOST_ROWS,
    KitJoint,
    KitTool,
    read_joints,
    read_tools,
    tool_of_table,
)

Write = Callable[[str, str], Path]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """A file of this name that holds this."""

    def written(name: str, held: str) -> Path:
        path = tmp_path / name
        path.write_text(held, encoding="utf-8")
        return path

    return written


def joint(write: Write, held: str) -> KitJoint:
    """The one joint of a JSON file."""
    (found,) = read_joints(write("joints.json", f"[{held}]"))
    return found


def tool(write: Write, held: str) -> KitTool:
    """The one tool of a JSON file."""
    (found,) = read_tools(write("tools.json", f"[{held}]"))
    return found


def refused(read: Callable[[Path], object], path: Path) -> str:
    """The sentence with which a file is refused."""
    with pytest.raises(InputRefused) as fault:
        read(path)
    return fault.value.sentence


def test_a_name_that_stands_twice_is_refused_and_both_are_said(write: Write) -> None:
    """Python's reader would take the last in silence: 6, where 5 is marked."""
    held = '[{"id": "face", "drive": "hex-4", "floor_n_m": 4, "cap_n_m": 5, "cap_n_m": 6}]'
    said = refused(read_joints, write("joints.json", held))
    assert '"cap_n_m" stands more than once, with 5 and 6' in said and not said.endswith("..")


def test_the_kind_of_a_file_is_its_ending_whatever_its_case(write: Write) -> None:
    """JSON, TOML and CSV; nothing else, and a list or an object that names one."""
    as_json = read_joints(write("a.JSON", '{"joints": [{"id": "x", "drive": ["hex-4", "tx-25"]}]}'))
    as_toml = read_joints(write("a.toml", '[[joint]]\nid = "x"\ndrive = ["hex-4", "tx-25"]\n'))
    as_csv = read_joints(write("a.csv", "id,drive\nx,hex-4;tx-25\n"))
    assert as_json == as_toml == as_csv == (KitJoint("x", "x", ("hex-4", "tx-25"), None),)
    assert "ends in .json, .toml or .csv" in refused(read_joints, write("a.txt", "[]"))
    for held in ("[]", "{}", '{"tools": [{"id": "x"}]}', "[1]", '"x"'):
        assert "a list of joints is needed" in refused(read_joints, write("a.json", held))
    assert "no sound JSON" in refused(read_joints, write("a.json", "[{"))
    assert "no sound TOML" in refused(read_joints, write("a.toml", "= 3"))
    assert "no such file" in refused(read_joints, Path("/nowhere/a.json"))


def test_a_file_may_be_so_large_and_no_larger(write: Write) -> None:
    """A million bytes are read; one more is not."""
    row = '[{"id": "x", "drive": "hex-4"}]'
    assert read_joints(write("a.json", row + " " * (LARGEST_FILE - len(row))))
    over = write("a.json", row + " " * (LARGEST_FILE - len(row) + 1))
    assert "over 1 MB. Send fewer joints" in refused(read_joints, over)


def test_a_thousand_rows_are_read_and_one_more_is_not(write: Write) -> None:
    """Each counted as it stands."""
    rows = ["id,drive", *(f"j{number},hex-4" for number in range(MOST_ROWS))]
    assert len(read_joints(write("a.csv", "\n".join(rows)))) == MOST_ROWS
    said = refused(read_joints, write("a.csv", "\n".join((*rows, "more,hex-4"))))
    assert "1,001 joints: 1,000 at most" in said


def test_five_faults_are_told_and_the_rest_counted(write: Write) -> None:
    """Each by its row; the rows that are sound save nothing."""
    held = ",".join(['{"id": "good", "drive": "hex-4"}', *(['{"drive": "hex-4"}'] * 7)])
    said = refused(read_joints, write("a.json", f"[{held}]"))
    assert [f"joint {row}: id is missing" in said for row in range(1, 8)] == [False, *[True] * 5, False]
    assert "2 more like it. Correct the file; nothing was chosen." in said
    five = ",".join(['{"drive": "hex-4"}'] * 5)
    assert "more like it" not in refused(read_joints, write("a.json", f"[{five}]"))


def test_a_joint_of_our_table_brings_its_lowest_figures_unless_the_file_says_how_it_is_turned(
    write: Write,
) -> None:
    """A head that was read tells of another bolt than the table's; its window is the file's to say."""
    row = tables().joints["stem-face-4"]
    figures = lowest_figures(tables(), row)
    found = joint(write, '{"id": "mine", "joint": "stem-face-4"}')
    assert found == KitJoint("mine", row.name, row.drive, (figures.low, figures.high))
    assert joint(write, '{"id": "stem-face-4"}').window == (figures.low, figures.high)
    assert joint(write, '{"id": "stem-face-4", "drive": "hex-4"}').window is None
    own = joint(write, '{"id": "stem-face-4", "name": "face", "floor_n_m": 4, "cap_n_m": 4}')
    assert (own.name, own.window) == ("face", (4.0, 4.0))
    assert joint(write, '{"id": "quick-release"}').window is None
    said = refused(read_joints, write("a.json", '[{"id": "x", "joint": "no such", "drive": "hex-4"}]'))
    assert 'joint is "no such": it is a row of the joints table' in said
    assert '"x" has no drive' in refused(read_joints, write("a.json", '[{"id": "x"}]'))


@pytest.mark.parametrize(
    ("held", "said"),
    [
        ('"floor_n_m": 4', "stand together"),
        ('"cap_n_m": 5', "stand together"),
        ('"floor_n_m": 0, "cap_n_m": 5', "stand together"),
        ('"floor_n_m": 5.1, "cap_n_m": 5', "stand together"),
        ('"floor_n_m": -1, "cap_n_m": 5', 'floor_n_m is "-1": a number of 0 or more'),
        ('"floor_n_m": true, "cap_n_m": 5', 'floor_n_m is "True"'),
        ('"floor_n_m": "four", "cap_n_m": 5', 'floor_n_m is "four"'),
        ('"floor_n_m": 4, "cap_n_m": 1000000', 'cap_n_m is "1000000"'),
        ('"floor_n_m": 4, "cap_n_m": 1e999', 'cap_n_m is "inf"'),
    ],
)
def test_a_window_that_is_none_is_refused(write: Write, held: str, said: str) -> None:
    """Two ends, above 0, the floor not above the cap, and figures."""
    assert said in refused(read_joints, write("a.json", f'[{{"id": "x", "drive": "hex-4", {held}}}]'))


def test_a_tool_of_our_table_brings_mass_price_and_what_it_turns(write: Write) -> None:
    """What the file says besides is the file's."""
    row = tables().tools["hex-5"]
    price = tables().tool_prices["hex-5"].price
    assert tool(write, '{"id": "hex-5"}') == KitTool(
        "hex-5", row.name, float(row.grams), price, row.covers, None
    )
    own = tool(write, '{"id": "mine", "tool": "hex-5", "name": "worn", "grams": 0, "price": "0"}')
    assert own == KitTool("mine", "worn", 0.0, Decimal(0), row.covers, None)
    assert 'tool is "none such"' in refused(
        read_tools, write("a.json", '[{"id": "x", "tool": "none such", "grams": 1, "drive": "hex-4"}]')
    )
    assert '"x" has no grams' in refused(read_tools, write("a.json", '[{"id": "x", "drive": "hex-4"}]'))
    assert '"x" does nothing' in refused(read_tools, write("a.json", '[{"id": "x", "grams": 1}]'))


@pytest.mark.parametrize("price", ["-0.01", "1000000", "dear", "Infinity", "NaN"])
def test_a_price_is_a_sum_of_money(write: Write, price: str) -> None:
    """Nought is one; less, or words, are none."""
    held = f'[{{"id": "x", "grams": 1, "drive": "hex-4", "price": "{price}"}}]'
    assert f'price is "{price}": a number of 0 or more' in refused(read_tools, write("a.json", held))
    assert tool(write, '{"id": "x", "grams": 1, "drive": "hex-4", "price": 999999}').price == 999999


def test_a_torque_tool_of_a_file_is_taken_as_it_is_told(write: Write) -> None:
    """Range, steps, deviation in percent, day of its next calibration."""
    told = tool(
        write,
        '{"id": "w", "name": "wrench", "grams": 480, "least_n_m": 2, "greatest_n_m": 14, "step_n_m": 0.2, '
        '"deviation_percent": 6, "due": "2027-03-01"}',
    )
    spec = told.torque
    assert spec is not None and told.drives == ()
    assert (spec.id, spec.name, spec.least, spec.greatest, spec.step) == ("w", "wrench", 2.0, 14.0, 0.2)
    assert (spec.deviation, spec.steps, spec.due) == (0.06, (), date(2027, 3, 1))
    preset = tool(write, '{"id": "p", "grams": 1, "steps_n_m": [5, 4, 6], "deviation_percent": 0}').torque
    assert preset is not None
    assert (preset.least, preset.greatest, preset.steps, preset.step) == (4.0, 6.0, (5.0, 4.0, 6.0), 0.1)
    assert preset.due is None and preset.deviation == 0.0
    ranged = tool(
        write,
        '{"id": "p", "grams": 1, "steps_n_m": "4;5", "least_n_m": 3, "greatest_n_m": 7, "deviation_percent": 4}',
    ).torque
    assert ranged is not None and (ranged.least, ranged.greatest, ranged.steps) == (3.0, 7.0, (4.0, 5.0))


@pytest.mark.parametrize(
    ("held", "said"),
    [
        ('"least_n_m": 2, "deviation_percent": 6', "has least_n_m and greatest_n_m"),
        ('"greatest_n_m": 14, "deviation_percent": 6', "has least_n_m and greatest_n_m"),
        ('"least_n_m": 2, "greatest_n_m": 14', "and deviation_percent (6 for 6 %)"),
        ('"least_n_m": 2, "greatest_n_m": 14, "deviation_percent": 0.49', "0.5 to below 100"),
        ('"least_n_m": 2, "greatest_n_m": 14, "deviation_percent": 100', "0.5 to below 100"),
        ('"least_n_m": 2, "greatest_n_m": 14, "deviation_percent": 6, "step_n_m": 0', "step_n_m is above 0"),
        ('"least_n_m": 2, "greatest_n_m": 1001, "deviation_percent": 6', "no setting above 1,000 N·m"),
        ('"steps_n_m": [4, 1001], "deviation_percent": 6', "no setting above 1,000 N·m"),
        ('"least_n_m": 2, "greatest_n_m": 14, "deviation_percent": 6, "due": "soon"', 'due is "soon"'),
    ],
)
def test_a_torque_tool_that_is_half_told_is_refused(write: Write, held: str, said: str) -> None:
    """Each by what is missing or out of sense."""
    assert said in refused(read_tools, write("a.json", f'[{{"id": "x", "grams": 1, {held}}}]'))


@pytest.mark.parametrize("held", ['"deviation_percent": 0.5', '"deviation_percent": 99.9'])
def test_the_best_and_the_worst_tool_there_is_are_taken(write: Write, held: str) -> None:
    """Half a percent, and all but the whole."""
    spec = tool(write, f'{{"id": "x", "grams": 1, "least_n_m": 2, "greatest_n_m": 1000, {held}}}').torque
    assert spec is not None and 0 < spec.deviation < 1


def test_a_class_with_two_figures_is_taken_by_the_tools_greatest_value() -> None:
    """Up to 10 N·m the wider one (ISO 6789-1:2017, table of permissible deviations, from memory)."""
    known = tables()
    for row in known.torque_tools.values():
        of_class = known.torque_classes[row.class_]
        spec = tool_of_table(row.id, "mine")
        assert (spec.id, spec.name, spec.least, spec.greatest) == ("mine", row.name, *row.range)
        assert (spec.steps, spec.step, spec.due) == (row.steps, row.step or 0.1, None)
        two = (of_class.deviation_to_10, of_class.deviation_over_10)
        expected = of_class.deviation if of_class.deviation is not None else two[row.range[1] > 10]
        assert spec.deviation == expected


def test_long_names_are_cut_where_they_are_kept(write: Write) -> None:
    """An id at 80 letters, a drive at 60."""
    found = joint(write, f'{{"id": "{"i" * 100}", "drive": ["{"d" * 100}"]}}')
    assert (found.id, found.drives) == ("i" * 80, ("d" * 60,))
