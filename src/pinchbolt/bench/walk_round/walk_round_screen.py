"""The walk-round screen."""

from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_POST

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.build.build_form import MarkForm
from pinchbolt.bench.job_page import back_to, job_screen
from pinchbolt.bench.shared import by, now
from pinchbolt.bench.walk_round.along import spots_of
from pinchbolt.bench.walk_round.ask import AskCard, ToldForm, card_again, card_id, cards_of
from pinchbolt.bench.walk_round.rows import chosen_place, due_of, place_views, rows_of
from pinchbolt.bench.walk_round.walk_round_form import FoundForm, ReadingForm
from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.values import Verdict
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.bikes.change_build import ConfirmRequest, confirm_corner, describe
from pinchbolt.workshop.bikes.corners import answered, corner_at
from pinchbolt.workshop.bikes.marked_here import marks_of
from pinchbolt.workshop.stays import walk_round as use_case
from pinchbolt.workshop.stays.mark_and_judge import mark_and_judge
from pinchbolt.workshop.stays.note_finding import findings_of, note_finding
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading

_KNOWN = ("owner's word", "odometer", "guess")


@require_GET
def walk_round(request: HttpRequest, job: int, place: str = "") -> HttpResponse:
    """Show the whole bike with its places, or one of them."""
    return _page(request, job, place, now()) if place else _whole(request, job, now())


@require_POST
def take(request: HttpRequest, job: int) -> HttpResponse:
    """Take one reading."""
    when = now()
    row = str(request.POST.get("row", ""))
    place, due = due_of(use_case.walk_round(job_by_id(job), when), row)
    form = ReadingForm(request.POST, prefix=row)
    with form.refusable():
        take_reading(form.asked(job, due), by=by(request), key=form.key, now=when)
        return back_to(job, f"walk-round/{place.id}", at=row)
    return _page(request, job, place.id, when, refused=form)


@require_POST
def mark(request: HttpRequest, job: int) -> HttpResponse:
    """Write down a limit that is marked on a part; what was read of it at this stay is judged by it."""
    when = now()
    row = str(request.POST.get("row", ""))[:120]
    place, due = due_of(use_case.walk_round(job_by_id(job), when), row.removeprefix("m"))
    form = MarkForm(request.POST, prefix=row)
    with form.refusable():
        mark_and_judge(form.asked(due.part), job, by=by(request), key=form.key, now=when)
        return back_to(job, f"walk-round/{place.id}", at=row.removeprefix("m"))
    return _page(request, job, place.id, when, refused=form)


@require_POST
def nothing_found(request: HttpRequest, job: int, place: str) -> HttpResponse:
    """Answer every yes/no question of a place that was not answered yet with the good word."""
    when = now()
    chosen = chosen_place(use_case.walk_round(job_by_id(job), when), place)
    form = BenchForm(request.POST)
    with form.refusable():
        if chosen is None:
            raise InputRefused("There is nothing to read at this place. Choose another along the bike.")
        for number, due in enumerate(chosen.readings):
            if due.good_word and due.taken is None and not due.is_deeper:
                asked = ReadingRequest(job=job, part=due.part, limit=due.limit, word=due.good_word)
                take_reading(asked, by=by(request), key=key_of(form.key, number), now=when)
        return back_to(job, f"walk-round/{place}", at="places")
    return _page(request, job, place, when, refused=form)


def key_of(key: str, number: int) -> str:
    """Return the mark of one of several acts that come with one request; one that is too short or long is refused as it is."""
    return f"{key}-{number}" if 8 <= len(key) <= 58 else key


@require_POST
def found(request: HttpRequest, job: int, place: str) -> HttpResponse:
    """Write down something else that was found by eye."""
    when = now()
    form = FoundForm(request.POST)
    with form.refusable():
        note_finding(form.asked(job), by=by(request), key=form.key, now=when)
        return back_to(job, f"walk-round/{place}", at="else")
    return _page(request, job, place, when, refused=form)


@require_POST
def told(request: HttpRequest, job: int, place: str) -> HttpResponse:
    """Write the answer to a question about a part, then show the place again: what is read there may have changed."""
    when, form = now(), ToldForm(request.POST)
    job_by_id(job)
    with form.refusable():
        describe(form.asked(), by=by(request), key=form.key, now=when)
        return _back_to_place(job, place, when, told=form.about)
    return _page(request, job, place, when, refused=form)


