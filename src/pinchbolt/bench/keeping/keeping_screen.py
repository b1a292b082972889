"""Safe keeping: everything as files, lists of owners and bikes taken in and taken back, owners who were erased."""

import base64
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from tempfile import TemporaryFile

from django.http import FileResponse, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from pinchbolt import __version__
from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.keeping.list_form import ListBackForm, ListForm
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import by, now, screen
from pinchbolt.errors import InputRefused
from pinchbolt.reference.rows.kinds import BikeKind
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import allowed
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.keeping.list_columns import BIKE, OWNER, ColumnGuessed
from pinchbolt.workshop.keeping.list_read import DAY_FIRST, MONTH_FIRST, ListFile
from pinchbolt.workshop.keeping.list_take import ListTaken, take_list, take_list_back, try_list
from pinchbolt.workshop.keeping.lists_taken import ListLine, lists_taken
from pinchbolt.workshop.keeping.write_out import zip_into

# What the page sends back with the choices, packed, has to stay below what a form may hold.
_MOST_ON_A_PAGE = 1_400_000


@dataclass(frozen=True, slots=True)
class KeepingPage(Page):
    """What is shown: safe keeping."""

    title: str
    lists: Sequence[ListLine]
    done: str


@require_safe
def keeping(request: HttpRequest) -> HttpResponse:
    """Everything as files, lists taken in."""
    return _page(request, None)


@acts(BenchForm, lambda request, form: _page(request, form))
def everything(act: SentAct[BenchForm]) -> FileResponse:
    """Hand out everything, as one file; the owner of the workshop alone."""
    allowed(act.mark["by"], "everything written out")
    # On the disk and gone with the answer: photos of years are more than memory may hold.
    file = TemporaryFile()  # noqa: SIM115 (the answer closes it)
    zip_into(file, act.now, __version__)
    file.seek(0)
    day = timezone.localtime(act.now)
    return FileResponse(file, as_attachment=True, filename=f"workshop-{day:%Y-%m-%d}.zip")


@require_POST
def list_file(request: HttpRequest) -> HttpResponse:
    """A list as it was sent: where its columns go, and what would come in."""
    form = ListForm(request.POST)
    sent = request.FILES.get("file")
    file: ListFile | None = None
    allowed(by(request), "list taken in")
    with form.refusable():
        if sent is not None and (sent.size or 0) > _MOST_ON_A_PAGE:
            raise InputRefused(
                worded(
                    "This list has {size} bytes: on this page {most_on_a_page} are taken. Take it in on "
                    "the workshop's computer with: pinchbolt list take",
                    size=figure_text(sent.size or 0),
                    most_on_a_page=figure_text(_MOST_ON_A_PAGE),
                )
            )
        file = form.file(sent.read() if sent is not None else None)
    return _columns(request, form, file) if file is not None else _page(request, form)


@require_POST
def list_in(request: HttpRequest) -> HttpResponse:
    """Take the list in."""
    form = ListForm(request.POST)
    file: ListFile | None = None
    with form.refusable():
        file = form.file()
        done = take_list(file, form.asked(file), by=by(request), key=form.key, now=now())
        return see("keeping", query={"done": worded("Taken in: {words}", words=done.words)})
    return _columns(request, form, file) if file is not None else _page(request, form)


@acts(ListBackForm, lambda request, form: _page(request, form))
def list_back(act: SentAct[ListBackForm]) -> HttpResponse:
    """Take a list back, as far as nobody used it."""
    done = take_list_back(act.form.asked(), **act.mark)
    stays = (
        worded(
            " {stays} bikes have been used since and stay: {done_stays}.",
            stays=len(done.stays),
            done_stays=", ".join(done.stays[:8]),
        )
        if done.stays
        else ""
    )
    return see(
        "keeping",
        query={
            "done": worded(
                "{owners} owners and {bikes} bikes were taken back.{stays}",
                owners=figure_text(done.owners),
                bikes=figure_text(done.bikes),
                stays=stays,
            )
        },
    )


def _page(request: HttpRequest, form: BenchForm | None) -> HttpResponse:
    page = KeepingPage(
        title=worded("everything out, a list in"), lists=lists_taken(), done=request.GET.get("done", "")[:300]
    )
    return screen(request, "keeping/keeping.html", page, form)


@dataclass(frozen=True, slots=True)
class ListPage(Page):
    """What is shown: the columns of a list and what would come in."""

    title: str
    packed: str
    file: ListFile
    columns: Sequence[tuple[int, ColumnGuessed, str]]
    of_owner: Mapping[str, str]
    of_bike: Mapping[str, str]
    kinds: Sequence[BikeKind]
    rest_kind: str
    days: str
    orders: tuple[str, ...]
    tried: ListTaken | None
    missing: str

    @property
    def stopped(self) -> Sequence[tuple[int, str]]:
        """The first rows that stop."""
        return self.tried.stopped[:20] if self.tried is not None else ()


def _columns(request: HttpRequest, form: ListForm, file: ListFile) -> HttpResponse:
    asked = form.asked(file)
    tried, missing = None, ""
    try:
        tried = try_list(file, asked)
    except InputRefused as no:
        missing = no.sentence
    sent = request.FILES.get("file")
    if sent is not None:
        sent.seek(0)
    page = ListPage(
        title=worded("a list"),
        packed=base64.b64encode(sent.read()).decode()
        if sent is not None
        else str(form.data.get("packed", "")),
        file=file,
        columns=[(number, one, asked.columns[one.name]) for number, one in enumerate(file.guessed)],
        of_owner=OWNER,
        of_bike=BIKE,
        kinds=tuple(tables().bike_kinds.values()),
        rest_kind=asked.rest_kind,
        days=asked.days,
        orders=(DAY_FIRST, MONTH_FIRST),
        tried=tried,
        missing=missing,
    )
    return screen(request, "keeping/list.html", page, form)
