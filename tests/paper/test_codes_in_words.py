"""No bare code of the tables on paper: what a part meets is said in words, and a code stands behind them if at all.

Codes are ids of `interfaces.toml` that are no word of the trade: letters and figures joined, such as hg-11 or f-12x100. On paper one
may stand in brackets behind its words.
"""

import re

import pytest

from pinchbolt.paper import SHEETS, bolt_round_sheet, hang_tag, render
from pinchbolt.workshop.common.trade_tables import tables
from tests import story
from tests.paper.reading import words
from tests.story import NOW, Story
from tests.workshop.parts.test_swap import ROAD


def codes() -> set[str]:
    """Every id that a mechanic would have to look up."""
    ids = {str(getattr(row, "id", "")) for rows in tables().interfaces.values() for row in rows}
    return {one for one in ids if re.fullmatch(r"[a-z]+\d*-\d*[a-z0-9-]+", one) and re.search(r"\d", one)}


def bare(text: str) -> set[str]:
    """The codes that stand there without brackets."""
    said = set(re.findall(r"(?<![\w(-])[a-z]+\d*-[a-z0-9-]+(?![\w)-])", text))
    return said & codes()


def test_what_is_bare_is_found() -> None:
    """The test can fail."""
    assert bare("body hg-11, axle f-12x100 (hg-8910)") == {"hg-11", "f-12x100"}
    assert len(codes()) > 60


def test_every_such_code_has_its_words() -> None:
    """A row whose id has to be looked up says in plain words or by its trade name what it is."""
    silent = [
        row.id
        for rows in tables().interfaces.values()
        for row in rows
        if getattr(row, "id", "") in codes()
        and not (getattr(row, "plain", "") or getattr(row, "trade_name", ""))
    ]
    assert silent == []


@pytest.mark.parametrize("sheet", [*SHEETS, "bolt round", "hang tag"])
def test_no_sheet_says_a_bare_code(sheet: str, left_unsafe: Story) -> None:
    """A bike of which all is known that fit rules ask, with work done and declined."""
    story.add_facts(left_unsafe.tag, ROAD)
    if sheet == "bolt round":
        pdf = bolt_round_sheet(left_unsafe.tag, "whole", NOW)
    elif sheet == "hang tag":
        pdf = hang_tag(left_unsafe.tag, "http://bench")
    else:
        pdf = render(sheet, left_unsafe.job, NOW)
    assert bare(words(pdf)) == set()
