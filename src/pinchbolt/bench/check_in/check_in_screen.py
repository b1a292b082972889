"""Taking a bike in: find it or make it, then one page with everything that is said and promised."""

from collections.abc import Mapping, Sequence, ValuesView
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import islice
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, QueryDict
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from pinchbolt.bench.addresses import see
from pinchbolt.bench.check_in.check_in_form import CheckInForm
from pinchbolt.bench.find.find_screen import CHECK_IN
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import by, now, screen
from pinchbolt.bench.templatetags.bench import day_name
from pinchbolt.errors import InputRefused
from pinchbolt.reference.rows.build import Template
from pinchbolt.reference.rows.kinds import BikeKind
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.describe_shop import is_closed
from pinchbolt.workshop.acts.open_workshop import DAYS, terms_told
from pinchbolt.workshop.bikes.building import use_classes
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.leaving.bike_sheet import BikeView, bike_sheet
from pinchbolt.workshop.leaving.shop_day import JobView
from pinchbolt.workshop.stays.check_in import check_in as take_in
from pinchbolt.workshop.stays.check_in import known_alike, owner_named
from pinchbolt.workshop.stays.complaints import ComplaintChoice, complaint_choices

HOURS = ("10:00", "12:00", "15:00", "17:00")
MARKS = (
    "scratched frame",
    "dent in a tube",
    "worn bar tape",
    "bent rim",
    "cracked tyre",
    "rust on the chain",
    "muddy",
)
LEFT = (
    "key",
    "e-bike battery",
    "charger",
    "front light",
    "rear light",
    "pump",
    "bottle",
    "bag",
    "lock",
    "axle key",
)
LIMITS = ("0", "30", "60", "100")
WEEKS = ("20", "50", "80", "120", "200")


@dataclass(frozen=True, slots=True)
class WhichBikePage(Page):
    """What is shown: which bike comes in; `further` is whose, where it is another bike of theirs, `begun` who is new.

    `carried` goes along to the next page: whose it is.
    """

    title: str
    further: str
    begun: str
    carried: str
    wanted: str
    leads: str
    templates: ValuesView[Template]
    kinds: ValuesView[BikeKind]


@require_http_methods(["GET", "HEAD", "POST"])
def check_in(request: HttpRequest) -> HttpResponse:
    """Choose a bike first (?find=, ?tag=, ?template=, ?kind= from nothing), then write down what is said."""
    moment = now()
    if request.method == "POST":
        form = CheckInForm(request.POST)
        with form.refusable():
            done = take_in(form.asked(), by=by(request), key=form.key, now=moment)
            return see("job_sheet", job=done.job)
        return _page(request, form, _Which.of(request.POST, "bike_kind"), moment)
    which = _Which.of(request.GET, "kind")
    if which.tag or which.template or which.kind:
        return _page(request, CheckInForm(new=which.new), which, moment)
    if "find" in request.GET:
        return see("find", query={"find": request.GET["find"][:120], "leads": CHECK_IN})
    return screen(
        request,
        "check_in/which_bike.html",
        WhichBikePage(
            title=worded("check-in"),
            further=_whose(which),
            begun=which.new,
            carried=which.carried,
            wanted="",
            leads=CHECK_IN,
            templates=tables().templates.values(),
            kinds=tables().bike_kinds.values(),
        ),
    )


@dataclass(frozen=True, slots=True)
class _Which:
    """Which bike comes in: a known one by its tag, a new one by its build, or one begun from nothing by its kind.

    `owner_of` is a bike of the same owner, or `owner` their number, where the new one is a further bike of somebody known; `new`
    is what was looked for and is nobody's.
    """

    tag: str
    template: str
    kind: str
    owner_of: str
    owner: str
    new: str

    @classmethod
    def of(cls, data: QueryDict, kind: str) -> "_Which":
        """Read it from an address or a form."""
        names = ("tag", "template", kind, "owner_of", "owner", "new")
        return cls(*(str(data.get(name, ""))[:120] for name in names))

    @property
    def carried(self) -> str:
        """Whose the bike is, as the next address says it."""
        told = {"owner_of": self.owner_of, "owner": self.owner, "new": self.new}
        words = urlencode({name: value for name, value in told.items() if value})
        return f"&{words}" if words else ""


