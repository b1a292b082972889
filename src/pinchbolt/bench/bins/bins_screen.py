"""What lies in the bins; a file of parts is sent, its columns are laid on ours, tried, and taken in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST, require_safe

from pinchbolt.bench.addresses import see
from pinchbolt.bench.bins.bins_form import NOT_USED, PartsForm
from pinchbolt.bench.job_page import grouped
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import by, now, screen
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.bikes.typed_facts import fact_list, of_a_part
from pinchbolt.workshop.parts.parts_file import COLUMNS, NEEDED, LineRefused, header_of, text_of_bytes
from pinchbolt.workshop.parts.take_in_parts import BinView, PartsTaken, take_in_parts, try_parts
from pinchbolt.workshop.parts.take_in_parts import bins as what_lies

_MOST_SHOWN = 60


@require_safe
def bins(request: HttpRequest) -> HttpResponse:
    """What lies in the bins and what can be ordered."""
    return _shown(request, PartsForm())


@require_POST
def parts_file(request: HttpRequest) -> HttpResponse:
    """A file as it was sent: its columns to be named, and what taking it in would do."""
    form = PartsForm(request.POST)
    sent = request.FILES.get("file")
    text = str(request.POST.get("text", ""))
    with form.refusable():
        if sent is not None:
            text = text_of_bytes(sent.read())
        header = header_of(text)
        return _columns(request, PartsForm({**request.POST.dict(), "text": text}), text, header)
    return _shown(request, form)


@require_POST
def take_in(request: HttpRequest) -> HttpResponse:
    """Take the file in, whole; or its good lines, if that was ticked."""
    form = PartsForm(request.POST)
    text = str(request.POST.get("text", ""))
    header: tuple[str, ...] = ()
    with form.refusable():
        header = header_of(text)
        done = take_in_parts(form.asked(header), by=by(request), key=form.key, now=now())
        counts = {"new": done.new, "put_right": done.put_right, "refused": len(done.refused)}
        return see("bins", query=counts)
    return _columns(request, form, text, header) if header else _shown(request, form)


@dataclass(frozen=True, slots=True)
class BinsPage(Page):
    """What is shown: what lies in the bins."""

    title: str
    kinds: Sequence[tuple[str, list[BinView]]]
    done: str
    currency: str


def _shown(request: HttpRequest, form: PartsForm) -> HttpResponse:
    figures = [request.GET.get(name, "") for name in ("new", "put_right", "refused")]
    done = (
        worded("{} new, {} put right, {} refused.").format(*figures)
        if all(one.isdecimal() for one in figures)
        else ""
    )
    done = request.GET.get("counted", "")[:200] or done
    page = BinsPage(
        title=worded("bins"),
        kinds=grouped(what_lies(most=2000), "kind"),
        done=done,
        currency=terms().currency,
    )
    return screen(request, "bins/bins.html", page, form)


@dataclass(frozen=True, slots=True)
class ColumnsPage(Page):
    """What is shown: the columns of a file of parts, and the report of a try."""

    title: str
    text: str
    columns: Sequence[tuple[int, str, str]]
    ours: Mapping[str, str]
    facts: tuple[str, ...]
    needed: tuple[str, ...]
    not_used: str
    tried: PartsTaken | None
    missing: str
    refused: tuple[LineRefused, ...]
    more: int
    keep_good: bool


def _columns(request: HttpRequest, form: PartsForm, text: str, header: tuple[str, ...]) -> HttpResponse:
    """The columns with their lists, and the report of a try."""
    tried: PartsTaken | None = None
    missing = ""
    try:
        tried = try_parts(form.asked(header))
    except InputRefused as no:
        missing = no.sentence
    picked = [
        str(form.data.get(f"column-{number}", "")) or _guess(name) for number, name in enumerate(header)
    ]
    page = ColumnsPage(
        title=worded("bins"),
        text=text,
        columns=[(number, name, picked[number]) for number, name in enumerate(header) if name],
        ours=COLUMNS,
        facts=fact_list(),
        needed=NEEDED,
        not_used=NOT_USED,
        tried=tried,
        missing=missing,
        refused=tried.refused[:_MOST_SHOWN] if tried else (),
        more=max(0, len(tried.refused) - _MOST_SHOWN) if tried else 0,
        keep_good=bool(form.data.get("keep_good")),
    )
    return screen(request, "bins/columns.html", page, form)


def _guess(name: str) -> str:
    """A column of our own name is what it says."""
    return name if name in COLUMNS or of_a_part(name) else NOT_USED
