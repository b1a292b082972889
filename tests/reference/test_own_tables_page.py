"""The page on the workshop's own tables is true: its examples load, its list of files is the registry's."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from pinchbolt.engines.build import (
    Build,
    FactValue,
    PartOn,
    items_for,
    joints_of,
    limits_on,
    settled,
    unseen_corners,
)
from pinchbolt.errors import InputRefused
from pinchbolt.reference import Tables, load
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
    limits, price, pair, *_ = re.findall(r"```toml\n(.*?)```", page, re.DOTALL)
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


def own_kind(shop: Shop) -> Tables:
    """The trade tables with the kind of part of the page laid over them."""
    page = PAGE.read_text(encoding="utf-8")
    blocks = re.findall(r"```toml\n# ([a-z-]+)\.toml\n(.*?)```", page, re.DOTALL)
    assert [name for name, _ in blocks] == ["part-kinds", "limits", "joints", "signoff"]
    return load(shop(**{name.replace("-", "_"): text for name, text in blocks}))


def _bike(tables: Tables, *baskets: dict[str, str]) -> Build:
    row = tables.kinds["frame"]
    kind = tables.kinds["basket"]
    known = [
        {name: FactValue(value, "read off the part") for name, value in facts.items()} for facts in baskets
    ]
    parts = (
        PartOn(1, row, confirmed=True),
        *(PartOn(2, kind, "", settled(kind, facts), True) for facts in known),
    )
    return Build(tables, "city", parts)


def test_a_kind_of_the_page_brings_its_limit_its_joint_and_its_item(shop: Shop) -> None:
    """On a bike with such a basket, at its station; the joint once it is told that a block holds it."""
    tables = own_kind(shop)
    by_block, by_stays, open_question = (
        _bike(tables, {"basket_hold": "bar block"}),
        _bike(tables, {"basket_hold": "stays"}),
        _bike(tables, {}),
    )
    for build in (by_block, by_stays, open_question):
        assert [one.row.id for one in limits_on(build, build.parts[1])] == ["basket-loose"]
        assert "so-basket" in {item.id for item in items_for(build)}
    assert {one.name: one.stands for one in joints_of(by_block)} == {"basket-block": True}
    assert joints_of(by_stays) == ()
    (waiting,) = joints_of(open_question)
    assert [ask.fact.id for ask in waiting.asks] == ["basket_hold"] and not waiting.stands
    assert by_block.parts[1].station == "bar-and-levers"


def test_a_bike_without_the_kind_of_the_page_is_not_asked_for_it(shop: Shop) -> None:
    """No item; but its corner is looked at once before sign-off, since a loose basket is unsafe."""
    bare = _bike(own_kind(shop))
    assert "so-basket" not in {item.id for item in items_for(bare)}
    assert "bar" in unseen_corners(bare)


def test_what_the_page_says_of_older_rows_is_what_is_said(shop: Shop) -> None:
    """`kinds` and `speeds` are refused by row and field; what stands in their place is taken."""
    page = PAGE.read_text(encoding="utf-8")
    for field, value in (("kinds", '["mtb"]'), ("speeds", "[12]")):
        assert f"`{field}`" in page
        with pytest.raises(InputRefused, match=f'row "sealant-age", field "{field}" is not known here'):
            load(shop(limits=f'[[limit]]\nid = "sealant-age"\n{field} = {value}\n'))
    (instead,) = re.findall(r"`speeds = \[12\]` is `(when = .*?)`", page)
    shop(limits=f'[[limit]]\nid = "sealant-age"\n{instead}\n')
    (price,) = re.findall(r"`(when = \[\"pads\.pads.*?)` in the place", page.replace("\n", " "))
    assert (
        load(shop(parts_prices=f'[[price]]\nid = "pads-resin"\npart = "pads"\n{price}\n'))
        .limits["sealant-age"]
        .when
    )