@dataclass(frozen=True, slots=True)
class CheckInPage(Page):
    """What is shown: the check-in."""

    title: str
    known: BikeView | None
    build: Template | None
    begun: BikeKind | None
    owner_of: str
    owner: str
    further: str
    known_alike: Sequence[tuple[int, str, str]]
    nothing_yet: tuple[str, ...]
    days: Sequence[tuple[str, str]]
    hours: tuple[str, ...]
    use_classes: tuple[str, ...]
    marks: tuple[str, ...]
    left: tuple[str, ...]
    limits: tuple[str, ...]
    weeks: tuple[str, ...]
    entry: Mapping[str, object]
    complaints: tuple[ComplaintChoice, ...]
    chosen: frozenset[str]

    @property
    def here(self) -> JobView | None:
        """The stay that this bike is on already."""
        jobs = self.known.jobs if self.known else ()
        return next((job for job in jobs if not job.state.ended), None)

    @property
    def usual(self) -> Template | BikeKind | None:
        """What says how such a bike is usually ridden."""
        return self.build or self.begun


def _page(request: HttpRequest, form: CheckInForm, which: _Which, moment: datetime) -> HttpResponse:
    """The one page of a check-in, for a known bike or a new one."""
    known = bike_sheet(which.tag, moment) if which.tag.strip() else None
    build = tables().templates.get(which.template) if known is None else None
    begun = tables().bike_kinds.get(which.kind) if known is None and not which.template else None
    if known is None and build is None and begun is None:
        raise _no_such(which)
    page = CheckInPage(
        title=worded("check-in"),
        known=known,
        build=build,
        begun=begun,
        owner_of=which.owner_of,
        owner=which.owner,
        further=_whose(which),
        known_alike=_alike(form) if form.refusal else (),
        nothing_yet=(),
        days=_days(moment),
        hours=HOURS,
        use_classes=use_classes(),
        marks=MARKS,
        left=LEFT,
        limits=LIMITS,
        weeks=WEEKS,
        entry={name: form[name].value() or "" for name in form.fields},
        complaints=complaint_choices(),
        chosen=frozenset(request.POST.getlist("complaints")),
    )
    return screen(request, "check_in/check_in.html", page, form)


def _whose(which: _Which) -> str:
    """The owner's name, where a further bike of theirs comes in."""
    number = int(which.owner[:12]) if which.owner.isdecimal() else None
    return owner_named(which.owner_of, number) if which.owner_of.strip() or number is not None else ""


def _alike(form: CheckInForm) -> Sequence[tuple[int, str, str]]:
    """Who is known by what was typed, where somebody new was told."""
    if form["owner"].value() or form["owner_of"].value():
        return ()
    return known_alike(*(str(form[name].value() or "") for name in ("owner_name", "owner_phone")))


def _no_such(which: _Which) -> InputRefused:
    if which.template or not which.kind:
        names = "; ".join(one.plain for one in tables().templates.values())
        return InputRefused(
            worded(
                'There is no kind "{template}". Pick one of: {names}.',
                template=which.template[:40],
                names=names,
            )
        )
    names = "; ".join(one.words for one in tables().bike_kinds.values())
    return InputRefused(
        worded('There is no kind "{kind}". Pick one of: {names}.', kind=which.kind[:40], names=names)
    )


def _days(moment: datetime) -> list[tuple[str, str]]:
    """The next seven open days as buttons: the day as it is sent, and as it is said. Nobody is promised a closed day."""
    today = timezone.localtime(moment).date()
    opened = terms_told().open_days or DAYS
    days = (today + timedelta(days=n) for n in range(50))
    open_days = (day for day in days if DAYS[day.weekday()] in opened and not is_closed(day, today))
    return [(f"{day:%Y-%m-%d}", day_name(day, today)) for day in islice(open_days, 7)]
