"""What the screens of a job share: the page with its bar."""

from collections.abc import Iterable
from datetime import datetime
from typing import TypeVar

from django.http import HttpRequest, HttpResponse

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.page import JobFrame, Page
from pinchbolt.bench.shared import may_keep, screen
from pinchbolt.bench.way import job_and_top

T = TypeVar("T")


def job_screen(
    request: HttpRequest,
    job: int,
    here: str,
    now: datetime,
    template: str,
    page: Page,
    form: BenchForm | None = None,
) -> HttpResponse:
    """Answer with the page of a job's step, the bar above it; `at` names the entry that was just saved."""
    _, top = job_and_top(job, here, now)
    at = request.GET.get("at", "")[:120]
    answer = screen(request, template, page, form, JobFrame(f"{top.seen.tag} {here}", top, job, at))
    return may_keep(answer, request, "job", job)


def grouped(rows: Iterable[T], by: str) -> list[tuple[str, list[T]]]:
    """Return rows gathered under the value of one attribute, in the order in which the values first come."""
    found: dict[str, list[T]] = {}
    for row in rows:
        found.setdefault(str(getattr(row, by)), []).append(row)
    return list(found.items())
