"""The walk-round screen."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import back_to
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.build.build_form import MarkForm
from pinchbolt.bench.job_page import job_screen
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import by, now
from pinchbolt.bench.walk_round.along import spots_of
from pinchbolt.bench.walk_round.ask import AskCard, ToldForm, card_again, card_id, cards_of
from pinchbolt.bench.walk_round.rows import PlaceView, WalkRow, chosen_place, due_of, place_views, rows_of
from pinchbolt.bench.walk_round.walk_round_form import FoundForm, ReadingForm
from pinchbolt.drawing import Spot
from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.values import Verdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.bikes.change_build import ConfirmRequest, confirm_corner, describe
from pinchbolt.workshop.bikes.corners import CornerSnapshot, answered, corner_at
from pinchbolt.workshop.bikes.marked_here import MarkDue, marks_of
from pinchbolt.workshop.stays import walk_round as use_case
from pinchbolt.workshop.stays.mark_and_judge import mark_and_judge
from pinchbolt.workshop.stays.note_finding import FindingView, findings_of, note_finding
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
from pinchbolt.workshop.stays.walk_round import PlaceDue, PlaceToRead, ReadingDue

_KNOWN = ("owner's word", "odometer", "guess")


@require_GET
def walk_round(request: HttpRequest, job: int, place: str = "") -> HttpResponse:
    """Show the whole bike with its places, or one of them."""
    return _page(request, job, place, now()) if place else _whole(request, job, now())


def _row(request: HttpRequest) -> str:
    """The row of the page that was filled in; one of a marked limit begins with an m."""
    return str(request.POST.get("row", ""))[:120]


def _place_again(request: HttpRequest, form: BenchForm, job: int) -> HttpResponse:
    """The place of the row that was filled in, with its entries."""
    when = now()
    place, _ = due_of(job, when, _row(request).removeprefix("m"))
    return _page(request, job, place.id, when, refused=form)


@acts(lambda request: ReadingForm(request.POST, prefix=_row(request)), _place_again)
def take(act: SentAct[ReadingForm], job: int) -> HttpResponse:
    """Take one reading."""
    row = _row(act.request)
    place, due = due_of(job, act.now, row)
    take_reading(act.form.asked(job, due), **act.mark)
    return back_to("walk_round_place", job=job, place=place.id, at=row)


@acts(lambda request: MarkForm(request.POST, prefix=_row(request)), _place_again)
def mark(act: SentAct[MarkForm], job: int) -> HttpResponse:
    """Write down a limit that is marked on a part; what was read of it at this stay is judged by it."""
    row = _row(act.request).removeprefix("m")
    place, due = due_of(job, act.now, row)
    mark_and_judge(act.form.asked(due.part), job, **act.mark)
    return back_to("walk_round_place", job=job, place=place.id, at=row)


@acts(BenchForm, lambda request, form, job, place: _page(request, job, place, now(), refused=form))
def nothing_found(act: SentAct[BenchForm], job: int, place: str) -> HttpResponse:
    """Answer every yes/no question of a place that was not answered yet with the good word."""
    found_job = job_by_id(job)
    chosen = chosen_place(use_case.places_to_read(found_job, act.now), place)
    if chosen is None:
        raise InputRefused(worded("There is nothing to read at this place. Choose another along the bike."))
    for number, due in enumerate(use_case.place_due(found_job, act.now, chosen.id).readings):
        if due.good_word and due.taken is None and not due.is_deeper:
            asked = ReadingRequest(job=job, part=due.part, limit=due.limit, word=due.good_word)
            take_reading(asked, by=by(act.request), key=key_of(act.form.key, number), now=act.now)
    return back_to("walk_round_place", job=job, place=place, at="places")


def key_of(key: str, number: int) -> str:
    """Return the mark of one of several acts that come with one request; one that is too short or long is refused as it is."""
    return f"{key}-{number}" if 8 <= len(key) <= 58 else key


@acts(FoundForm, lambda request, form, job, place: _page(request, job, place, now(), refused=form))
def found(act: SentAct[FoundForm], job: int, place: str) -> HttpResponse:
    """Write down something else that was found by eye."""
    note_finding(act.form.asked(job), **act.mark)
    return back_to("walk_round_place", job=job, place=place, at="else")


@acts(ToldForm, lambda request, form, job, place: _page(request, job, place, now(), refused=form))
def told(act: SentAct[ToldForm], job: int, place: str) -> HttpResponse:
    """Write the answer to a question about a part, then show the place again: what is read there may have changed."""
    job_by_id(job)  # the part is asked for without its job, which has to be there all the same
    describe(act.form.asked(), **act.mark)
    return _back_to_place(job, place, act.now, told=act.form.about)


@acts(BenchForm, lambda request, form, job, place: _page(request, job, place, now(), refused=form))
def as_shown(act: SentAct[BenchForm], job: int, place: str) -> HttpResponse:
    """Write down that the corner of this place is as the build sheet shows it."""
    found_job = job_by_id(job)
    corner = corner_at(found_job.bike, place)
    if corner is None:
        raise NotFound(
            worded('The walk-round has no place "{place}". Choose one along the bike.', place=place[:40])
        )
    confirm_corner(ConfirmRequest(found_job.bike.tag, corner.id), **act.mark)
    return _back_to_place(job, place, act.now)


def _back_to_place(job: int, place: str, when: datetime, **query: str) -> HttpResponse:
    """The place again; the whole bike, where nothing is left to read or ask there."""
    if any(one.id == place for one in use_case.places_to_read(job_by_id(job), when)):
        return back_to("walk_round_place", job=job, place=place, at="places", query=query)
    return back_to("walk_round", job=job)


@dataclass(frozen=True, slots=True)
class WholeBikePage(Page):
    """What is shown: the whole bike with its places."""

    places: tuple[PlaceView, ...]
    spots: tuple[Spot, ...]
    pieces: frozenset[str]
    following: PlaceToRead | None
    taken: int
    count: int


def _whole(request: HttpRequest, job: int, when: datetime) -> HttpResponse:
    found_job = job_by_id(job)
    places = use_case.places_to_read(found_job, when)
    seen = place_views(places, "")
    following = chosen_place(places, "")
    page = WholeBikePage(
        places=seen,
        spots=spots_of(job, seen),
        pieces=use_case.pieces_on(found_job),
        following=following,
        taken=sum(one.taken for one in seen),
        count=sum(one.count for one in seen),
    )
    return job_screen(request, job, "walk-round", when, "walk_round/whole_bike.html", page)


@dataclass(frozen=True, slots=True)
class WalkRoundPage(Page):
    """What is shown: one place of the walk-round."""

    asks: tuple[AskCard, ...]
    told: AskCard | None
    corner: CornerSnapshot | None
    places: tuple[PlaceView, ...]
    spots: tuple[Spot, ...]
    pieces: frozenset[str]
    here: PlaceDue | None
    following: str
    following_words: str
    rows: tuple[WalkRow, ...]
    by_eye: tuple[FindingView, ...]
    found_form: FoundForm
    marks: Mapping[str, MarkDue]
    verdicts: tuple[str, ...]
    known: tuple[str, ...]

    @property
    def readings(self) -> tuple[ReadingDue, ...]:
        """What is read here."""
        return self.here.readings if self.here else ()

    @property
    def refused_above(self) -> bool:
        """Whether a refusal stands at the top: no row and no question has it."""
        return not any(one.is_refused for one in self.rows) and not any(one.sentence for one in self.asks)

    @property
    def deeper(self) -> int:
        """How many deeper readings nobody has taken."""
        return sum(1 for due in self.readings if due.is_deeper and due.taken is None)

    @property
    def questions_left(self) -> bool:
        """Whether a yes/no question is open here."""
        return any(due.good_word and due.taken is None and not due.is_deeper for due in self.readings)

    @property
    def parts_here(self) -> tuple[tuple[int, str], ...]:
        """The parts that are read here, each once."""
        return tuple(dict.fromkeys((due.part, due.part_words) for due in self.readings))

    @property
    def taken(self) -> int:
        """How much of the whole bike is read."""
        return sum(one.taken for one in self.places)

    @property
    def count(self) -> int:
        """How much there is to read."""
        return sum(one.count for one in self.places)


def _page(
    request: HttpRequest, job: int, place: str, when: datetime, refused: BenchForm | None = None
) -> HttpResponse:
    found_job = job_by_id(job)
    places = use_case.places_to_read(found_job, when)
    chosen = chosen_place(places, place)
    here = use_case.place_due(found_job, when, chosen.id) if chosen else None
    following = _after(places, chosen)
    seen = place_views(places, chosen.id if chosen else "")
    rows = rows_of(here, refused if isinstance(refused, ReadingForm) else None) if here else ()
    asks = cards_of(here, refused) if here else ()
    page = WalkRoundPage(
        asks=asks,
        told=_told_just_now(request, job, asks),
        corner=corner_at(found_job.bike, here.id) if here else None,
        places=seen,
        spots=spots_of(job, seen),
        pieces=use_case.pieces_on(found_job),
        here=here,
        following=following.id if following else "",
        following_words=following.words if following else "",
        rows=rows,
        by_eye=tuple(one for one in findings_of(found_job) if not one.limit),
        found_form=own_form(refused, FoundForm),
        marks=_marks(job, here),
        verdicts=tuple(verdict.value for verdict in Verdict),
        known=_KNOWN,
    )
    return job_screen(request, job, "walk-round", when, "walk_round/walk_round.html", page, refused)


def _marks(job: int, here: PlaceDue | None) -> Mapping[str, MarkDue]:
    """What may be marked on the parts that are read here, by the row of the page."""
    read = {one.part for one in here.readings} if here else set()
    return {f"r{part}.{limit}": due for (part, limit), due in marks_of(job_by_id(job).bike, read).items()}


def _after(places: tuple[PlaceToRead, ...], here: PlaceToRead | None) -> PlaceToRead | None:
    """The place after this one along the bike."""
    order = [one.id for one in places]
    return next(iter(places[order.index(here.id) + 1 :]), None) if here else None


def _told_just_now(request: HttpRequest, job: int, asks: tuple[AskCard, ...]) -> AskCard | None:
    """The card of the answer that the last act gave, so that a wrong tap is put right on the spot."""
    part, _, fact = request.GET.get("told", "").removeprefix("ask-").partition("-")
    if not (part.isascii() and part.isdigit() and len(part) < 19) or any(
        one.id == card_id(part, fact) for one in asks
    ):
        return None
    found = answered(job_by_id(job), int(part), fact)
    return card_again(found) if found is not None else None
