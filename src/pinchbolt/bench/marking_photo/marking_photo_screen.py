"""A marking by its photo: the page, taking it over, taking it back, and the photo itself."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST, require_safe

from pinchbolt.bench.act import ActMark, SentAct, acts
from pinchbolt.bench.addresses import address, back_to
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.job_page import job_screen
from pinchbolt.bench.marking_photo.marking_photo_form import TARGET, MarkingBackForm, MarkingPhotoForm
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import by, now
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.proof.keep_photo import proof_bytes
from pinchbolt.workshop.proof.offer_marking import CANNOT, MarkingOffers, offer_marking
from pinchbolt.workshop.proof.take_back_marking import MarkingBackRequest, take_back_marking
from pinchbolt.workshop.proof.take_marking import take_marking
from pinchbolt.workshop.proof.what_is_marked import CLASS, TORQUE, MarkTarget, target_of, targets_of

NO_PHOTO = worded("No photo came along: take one first, or type what is marked.")


@dataclass(frozen=True, slots=True)
class MarkingPhotoPage(Page):
    """What is shown: one marking to be read off a photo; without one, all that may be marked at this bike."""

    target: MarkTarget | None
    groups: Sequence[tuple[str, Sequence[MarkTarget]]]
    marking_form: MarkingPhotoForm
    means_target: str
    is_open: bool

    @property
    def is_torque(self) -> bool:
        """Whether a range and a value to use may be printed."""
        return self.target is not None and self.target.what == TORQUE

    @property
    def said(self) -> str:
        """What was said of a value that was refused."""
        return str(next(iter(self.marking_form.errors.get("greatest", ())), ""))

    @property
    def chosen(self) -> object:
        """What was picked or typed before."""
        return self.marking_form.data.get("text", "")

    @property
    def means(self) -> object:
        """What the figure was said to be."""
        return self.marking_form.data.get("means", "")


@require_safe
def marking_photo(request: HttpRequest, job: int) -> HttpResponse:
    """One marking, or the list of all that may be marked."""
    return _page(request, job)


@require_POST
def taken(request: HttpRequest, job: int) -> HttpResponse:
    """A marking is taken over, its photo beside it."""
    form = MarkingPhotoForm(request.POST, request.FILES)
    mark = ActMark(by=by(request), key=form.key, now=now())
    with form.refusable():
        return _after(job, take_marking(form.asked(job), form.picture(), **mark))
    return _page(request, job, form)


@require_POST
def read(request: HttpRequest, job: int) -> HttpResponse:
    """What is read off the photo, as a piece of the page; nothing is written. A photo that is none says so in its place."""
    form = MarkingPhotoForm(request.POST, request.FILES)
    asked = [str(request.POST.get(one, ""))[:80] for one in ("what", "of", "name")]
    told = MarkingOffers(CANNOT, NO_PHOTO, ())
    with form.refusable():
        photo = form.picture()
        if photo is not None:
            told = offer_marking(job, asked[0], asked[1], asked[2], photo, by(request))
    if form.refusal is not None:
        told = MarkingOffers(CANNOT, form.refusal.sentence, ())
    return render(request, "marking_photo/_candidates.html", {"told": told})


@acts(MarkingBackForm, lambda request, form, job: _page(request, job, form))
def back(act: SentAct[MarkingBackForm], job: int) -> HttpResponse:
    """A wrong tap is taken back; the page again on which it was seen."""
    take_back_marking(MarkingBackRequest(job, act.form.checked()["marking"] or 0), **act.mark)
    joint = str(act.request.POST.get("joint", ""))[:80]
    return back_to("joint", job=job, joint=joint, at="joint") if joint else back_to("marking_photo", job=job)


def _after(job: int, target: MarkTarget) -> HttpResponse:
    """Where the marking governs now."""
    if target.what in (TORQUE, CLASS):
        return back_to("joint", job=job, joint=target.of, at="joint")
    return back_to("marking_photo", job=job)


def _page(request: HttpRequest, job: int, form: BenchForm | None = None) -> HttpResponse:
    found = job_by_id(job)
    asked = request.POST if isinstance(form, MarkingPhotoForm) else request.GET
    named = [str(asked.get(one, ""))[:80] for one in ("what", "of", "name")]
    page = MarkingPhotoPage(
        target=target_of(found, *named) if named[0] else None,
        groups=() if named[0] else targets_of(found),
        marking_form=own_form(form, MarkingPhotoForm),
        means_target=TARGET,
        is_open=not job_state(found).ended,
    )
    return job_screen(request, job, "", now(), "marking_photo/marking_photo.html", page, form)


@require_safe
def proof(request: HttpRequest, event: int) -> HttpResponse:
    """A photo that was kept beside an act."""
    return HttpResponse(proof_bytes(event), content_type="image/jpeg")


def photo_address(job: int, what: str, of: str, name: str) -> str:
    """Return where a marking is read off a photo."""
    return address("marking_photo", query={"what": what, "of": of, "name": name}, job=job)
