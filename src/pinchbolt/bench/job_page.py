"""What the screens of a job share: the page with its bar, and the answer after an act."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import TypeVar
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.shared import screen
from pinchbolt.bench.way import job_and_top, job_href

T = TypeVar("T")


def job_screen(
    request: HttpRequest,
    job: int,
    here: str,
    now: datetime,
    page: str,
    context: Mapping[str, object],
    form: BenchForm | None = None,
) -> HttpResponse:
    """Answer with the page of a job's step, the bar above it; `at` names the entry that was just saved."""
    _, top = job_and_top(job, here, now)
    at = request.GET.get("at", "")[:120]
    named = {"title": f"{top.seen.tag} {here}", "top": top, "job": job, "at": at}
    return screen(request, page, {**named, **context}, form)


def back_to(job: int, step: str, at: str = "", **query: str) -> HttpResponseRedirect:
    """Answer after an act: the page again, at the entry that was saved."""
    asked = {**query, **({"at": at} if at else {})}
    address = job_href(job, step) + (f"?{urlencode(asked)}" if asked else "") + (f"#{at}" if at else "")
    answer = HttpResponseRedirect(address)
    answer.status_code = 303
    return answer


def grouped(rows: Iterable[T], by: str) -> list[tuple[str, list[T]]]:
    """Return rows gathered under the value of one attribute, in the order in which the values first come."""
    found: dict[str, list[T]] = {}
    for row in rows:
        found.setdefault(str(getattr(row, by)), []).append(row)
    return list(found.items())
