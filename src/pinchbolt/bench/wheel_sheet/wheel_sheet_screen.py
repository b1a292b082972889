"""The wheel sheet on a job: the next turns large, one tap done; the wheel drawn; read again; before and after; its past."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST, require_safe

from pinchbolt.bench.act import ActMark, SentAct, acts
from pinchbolt.bench.addresses import back_to
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.job_page import job_screen
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import by, now
from pinchbolt.bench.wheel_sheet.wheel_sheet_form import (
    HOW_WORDS,
    BrokeForm,
    MeasureForm,
    PluckForm,
    ReadForm,
    TurnForm,
)
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.tools.tension_meter import MeterView, meters
from pinchbolt.workshop.wheels.break_spoke import PLACES_BROKEN, break_spoke
from pinchbolt.workshop.wheels.describe_wheel import describe_wheel
from pinchbolt.workshop.wheels.hear_spokes import hear_spokes
from pinchbolt.workshop.wheels.read_wheel import EAR, METER, NEWTON, read_wheel
from pinchbolt.workshop.wheels.spoke_count import spokes_counted
from pinchbolt.workshop.wheels.turn_nipple import turn_nipple
from pinchbolt.workshop.wheels.wheel_sheet import (
    SpokeOnSheet,
    WheelOnJob,
    WheelSheetView,
    job_wheels,
    wheel_sheet,
)


@dataclass(frozen=True, slots=True)
class JobWheelsPage(Page):
    """What is shown: the wheels of a job."""

    found: tuple[WheelOnJob, ...]


@dataclass(frozen=True, slots=True)
class SpokeRow:
    """A row of the reading: the spoke, and what was typed for it after a refusal."""

    spoke: SpokeOnSheet
    side: str
    up: str
    pull: str


@dataclass(frozen=True, slots=True)
class WheelSheetPage(Page):
    """What is shown: one wheel's sheet with its forms."""

    seen: WheelSheetView
    meters: Sequence[MeterView]
    how_words: tuple[tuple[str, str], ...]
    rows: tuple[SpokeRow, ...]
    measure_form: MeasureForm
    read_form: ReadForm
    pluck_form: PluckForm
    turn_form: TurnForm
    broke_form: BrokeForm
    broke_places: tuple[str, ...]
    asks_measure: bool
    reading_refused: bool

    @property
    def asks_reading(self) -> bool:
        """Whether the rows to read into stand open: nothing was read yet, the round is turned, or it has to be read before more turns."""
        seen = self.seen
        due = not seen.rounds or seen.is_round_done or bool(seen.read_first)
        return seen.known is not None and (due or self.reading_refused)

    @property
    def next_to_pluck(self) -> int:
        """The first spoke that was not heard yet."""
        return next((one.number for one in self.seen.spokes if one.heard_hz is None), 1)

    @property
    def how_chosen(self) -> str:
        """How the tension was read the last time, or what is at hand."""
        told = str(self.read_form.data.get("how", "")) if self.read_form.is_bound else ""
        return told or (
            EAR if self.seen.heard else METER if any(one.tables for one in self.meters) else NEWTON
        )


@require_safe
def wheels(request: HttpRequest, job: int) -> HttpResponse:
    """The wheels of a job, each with how it stands."""
    page = JobWheelsPage(job_wheels(job_by_id(job)))
    return job_screen(request, job, "", now(), "wheel_sheet/job_wheels.html", page)


@require_safe
def sheet(request: HttpRequest, job: int, wheel: int) -> HttpResponse:
    """One wheel."""
    return _page(request, None, job, wheel)


def _again(request: HttpRequest, form: BenchForm, job: int, wheel: int) -> HttpResponse:
    return _page(request, form, job, wheel)


@acts(MeasureForm, _again)
def measured(act: SentAct[MeasureForm], job: int, wheel: int) -> HttpResponse:
    """Rim, hub and lacing were measured."""
    describe_wheel(act.form.asked(job, wheel), **act.mark)
    return back_to("wheel_sheet", job=job, wheel=wheel, at="read")


@acts(ReadForm, _again)
def read(act: SentAct[ReadForm], job: int, wheel: int) -> HttpResponse:
    """Every spoke was read."""
    known = wheel_sheet(job, wheel).known
    read_wheel(act.form.asked(job, wheel, known.wheel.spokes if known else 0), **act.mark)
    return back_to("wheel_sheet", job=job, wheel=wheel, at="turns")


@acts(TurnForm, _again)
def turned(act: SentAct[TurnForm], job: int, wheel: int) -> HttpResponse:
    """One nipple was turned."""
    turn_nipple(act.form.asked(job, wheel), **act.mark)
    return back_to("wheel_sheet", job=job, wheel=wheel, at="turns")


@acts(BrokeForm, _again)
def broke(act: SentAct[BrokeForm], job: int, wheel: int) -> HttpResponse:
    """A spoke broke."""
    break_spoke(act.form.asked(job, wheel), **act.mark)
    return back_to("wheel_sheet", job=job, wheel=wheel, at="past")


@require_POST
def plucked(request: HttpRequest, job: int, wheel: int) -> HttpResponse:
    """Spokes were plucked and recorded."""
    form = PluckForm(request.POST, request.FILES)
    mark = ActMark(by=by(request), key=form.key, now=now())
    with form.refusable():
        said = form.checked()
        hear_spokes(job, wheel, said["first"] or 1, form.sounds(), **mark)
        return back_to("wheel_sheet", job=job, wheel=wheel, at="pluck")
    return _page(request, form, job, wheel)


def _page(request: HttpRequest, form: BenchForm | None, job: int, wheel: int) -> HttpResponse:
    seen = wheel_sheet(job, wheel)
    read_form = own_form(form, ReadForm)
    typed = {name: read_form.figures(name) for name in ("side", "up", "pull")}
    counted = spokes_counted(job, wheel) if seen.known is None else None
    page = WheelSheetPage(
        seen=seen,
        meters=meters(),
        how_words=HOW_WORDS,
        rows=tuple(
            SpokeRow(one, *(typed[name].get(one.number, "") for name in ("side", "up", "pull")))
            for one in seen.spokes
        ),
        measure_form=form if isinstance(form, MeasureForm) else MeasureForm.of(seen, counted),
        read_form=read_form,
        pluck_form=own_form(form, PluckForm),
        turn_form=own_form(form, TurnForm),
        broke_form=own_form(form, BrokeForm),
        broke_places=PLACES_BROKEN,
        asks_measure=seen.known is None or isinstance(form, MeasureForm),
        reading_refused=isinstance(form, ReadForm),
    )
    return job_screen(request, job, "", now(), "wheel_sheet/wheel_sheet.html", page, form)
