"""The photos of a stay."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST, require_safe

from pinchbolt.bench.act import ActMark, SentAct, acts
from pinchbolt.bench.addresses import back_to
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.job_page import job_screen
from pinchbolt.bench.page import Page
from pinchbolt.bench.photos.photos_form import PhotoAwayForm, PhotoForm
from pinchbolt.bench.shared import by, now
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.came_up.photos import (
    PhotoAwayRequest,
    PhotoView,
    photo_bytes,
    photos_of,
    take_photo,
    take_photo_away,
)


@dataclass(frozen=True, slots=True)
class PhotosPage(Page):
    """What is shown: the photos of a stay."""

    photos: Sequence[PhotoView]
    is_open: bool
    photo_form: PhotoForm


@require_safe
def photos(request: HttpRequest, job: int) -> HttpResponse:
    """The photos of a stay, and taking one."""
    return _page(request, job)


@require_POST
def taken(request: HttpRequest, job: int) -> HttpResponse:
    """A photo was taken."""
    form = PhotoForm(request.POST, request.FILES)
    mark = ActMark(by=by(request), key=form.key, now=now())
    with form.refusable():
        said = form.checked()
        take_photo(job, said["about"], said["words"], form.picture(), **mark)
        return back_to("photos", job=job)
    return _page(request, job, form)


@acts(PhotoAwayForm, lambda request, form, job: _page(request, job, form))
def away(act: SentAct[PhotoAwayForm], job: int) -> HttpResponse:
    """A wrong photo goes."""
    take_photo_away(PhotoAwayRequest(job, act.form.checked()["which"] or 0), **act.mark)
    return back_to("photos", job=job)


def _page(request: HttpRequest, job: int, form: BenchForm | None = None) -> HttpResponse:
    found = job_by_id(job)
    page = PhotosPage(photos_of(found), not job_state(found).ended, own_form(form, PhotoForm))
    return job_screen(request, job, "", now(), "photos/photos.html", page, form)


@require_safe
def jpeg(request: HttpRequest, job: int) -> HttpResponse:
    """A photo's own bytes; without a number the page of all of them."""
    job_by_id(job)
    which = request.GET.get("which", "")
    if not (which.isdecimal() and len(which) < 12):
        return back_to("photos", job=job)
    return HttpResponse(photo_bytes(job, int(which)), content_type="image/jpeg")
