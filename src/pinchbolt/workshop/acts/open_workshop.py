"""Opening a workshop of one's own: name, town, country, labour, tax, stands, open days, and its first person."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, time
from decimal import Decimal
from math import isfinite

from django.utils import timezone

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event, Person, Role, Workshop
from pinchbolt.values.money import figure_text, is_currency_code, to_the_penny
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act, one_at_a_time
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.money_terms import labour_on_day
from pinchbolt.workshop.acts.passphrases import good_passphrase
from pinchbolt.workshop.common.checks import number, short
from pinchbolt.workshop.common.trade_tables import tables

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
USUAL_DAYS: Mapping[str, tuple[str, str]] = {
    **dict.fromkeys(("Tue", "Wed", "Thu", "Fri"), ("09:00", "17:30")),
    "Sat": ("09:00", "13:00"),
}
"""Open days until somebody says otherwise; common practice, no source."""
OTHER = "other"
_LABOUR_LEAST, _LABOUR_MOST = Decimal("1"), Decimal("100000")
_TAX_MOST = 35.0
STANDS_MOST = 12


@dataclass(frozen=True, slots=True)
class TermsRequest:
    """What a workshop says of itself. Tax in per cent, None for a workshop that is not registered; days as Mon: (from, to)."""

    name: str
    town: str
    country: str
    labour_an_hour: Decimal
    tax_percent: float | None
    stands: int = 2
    currency: str = ""
    open_days: Mapping[str, Sequence[str]] = field(default_factory=lambda: dict(USUAL_DAYS))


@dataclass(frozen=True, slots=True)
class OpeningRequest:
    """A new workshop and its first person, who owns it."""

    terms: TermsRequest
    person: str
    passphrase: str
    sign_in: str = ""


@dataclass(frozen=True, slots=True)
class TermsView:
    """What the workshop says of itself now; no open days where nobody has said which."""

    name: str
    town: str
    country: str
    currency: str
    labour_an_hour: Decimal
    tax_percent: Decimal
    stands: int
    open_days: Mapping[str, Sequence[str]]
    is_demo: bool


def is_open() -> bool:
    """Whether somebody works here: until then nothing but the opening is served."""
    return Person.objects.filter(is_active=True).exists()


def terms_told() -> TermsView:
    """Return what the workshop says of itself.

    Raises:
        NotFound: No workshop was opened yet.
    """
    row = terms()
    return TermsView(
        row.name,
        row.town,
        row.country,
        row.currency,
        labour_on_day(timezone.localdate()),
        row.tax_percent,
        row.stands,
        # A database may keep them in any order.
        {day: row.open_days[day] for day in DAYS if day in row.open_days},
        row.is_demo,
    )


def open_workshop(request: OpeningRequest, *, key: str, now: datetime) -> int:
    """Open a workshop with its first person, all or nothing; return the person's id.

    The same mark again is the same opening.

    Raises:
        InputRefused: A field is wrong; each sentence stands at its field.
        NotPossibleNow: A workshop was opened here already.
    """
    with one_at_a_time():
        before = Event.objects.filter(key=key, kind="workshop opened").first()
        if before is not None:
            return before.by_id
        if Workshop.objects.exists() or Person.objects.exists():
            first = Person.objects.order_by("pk").first()
            raise NotPossibleNow(
                worded(
                    "This workshop was opened already{name}. Sign in instead.",
                    name=worded(" by {name}", name=first.name) if first else "",
                )
            )
        told = _checked(request.terms)
        name = short(request.person, "person", worded("Your name"), 120, needed=True)
        sign_in = short(
            request.sign_in or name.split()[0], "sign_in", worded("The short name"), 40, needed=True
        )
        good_passphrase(request.passphrase, (str(told["name"]), str(told["town"]), name, sign_in))
        Workshop.objects.create(**told)
        person = Person.objects.make(sign_in, name, Role.OWNER, request.passphrase)
        with act(
            "workshop opened", by=person.pk, key=key, now=now, request=request, secret=("passphrase",)
        ) as this:
            this.write()
        return person.pk


@dataclass
class _Faults:
    """Sentences by field, gathered so that a whole page is refused at once."""

    errors: dict[str, str] = field(default_factory=dict)

    def of(self, refused: InputRefused) -> None:
        self.errors.update(refused.errors or {"": refused.sentence})

    def say(self, name: str, sentence: str) -> None:
        self.errors[name] = sentence

    def raise_any(self) -> None:
        if self.errors:
            raise InputRefused(next(iter(self.errors.values())), self.errors)


def _checked(request: TermsRequest) -> dict[str, object]:
    """The row as it will be written."""
    faults = _Faults()
    told: dict[str, object] = {"name": "", "town": ""}
    try:
        told["name"] = short(request.name, "name", worded("The workshop's name"), 120, needed=True)
        told["town"] = short(request.town, "town", worded("The town"), 120)
    except InputRefused as refused:
        faults.of(refused)
    told |= _money_of(request, faults)
    try:
        tax = 0.0 if request.tax_percent is None else request.tax_percent
        told["is_registered"] = request.tax_percent is not None
        told["tax_percent"] = Decimal(
            str(number(tax, "tax_percent", worded("The tax"), 0.0, _TAX_MOST, worded("per cent")))
        ).quantize(Decimal("0.01"))
        told["stands"] = int(
            number(request.stands, "stands", worded("The number of stands"), 1, STANDS_MOST, "")
        )
    except InputRefused as refused:
        faults.of(refused)
    told["open_days"] = _days(request.open_days, faults)
    faults.raise_any()
    return told


def _money_of(request: TermsRequest, faults: _Faults) -> dict[str, object]:
    """Country, currency and labour."""
    country = tables().countries.get(request.country)
    if country is None and request.country != OTHER:
        faults.say(
            "country",
            worded(
                'The country "{country}" is not on the list: choose one, or "other".',
                country=request.country[:20],
            ),
        )
        return {}
    currency = (request.currency or (country.currency if country else "")).strip().upper()
    if not is_currency_code(currency):
        faults.say(
            "currency",
            worded("The currency is not known: give its three letters, such as EUR. Write them in."),
        )
        return {}
    labour = request.labour_an_hour
    if not (isfinite(labour) and _LABOUR_LEAST <= labour <= _LABOUR_MOST):
        faults.say(
            "labour_an_hour",
            worded(
                "Fill in what an hour of work costs, {labour_least:g} to {labour_most}.",
                labour_least=_LABOUR_LEAST,
                labour_most=figure_text(_LABOUR_MOST, 0),
            ),
        )
    elif currency in ("GBP", "EUR", "USD", "CHF") and labour > 1000:
        meant = to_the_penny(labour / 100, currency)
        faults.say(
            "labour_an_hour",
            worded(
                "Labour is {labour} an hour: usually 20 to 200. Was {meant} meant?",
                labour=figure_text(labour),
                meant=meant,
            ),
        )
    else:
        return {
            "country": request.country if country else "",
            "currency": currency,
            "labour_an_hour": to_the_penny(labour, currency),
        }
    return {}


def checked_days(days: Mapping[str, Sequence[str]]) -> dict[str, list[str]]:
    """Return open days in the order of the week.

    Raises:
        InputRefused: None is open, or one closes before it opens.
    """
    faults = _Faults()
    told = _days(days, faults)
    faults.raise_any()
    return told


def _days(days: Mapping[str, Sequence[str]], faults: _Faults) -> dict[str, list[str]]:
    """Open days in the order of the week, each with its two times."""
    told: dict[str, list[str]] = {}
    if not days:
        faults.say("open_days", worded("No day is open: choose one at least."))
    for day in [*DAYS, *(day for day in days if day not in DAYS)]:
        if day not in days:
            continue
        try:
            opens, closes = (time.fromisoformat(one.strip().rjust(5, "0")) for one in days[day])
        except ValueError:
            faults.say(
                "open_days",
                worded(
                    '"{day}" has no two times of day such as 09:00 and 17:30: correct them.', day=day[:10]
                ),
            )
            continue
        if day not in DAYS:
            faults.say(
                "open_days",
                worded('"{day}" is no day of the week: {days}.', day=day[:10], days=", ".join(DAYS)),
            )
        elif closes <= opens:
            faults.say("open_days", worded("{day} closes before it opens: swap the two times.", day=day))
        else:
            told[day] = [f"{opens:%H:%M}", f"{closes:%H:%M}"]
    return told
