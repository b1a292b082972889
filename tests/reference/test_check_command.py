"""`python -m pinchbolt.reference.check`: the same sentences at a desk as at the start."""

from collections.abc import Callable
from pathlib import Path

import pytest

from pinchbolt.reference import Tables
from pinchbolt.reference.check import main
from pinchbolt.reference.sums import as_toml, column_sums

Shop = Callable[..., Path]


def test_sound_tables_are_called_sound(capsys: pytest.CaptureFixture[str]) -> None:
    """Exit 0 and how much was looked at."""
    assert main([]) == 0
    out = capsys.readouterr().out
    assert out.endswith("rows are sound.\n")
    assert "tables with" in out


def test_what_the_workshop_changed_is_said_line_by_line(
    shop: Shop, capsys: pytest.CaptureFixture[str]
) -> None:
    """Field, new figure, trade's figure."""
    assert main([str(shop(limits='[[limit]]\nid = "dish"\nwarn = 0.7\n'))]) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[0] == 'limits.toml, row "dish", warn: 0.7 mm (the trade table has 0.5 mm).'


def test_bad_tables_end_in_1_with_every_sentence(shop: Shop, capsys: pytest.CaptureFixture[str]) -> None:
    """On the error stream, as `make check` shows it."""
    folder = shop(limits='[[limit]]\nid = "dish"\nwarn = "wide"\nsd = "?"\n')
    assert main([str(folder)]) == 1
    err = capsys.readouterr().err
    assert 'field "warn" is "wide": a number in mm.' in err
    assert 'field "sd" is "?": a number in mm.' in err


@pytest.mark.parametrize("words", [["--help-me"], ["a", "b"], ["--sums", "folder"]])
def test_words_that_are_not_understood_end_in_2(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """With how to write it."""
    assert main(words) == 2
    assert "Write: python -m pinchbolt.reference.check [FOLDER | --sums]" in capsys.readouterr().err


def test_the_sums_that_it_prints_are_those_that_are_pinned(
    trade: Tables, capsys: pytest.CaptureFixture[str]
) -> None:
    """One command makes the file beside the tests."""
    assert main(["--sums"]) == 0
    assert capsys.readouterr().out == as_toml(column_sums(trade))


def test_two_changes_that_cancel_are_seen(trade: Tables) -> None:
    """The sum alone would miss one row up and another down by as much; the squares do not."""
    words = column_sums(trade)["thread"]["stress_area"]
    areas = [row.stress_area for row in trade.threads.values()]
    assert f"sum {sum(areas):.2f}".rstrip("0") in words
    moved = [areas[0] + 1, areas[1] - 1, *areas[2:]]
    assert sum(value**2 for value in moved) != pytest.approx(sum(value**2 for value in areas))