@require_POST
def as_shown(request: HttpRequest, job: int, place: str) -> HttpResponse:
    """Write down that the corner of this place is as the build sheet shows it."""
    when, form = now(), BenchForm(request.POST)
    found_job = job_by_id(job)
    corner = corner_at(found_job.bike, place)
    if corner is None:
        raise NotFound(f'The walk-round has no place "{place[:40]}". Choose one along the bike.')
    with form.refusable():
        confirm_corner(ConfirmRequest(found_job.bike.tag, corner.id), by=by(request), key=form.key, now=when)
        return _back_to_place(job, place, when)
    return _page(request, job, place, when, refused=form)


def _back_to_place(job: int, place: str, when: datetime, **query: str) -> HttpResponse:
    """The place again; the whole bike, where nothing is left to read or ask there."""
    if any(one.id == place for one in use_case.walk_round(job_by_id(job), when)):
        return back_to(job, f"walk-round/{place}", at="places", **query)
    return back_to(job, "walk-round")


def _whole(request: HttpRequest, job: int, when: datetime) -> HttpResponse:
    found_job = job_by_id(job)
    places = use_case.walk_round(found_job, when)
    seen = place_views(places, "")
    following = chosen_place(places, "")
    context = {
        "places": seen,
        "spots": spots_of(job, seen),
        "pieces": use_case.pieces_on(found_job),
        "following": following,
        "taken": sum(one.taken for one in seen),
        "count": sum(one.count for one in seen),
    }
    return job_screen(request, job, "walk-round", when, "walk_round/whole_bike.html", context)


def _page(
    request: HttpRequest, job: int, place: str, when: datetime, refused: BenchForm | None = None
) -> HttpResponse:
    found_job = job_by_id(job)
    places = use_case.walk_round(found_job, when)
    here = chosen_place(places, place)
    order = [one.id for one in places]
    following = order[order.index(here.id) + 1] if here and here.id != order[-1] else ""
    seen = place_views(places, here.id if here else "")
    rows = rows_of(here, refused if isinstance(refused, ReadingForm) else None) if here else ()
    asks = cards_of(here, refused) if here else ()
    context = {
        "asks": asks,
        "told": _told_just_now(request, job, asks),
        "corner": corner_at(found_job.bike, here.id) if here else None,
        "refused_above": not any(one.is_refused for one in rows) and not any(one.sentence for one in asks),
        "places": seen,
        "spots": spots_of(job, seen),
        "pieces": use_case.pieces_on(found_job),
        "here": here,
        "following": following,
        "following_words": next((one.words for one in places if one.id == following), ""),
        "rows": rows,
        "deeper": sum(1 for due in here.readings if due.is_deeper and due.taken is None) if here else 0,
        "questions_left": any(
            due.good_word and due.taken is None and not due.is_deeper for due in here.readings
        )
        if here
        else False,
        "taken": sum(one.taken for one in seen),
        "count": sum(one.count for one in seen),
        "by_eye": tuple(one for one in findings_of(found_job) if not one.limit),
        "found_form": refused if isinstance(refused, FoundForm) else FoundForm(),
        "parts_here": tuple(dict.fromkeys((due.part, due.part_words) for due in here.readings))
        if here
        else (),
        "marks": {f"r{part}.{limit}": due for (part, limit), due in marks_of(found_job.bike).items()},
        "verdicts": tuple(verdict.value for verdict in Verdict),
        "known": _KNOWN,
    }
    return job_screen(request, job, "walk-round", when, "walk_round/walk_round.html", context, refused)


def _told_just_now(request: HttpRequest, job: int, asks: tuple[AskCard, ...]) -> AskCard | None:
    """The card of the answer that the last act gave, so that a wrong tap is put right on the spot."""
    part, _, fact = request.GET.get("told", "").removeprefix("ask-").partition("-")
    if not (part.isascii() and part.isdigit() and len(part) < 19) or any(
        one.id == card_id(part, fact) for one in asks
    ):
        return None
    found = answered(job_by_id(job), int(part), fact)
    return card_again(found) if found is not None else None
