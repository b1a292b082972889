"""The page on the workshop's own tables is true: its examples load, its list of files is the registry's."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.reference import load
from pinchbolt.reference.check import main
from pinchbolt.reference.files import FILES

PAGE = Path(__file__).parents[2] / "docs" / "how-to" / "own-tables.md"
Shop = Callable[..., Path]


def test_the_page_lists_every_table() -> None:
    """A table that is added is told of, in the order of the registry."""
    listed = re.findall(r"^\| `([a-z-]+\.toml)` \|", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
    assert sorted(listed) == sorted(file.name for file in FILES)


def test_the_examples_of_the_page_load_and_say_what_the_page_prints(
    shop: Shop, capsys: pytest.CaptureFixture[str]
) -> None:
    """Late school, price of a tube, spacers of a pair; then the two lines of the check."""
    page = PAGE.read_text(encoding="utf-8")
    limits, price, pair = re.findall(r"```toml\n(.*?)```", page, re.DOTALL)
    folder = shop(limits=limits, parts_prices=price, interfaces=pair)
    assert {change.file for change in load(folder).overlaid} == {
        "limits.toml",
        "parts-prices.toml",
        "interfaces.toml",
    }
    assert main([str(folder)]) == 0
    for line in capsys.readouterr().out.splitlines()[:2]:
        assert line in page


def test_the_refusal_on_the_page_is_the_one_that_is_said(shop: Shop) -> None:
    """Word for word, with the folder before the file."""
    folder = shop(limits='[[limit]]\nid = "rotor-thickness-1.8"\nlimit = "thin"\n')
    with pytest.raises(InputRefused) as refused:
        load(folder)
    assert refused.value.sentence.removeprefix(f"{folder}/") in PAGE.read_text(encoding="utf-8")
