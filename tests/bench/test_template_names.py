"""Every name in a template is a field of its page: a name that is nowhere would be shown as nothing, and nobody told."""

from collections.abc import Iterator, Mapping

import pytest
from django.template import Context
from django.template.base import Variable, VariableDoesNotExist
from django.test import Client

from tests.bench.conftest import Cast
from tests.bench.pages import MORE, PAGES, filled

MAY_BE_LEFT_OUT = {"note", "again", "opened", "unit", "field.field.beside"}
"""What an include may be given or not, and the unit that stands beside a field that has one."""


@pytest.fixture
def nowhere(monkeypatch: pytest.MonkeyPatch) -> Iterator[set[str]]:
    """Names that a template asked for and that neither the page nor the thing that it shows has."""
    missed: set[str] = set()
    looked_up = Variable._resolve_lookup

    def stands_on_nothing(name: str, context: Context) -> bool:
        """Whether what is before the last dot is nothing, or a table that may lack a row: `form.errors.pin`."""
        before = name.rpartition(".")[0]
        try:
            there = Variable(before).resolve(context) if before else name
            return there in (None, "") or isinstance(there, Mapping)
        except VariableDoesNotExist:
            return stands_on_nothing(before, context)

    def watched(self: Variable, context: Context) -> object:
        try:
            return looked_up(self, context)
        except VariableDoesNotExist:
            name = str(self.var)
            if name not in MAY_BE_LEFT_OUT and not stands_on_nothing(name, context):
                missed.add(name)
            raise

    monkeypatch.setattr(Variable, "_resolve_lookup", watched)
    yield missed


@pytest.mark.django_db
@pytest.mark.parametrize("page", [*PAGES, *MORE])
def test_a_template_names_only_what_its_page_has(
    page: str, on_the_sheet: Cast, tablet: Client, nowhere: set[str]
) -> None:
    """The page asks for nothing that its dataclass and the things in it do not say."""
    # 409: the certificate that is not there while nothing is served to the network; the refusal is a page as well.
    assert tablet.get(filled(page, on_the_sheet), follow=True).status_code in (200, 409)
    assert sorted(nowhere) == []


def test_a_slip_in_a_template_is_seen(nowhere: set[str]) -> None:
    """The watch itself: a field that is not there is named, one that stands on nothing is not."""
    shown: Mapping[str, object] = {"there": "a word", "nothing": None}
    for name in ("there.lenght", "nothing.more", "not_there", "note"):
        with pytest.raises(VariableDoesNotExist):
            Variable(name).resolve(Context(dict(shown)))
    assert nowhere == {"there.lenght", "not_there"}
