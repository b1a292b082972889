"""Tension meters on the board: each one's own table for a kind of spoke, and what a known weight says of it."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import back_to
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.fields import Figure, OneOf, Whole, Words, plain_figure
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import screen
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.tools.tension_meter import (
    MeterPoint,
    MeterTableRequest,
    MeterTriedRequest,
    MeterView,
    meters,
    set_meter_table,
    spoke_kinds,
    try_meter,
)


class SpokeKindForm(BenchForm):
    """A meter, and a kind of spoke."""

    tool = Whole(worded("the meter"), "numbers")
    spoke_kind = OneOf(worded("kind of spoke"))

    def __init__(self, *given: object, **named: object) -> None:
        super().__init__(*given, **named)  # type: ignore[arg-type]
        field = self.fields["spoke_kind"]
        assert isinstance(field, OneOf)
        field.choices = [(one.id, f"{one.middle:g} mm, {one.plain}") for one in spoke_kinds().values()]


class MeterTableForm(SpokeKindForm):
    """A meter's table: a line a point, what it shows and the newtons that go with it."""

    points = Words(worded("what it shows and the newtons, one pair a line"), rows=6)

    def asked(self) -> MeterTableRequest:
        """Return it as the use case takes it.

        Raises:
            InputRefused: A line that is not two figures; the sentence names it.
        """
        said = self.checked()
        points = []
        for line in str(said["points"] or "").splitlines():
            figures = line.replace("=", " ").replace(";", " ").split()
            if not figures:
                continue
            try:
                shows, newtons = (float(plain_figure(one)) for one in figures)
            except ValueError:
                sentence = worded(
                    'The line "{line}" is not two figures: what it shows, a blank, and the newtons. '
                    "Correct it.",
                    line=line[:40],
                )
                raise InputRefused(sentence, {"points": sentence}) from None
            points.append(MeterPoint(shows, newtons))
        return MeterTableRequest(said["tool"] or 0, said["spoke_kind"] or "", tuple(points))


class MeterTriedForm(SpokeKindForm):
    """A known mass on a loose spoke."""

    mass_kg = Figure(worded("what hangs on it"), "kg")
    shown = Figure(worded("what the meter shows"), "marks")

    def asked(self) -> MeterTriedRequest:
        """Return it as the use case takes it.

        Raises:
            InputRefused: The mass or what it showed is empty.
        """
        said = self.checked()
        for name in ("mass_kg", "shown"):
            if said[name] is None:
                sentence = worded("{label} is empty: type it in.", label=self.fields[name].label)
                raise InputRefused(sentence, {name: sentence})
        return MeterTriedRequest(said["tool"] or 0, said["spoke_kind"] or "", said["mass_kg"], said["shown"])


@dataclass(frozen=True, slots=True)
class MetersPage(Page):
    """What is shown: the meters, and the two forms."""

    title: str
    meters: Sequence[MeterView]
    table_form: MeterTableForm
    tried_form: MeterTriedForm


@require_safe
def meter_page(request: HttpRequest) -> HttpResponse:
    """Every tension meter with its tables."""
    return _page(request, None)


@acts(MeterTableForm, lambda request, form: _page(request, form))
def table(act: SentAct[MeterTableForm]) -> HttpResponse:
    """Write down a meter's table."""
    set_meter_table(act.form.asked(), **act.mark)
    return back_to("meters")


@acts(MeterTriedForm, lambda request, form: _page(request, form))
def weight(act: SentAct[MeterTriedForm]) -> HttpResponse:
    """Write down what it showed on a known weight."""
    try_meter(act.form.asked(), **act.mark)
    return back_to("meters")


def _page(request: HttpRequest, form: BenchForm | None) -> HttpResponse:
    page = MetersPage(
        worded("tension meters"), meters(), own_form(form, MeterTableForm), own_form(form, MeterTriedForm)
    )
    return screen(request, "meters/meters.html", page, form)
