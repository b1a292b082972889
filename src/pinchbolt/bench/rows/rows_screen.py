"""Limits and torques: finding a row, changing it beside the trade's, trying it first, and its history."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.page import Page
from pinchbolt.bench.rows.rows_form import ReadAgainForm, RowForm, SchoolForm
from pinchbolt.bench.settings.settings_screen import frame_of
from pinchbolt.bench.shared import now, screen
from pinchbolt.errors import PinchboltError
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.describe_shop import SCHOOLS, set_school
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.setting_changes import PRICE_TABLES
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.trade_tables import tables_in_use
from pinchbolt.workshop.settings.change_rows import by_hand, change_row, read_files_again
from pinchbolt.workshop.settings.row_effects import EffectsView, effects_of
from pinchbolt.workshop.settings.row_fields import TABLES, RowTable
from pinchbolt.workshop.settings.row_views import (
    SHOWN_AT_MOST,
    RowLine,
    RowView,
    row_seen,
    rows_found,
    typed_then,
)

_LIMITS = tuple(name for name in TABLES if name not in PRICE_TABLES)


@dataclass(frozen=True, slots=True)
class LimitsPage(Page):
    """What is shown: the rows that were looked for, and what is wrong with the workshop's files."""

    wanted: str
    only_ours: bool
    picked: str
    kinds: tuple[RowTable, ...]
    rows: Sequence[RowLine]
    more: int
    by_hand: tuple[str, ...]
    refused: PinchboltError | None
    schools: tuple[str, ...]
    school: str


@dataclass(frozen=True, slots=True)
class RowPage(Page):
    """What is shown: a row beside the trade's, what it would change, and what it said before."""

    row: RowView
    row_form: RowForm
    errors: Mapping[str, str]
    effects: EffectsView | None
    why: str


@require_safe
def limits(request: HttpRequest) -> HttpResponse:
    """Limits, joints, the safety list and gauges, found by a word."""
    return _limits_page(request, None)


@acts(ReadAgainForm, lambda request, form: _limits_page(request, form))
def read_again(act: SentAct[ReadAgainForm]) -> HttpResponse:
    """Take the files as they were changed by hand."""
    read_files_again(act.form.asked(), **act.mark)
    return see("limits")


@acts(SchoolForm, lambda request, form: _limits_page(request, form))
def school(act: SentAct[SchoolForm]) -> HttpResponse:
    """Say when chains are changed here."""
    set_school(act.form.asked(), **act.mark)
    return see("limits")


@require_safe
def row(request: HttpRequest, table: str, id: str) -> HttpResponse:
    """One row beside the trade's."""
    return _row_page(request, None, table, id)


@acts(RowForm, lambda request, form, table, id: _row_page(request, form, table, id))
def save_row(act: SentAct[RowForm], table: str, id: str) -> HttpResponse:
    """Change the row."""
    change_row(act.form.asked(table, id), **act.mark)
    return see("row", table=table, id=id)


@acts(RowForm, lambda request, form, table, id: _row_page(request, form, table, id))
def row_as_trade(act: SentAct[RowForm], table: str, id: str) -> HttpResponse:
    """Put the row back to the trade table."""
    change_row(act.form.asked(table, id, as_trade=True), **act.mark)
    return see("row", table=table, id=id)


@acts(RowForm, lambda request, form, table, id: _tried(request, form, table, id))
def try_row(act: SentAct[RowForm], table: str, id: str) -> HttpResponse:
    """Say what the row would change; nothing is written."""
    return _tried(act.request, act.form, table, id, effects_of(act.form.asked(table, id), local_day(act.now)))


def _tried(
    request: HttpRequest, form: RowForm, table: str, id: str, effects: EffectsView | None = None
) -> HttpResponse:
    errors = form.refusal.errors if form.refusal is not None else {}
    if form.refusal is not None and not errors:
        errors = {"": form.refusal.sentence}
    return render(request, "rows/_effects.html", {"effects": effects, "errors": errors})


def _limits_page(request: HttpRequest, form: BenchForm | None) -> HttpResponse:
    wanted, picked = request.GET.get("find", "")[:60], request.GET.get("of", "")
    only_ours, of = request.GET.get("ours") == "yes", (picked,) if picked in _LIMITS else _LIMITS
    asked = bool(wanted or picked or only_ours)
    found = rows_found(wanted, only_ours, of) if asked else []
    page = LimitsPage(
        wanted=wanted,
        only_ours=only_ours,
        picked=picked,
        kinds=tuple(TABLES[name] for name in _LIMITS),
        rows=found[:SHOWN_AT_MOST],
        more=max(len(found) - SHOWN_AT_MOST, 0),
        by_hand=by_hand(),
        refused=tables_in_use().refused,
        schools=SCHOOLS,
        school=terms().chain_school,
    )
    return screen(
        request, "rows/limits.html", page, form, frame_of(request, "limits", worded("Limits and torques"))
    )


def _row_page(request: HttpRequest, form: RowForm | None, table: str, id: str) -> HttpResponse:
    seen = row_seen(table, id)
    shown, effects = _shown(request, form, seen), None
    if form is not None:
        try:
            effects = effects_of(form.asked(table, id), local_day(now()))
        except PinchboltError:
            effects = None
    page = RowPage(
        row=shown,
        row_form=form or RowForm(),
        errors=form.refusal.errors if form is not None and form.refusal is not None else {},
        effects=effects,
        why=str(form.data.get("why", "")) if form is not None else "",
    )
    return screen(request, "rows/row.html", page, form, frame_of(request, seen.page, seen.name))


def _shown(request: HttpRequest, form: RowForm | None, seen: RowView) -> RowView:
    """The row with what was typed in its fields, or with what it said at an earlier change."""
    again = request.GET.get("again", "")
    if form is not None:
        typed: Mapping[str, str] = form.sent()
    elif again.isdigit():
        typed = {**{one.name: "" for one in seen.fields}, **typed_then(int(again), seen.table, seen.id)}
    else:
        return seen
    return replace(
        seen, fields=tuple(replace(one, ours=typed.get(one.name, one.ours)) for one in seen.fields)
    )
