"""What is entered on the build sheet: a part that is added, what one is asked, where one goes, what is marked on it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, Money, Picked, plain_figure
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.build_view import FactView
from pinchbolt.workshop.bikes.change_build import (
    READ_OFF,
    AddRequest,
    DescribeRequest,
    ReplaceRequest,
    TakeOffRequest,
)
from pinchbolt.workshop.bikes.mark_limit import MarkLimitRequest
from pinchbolt.workshop.parts.build_offers import AskOffered

NOT_KNOWN_AFTER_ALL = "not known"
"""What is sent where a fact on record is known no longer; an empty answer says nothing."""
_FACT = "f-"
TODAY, ON_A_DAY, BEFORE = "today", "day", "before"


def _day(label: str) -> forms.DateField:
    return forms.DateField(
        label=label,
        required=False,
        error_messages={
            "invalid": worded("{label} can't be read: a date such as 2026-03-14 is expected.", label=label)
        },
    )


class FactsForm(BenchForm):
    """Answers about one part, and how all of them are known."""

    source = Picked(worded("How it is known"))

    def told(self) -> dict[str, str | None]:
        """Return the answers that were given, by fact; None where a fact is known no longer."""
        given = {
            name.removeprefix(_FACT): str(value).strip()
            for name, value in self.data.items()
            if name.startswith(_FACT) and str(value).strip()
        }
        return {name: None if value == NOT_KNOWN_AFTER_ALL else value for name, value in given.items()}

    def entry(self, fact: str) -> str:
        """What was entered for a fact."""
        return str(self.data.get(f"{_FACT}{fact}", ""))

    def said_of(self, fact: str) -> str:
        """The sentence of the refusal about a fact."""
        return self.refusal.errors.get(fact, "") if self.refusal else ""

    def how(self) -> str:
        """How it is known."""
        return str(self.checked()["source"]) or READ_OFF


class AddForm(FactsForm):
    """A part that is on the bike: where, since when, out of which bin."""

    kind = Picked(worded("The kind of part"))
    end = Picked(worded("Where it is"))
    since_when = Picked(worded("Since when"))
    since = _day(worded("The day since which it is on the bike"))
    bin = Picked(worded("The part of the bins"))

    def asked(self, tag: str) -> AddRequest:
        """Return it as the use case takes it.

        Raises:
            InputRefused: The day can't be read, or a day is meant and none is given.
        """
        said = self.checked()
        since: date | None = said["since"] if said["since_when"] == ON_A_DAY else None
        if said["since_when"] == ON_A_DAY and since is None:
            sentence = worded(
                'The day since which it is on the bike is missing: pick it, or tap "was on it before".'
            )
            raise InputRefused(sentence, {"since": sentence})
        return AddRequest(
            tag=tag,
            kind=said["kind"],
            end=said["end"],
            facts=self.told(),
            source=self.how(),
            since=since,
            was_there=said["since_when"] == BEFORE,
            bin=said["bin"],
        )


class DescribeForm(FactsForm):
    """What a part is."""

    def asked(self, part: int) -> DescribeRequest:
        """Return it as the use case takes it."""
        return DescribeRequest(part=part, facts=self.told(), source=self.how())


class ReplaceForm(FactsForm):
    """The new part, and where the old one goes."""

    gone_to = Picked(worded("Where the old one goes"))
    day = _day(worded("The day"))

    def asked(self, part: int) -> ReplaceRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return ReplaceRequest(
            part=part, facts=self.told(), source=self.how(), gone_to=said["gone_to"], day=said["day"]
        )


class TakeOffForm(BenchForm):
    """Where a part goes that comes off."""

    gone_to = Picked(worded("Where it goes"))
    day = _day(worded("The day"))
    price = Money(worded("What it costs in the bins"))

    def asked(self, part: int) -> TakeOffRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return TakeOffRequest(part, said["gone_to"], said["day"], said["price"] or Decimal(0))


class MarkForm(BenchForm):
    """A limit that is marked on a part: one of the likely figures by a tap, else typed. The prefix tells the rows of a page apart."""

    limit = Picked(worded("The limit"))
    likely = Figure(worded("The figure marked on it"), worded("the limit's own unit"))
    value = Figure(worded("The figure marked on it"), worded("the limit's own unit"))

    def asked(self, part: int) -> MarkLimitRequest:
        """Return it as the use case takes it.

        Raises:
            InputRefused: No figure.
        """
        said = self.checked()
        value = said["value"] if said["likely"] is None else said["likely"]
        if value is None:
            sentence = worded("No figure is given: tap one, or type what is marked on the part.")
            raise InputRefused(sentence, {"value": sentence})
        return MarkLimitRequest(part, said["limit"], value)


class EndForm(BenchForm):
    """At which other end such a part is as well."""

    end = Picked(worded("Where it is"))


class MovePartForm(BenchForm):
    """To which other bike a part goes."""

    into = Picked(worded("The other bike"))


@dataclass(frozen=True, slots=True)
class AskOnPage:
    """A question on the page: what is known now, what was entered, and the sentence of a refusal."""

    ask: AskOffered
    now: FactView | None
    entry: str
    sentence: str

    @property
    def name(self) -> str:
        """The name of its field."""
        return f"{_FACT}{self.ask.fact}"

    @property
    def is_known(self) -> bool:
        """Whether something is on record that could be taken back."""
        return self.now is not None and bool(self.now.source)

    @property
    def typed(self) -> str:
        """A figure as it was entered."""
        return plain_figure(self.entry) if self.ask.is_figure and not self.sentence else self.entry


def on_page(
    asks: tuple[AskOffered, ...], form: FactsForm | None, known: Mapping[str, FactView]
) -> tuple[AskOnPage, ...]:
    """Return the questions as the page shows them."""
    return tuple(
        AskOnPage(
            ask,
            known.get(ask.fact),
            form.entry(ask.fact) if form is not None else "",
            form.said_of(ask.fact) if form is not None else "",
        )
        for ask in asks
    )
