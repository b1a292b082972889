"""Pieces of a page are drawn once for the same values, and never for others."""

import re
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from django.template import Context, Engine, Template, TemplateSyntaxError
from django.urls import NoReverseMatch, reverse, set_script_prefix
from django.utils import timezone

import pinchbolt.bench
from pinchbolt.bench.addresses import address
from pinchbolt.records.models import Workshop
from pinchbolt.values.money import money_text
from pinchbolt.workshop.common.trade_tables import tables, with_tables
from tests.bench.conftest import Cast

pytestmark = pytest.mark.django_db
PAGES = Path(pinchbolt.bench.__file__).parent
_KEPT = re.compile(r"{% kept [^%]*%}(.*?){% endkept %}", re.DOTALL)
_INCLUDED = re.compile(r'{% include "([^"]+)"')
_ONE_ACT = re.compile(r"{% (csrf_token|request_mark|waits)|<form|{% keypad")


@dataclass(frozen=True)
class Line:
    """A value of a page that counts how often it is looked at."""

    owner: str
    day: date = date(2026, 5, 4)
    looks: list[str] = field(default_factory=list, compare=False)

    @property
    def said(self) -> str:
        """The owner, as the page says them."""
        self.looks.append(self.owner)
        return self.owner


def engine() -> Engine:
    """The engine of the pages."""
    return Engine.get_default()


def drawn(text: str, **values: object) -> str:
    """A text of the page, drawn."""
    return Template(text, engine=engine()).render(Context(values))


def test_a_piece_is_drawn_once_for_the_same_values() -> None:
    """Whoever comes second with the same values gets what the first one got."""
    page = Template("{% kept line %}<b>{{ line.said }}</b>{% endkept %}", engine=engine())
    lines = [Line("Søren Kjær"), Line("Søren Kjær"), Line("<Zoë>")]
    assert [page.render(Context({"line": line})) for line in lines] == [
        "<b>Søren Kjær</b>", "<b>Søren Kjær</b>", "<b>&lt;Zoë&gt;</b>",
    ]  # fmt: skip
    assert [len(line.looks) for line in lines] == [1, 0, 1]


def test_a_changed_value_is_drawn_anew() -> None:
    """One field is enough."""
    page = Template("{% kept line %}{{ line.said }}{% endkept %}", engine=engine())
    line = Line("Ağaoğlu")
    assert page.render(Context({"line": line})) == "Ağaoğlu"
    assert page.render(Context({"line": replace(line, owner="Đặng")})) == "Đặng"


def test_a_piece_that_names_a_day_is_another_tomorrow(monkeypatch: pytest.MonkeyPatch) -> None:
    """Today is said of a day as long as it is today."""
    page = Template("{% load bench %}{% kept line %}{{ line.day|day_words }}{% endkept %}", engine=engine())
    for today, said in ((date(2026, 5, 3), "tomorrow"), (date(2026, 5, 4), "today"), (date(2026, 5, 5), "yesterday")):  # fmt: skip
        monkeypatch.setattr(timezone, "localdate", lambda today=today: today)
        assert page.render(Context({"line": Line("Wójcik")})) == said


def test_a_piece_is_another_by_other_tables() -> None:
    """Rows of the workshop's own change what a part is called; back by the first ones, what was drawn by them holds."""
    page = Template("{% kept line %}{{ line.said }}{% endkept %}", engine=engine())
    line = Line("Ó Súilleabháin")
    for given in (tables(), replace(tables()), tables()):
        with with_tables(given):
            page.render(Context({"line": line}))
    assert len(line.looks) == 2


def test_an_amount_is_written_as_the_shop_writes_it(cast: Cast) -> None:
    """A shop that moves has its amounts another way from then on."""
    page = Template("{% load drawn %}{% kept amount %}{% money amount %}{% endkept %}", engine=engine())
    told = []
    for country, currency in (("GB", "GBP"), ("DE", "EUR")):
        Workshop.objects.update(country=country, currency=currency)
        told.append(page.render(Context({"amount": Decimal("1234.50")})))
    assert told == [money_text(Decimal("1234.50"), "GBP", "GB"), money_text(Decimal("1234.50"), "EUR", "DE")]
    assert told[0] != told[1]


def test_nothing_else_of_the_page_is_in_sight() -> None:
    """What hangs on something that is not named would be drawn for somebody else."""
    assert (
        drawn("{% kept line %}{{ line.owner }}{{ other }}{% endkept %}{{ other }}", line=Line("a"), other="b")
        == "ab"
    )


def test_a_piece_names_what_it_hangs_on() -> None:
    """Without a name it would be the same for everybody."""
    with pytest.raises(TemplateSyntaxError, match="name the values"):
        drawn("{% kept %}{% endkept %}")


def test_what_can_be_changed_is_not_kept() -> None:
    """A list may be another one by the next asking."""
    with pytest.raises(TypeError, match="unhashable"):
        drawn("{% kept line %}{% endkept %}", line=["a"])


def _texts(piece: str) -> list[str]:
    """A piece and all that it includes."""
    found = [piece]
    for name in _INCLUDED.findall(piece):
        there = next(one for one in (PAGES / name, PAGES / "templates" / name) if one.exists())
        found += _texts(there.read_text(encoding="utf-8"))
    return found


def test_no_kept_piece_holds_a_form() -> None:
    """A form carries the mark of one act: drawn once and shown twice, the second act would be taken for the first."""
    pieces = [
        (page, piece)
        for page in PAGES.rglob("*.html")
        for piece in _KEPT.findall(page.read_text(encoding="utf-8"))
    ]
    assert len(pieces) > 4
    assert not [page.name for page, piece in pieces if any(_ONE_ACT.search(text) for text in _texts(piece))]


def test_an_address_is_the_frameworks_own() -> None:
    """Put together once, escaped each time."""
    there = reverse("bike", kwargs={"tag": "A&B-1"})
    assert address("bike", tag="A&B-1") == there
    assert drawn('{% url "bike" tag=tag %}', tag="A&B-1") == there.replace("&", "&amp;")
    assert (
        drawn('{% url "bike" tag=tag as there %}[{{ there }}]', tag="A-1")
        == f"[{reverse('bike', kwargs={'tag': 'A-1'})}]"
    )


def test_an_address_that_is_none_is_refused_as_ever() -> None:
    """A slip in a page is seen by whoever wrote it."""
    with pytest.raises(NoReverseMatch):
        drawn('{% url "no such screen" %}')
    assert drawn('{% url "no such screen" as there %}[{{ there }}]') == "[]"


def test_an_address_goes_with_the_place_of_the_pages() -> None:
    """Served behind another path, each address starts there."""
    page = Template('{% kept line %}{% url "shop_day" %}{% endkept %}', engine=engine())
    line = Line("Šťastný")
    try:
        here = page.render(Context({"line": line}))
        set_script_prefix("/werkstatt/")
        assert address("shop_day") == f"/werkstatt{here}"
        assert page.render(Context({"line": line})) == f"/werkstatt{here}"
    finally:
        set_script_prefix("/")
