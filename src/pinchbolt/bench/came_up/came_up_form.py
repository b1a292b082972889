"""The short forms of what came up: each asks what its act needs, most of it by buttons."""

from collections.abc import Iterable, Sequence
from contextlib import suppress
from datetime import date, datetime, time
from decimal import Decimal

from django import forms
from django.utils import timezone

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.day_told import day_sent, day_told
from pinchbolt.bench.fields import Figure, Money, OneOf, Whole, Words
from pinchbolt.bench.templatetags.bench import day_name
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.values import Verdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id, money_of_shop
from pinchbolt.workshop.acts.on_stands import stands_now
from pinchbolt.workshop.bikes.battery import is_swollen
from pinchbolt.workshop.came_up.bike_tags import is_lost
from pinchbolt.workshop.came_up.call_off import REASONS, STAY, STRIKE
from pinchbolt.workshop.came_up.come_back import CAUSES, REST
from pinchbolt.workshop.came_up.not_collected import KEPT_FOR, WAYS, next_due
from pinchbolt.workshop.day.days_told import days_for_job
from pinchbolt.workshop.leaving.hand_over import KNOWN_BY
from pinchbolt.workshop.stays.ask_together import usual_limit
from pinchbolt.workshop.stays.discount import DISCOUNT, GOODWILL
from pinchbolt.workshop.stays.hand_on import hands_for
from pinchbolt.workshop.stays.job_card import menu
from pinchbolt.workshop.stays.owner_texts import REACHED_BY
from pinchbolt.workshop.stays.price import estimate, line_words
from pinchbolt.workshop.stays.promise import TOLD, WHY, open_days_ahead
from pinchbolt.workshop.stays.rest import rest_of
from pinchbolt.workshop.stays.ring_first import rings_first
from pinchbolt.workshop.stays.standing import lines_done
from pinchbolt.workshop.stays.who_pays import PAYERS

_HOURS = ("10:00", "12:00", "14:00", "16:00", "17:00")
_HOUR = "17:00"


def same(words: Iterable[str]) -> list[tuple[str, str]]:
    """Return buttons whose words are what is sent."""
    return [(one, one) for one in words]


class CameUpForm(BenchForm):
    """A form that is asked of one job."""

    def of_job(self, job: int, now: datetime, by: int) -> None:
        """Fill in what can be chosen at this job."""

    def choose(self, name: str, choices: Sequence[tuple[str, str]]) -> None:
        """Let a field offer these."""
        field = self.fields[name]
        assert isinstance(field, OneOf)
        field.choices = choices

    @property
    def can_be_sent(self) -> bool:
        """Whether there is a line to choose, where one is asked for."""
        line = self.fields.get("line")
        return not isinstance(line, OneOf) or bool(line.choices)


class PromiseForm(CameUpForm):
    """A new day and hour, why, and whether the owner knows."""

    with_odds = OneOf(worded("a day with its odds"))
    day = OneOf(worded("another one"))
    hour = OneOf(worded("at"), same(_HOURS), initial=_HOUR)
    other = forms.DateField(
        label=worded("another day"), required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    why = OneOf(worded("why"), same(WHY))
    told = OneOf(worded("does the owner know?"), same(TOLD), initial=TOLD[-1])

    def of_job(self, job: int, now: datetime, by: int) -> None:
        """The next open days."""
        today = timezone.localtime(now).date()
        days = [(f"{day:%Y-%m-%d}", day_name(day, today)) for day in open_days_ahead(now)]
        self.choose("day", [*days, ("none", worded("no promise"))])
        with suppress(NotPossibleNow):
            told = days_for_job(job, now)
            self.choose("with_odds", [(day_sent(one), one.words) for one in told.days])

    def odds(self) -> float | None:
        """The odds that were told with the day, where it was one of those."""
        said = self.checked()
        return None if said["day"] or said["other"] else day_told(said["with_odds"])[1]

    def moment(self) -> datetime | None:
        """The promised moment; None takes the promise away."""
        said = self.checked()
        told = day_told(said["with_odds"])[0]
        if told is not None and not said["day"] and not said["other"]:
            return told
        if said["day"] == "none":
            return None
        try:
            day: date = (
                said["other"] if said["other"] and not said["day"] else date.fromisoformat(said["day"])
            )
            at = datetime.combine(day, time.fromisoformat(said["hour"] or _HOUR))
        except ValueError as error:
            sentence = worded("No day was chosen: tap a day, or type another one.")
            raise InputRefused(sentence, {"day": sentence}) from error
        return timezone.make_aware(at)


class HowForm(CameUpForm):
    """How the owner was told."""

    how = OneOf(worded("how"), same(TOLD[:-1]), initial=TOLD[0])


class TriedForm(CameUpForm):
    """How the owner was tried."""

    how = OneOf(worded("how"), same(REACHED_BY), initial=REACHED_BY[0])


class LimitOfJobForm(CameUpForm):
    """What may be spent without a call; empty: every line is asked."""

    limit = Money(worded("now up to"), help_text=worded("empty: every line is asked"))
    words = Words(worded("who said so"))


class TogetherForm(CameUpForm):
    """What may be spent on all of them together."""

    limit = Money(
        worded("for all of them together, without a call"), help_text=worded("empty: every line is asked")
    )

    def of_job(self, job: int, now: datetime, by: int) -> None:
        """The least of their limits, until the owner says one for all."""
        limit = usual_limit(job_by_id(job))
        self.fields["limit"].initial = None if limit is None else f"{limit:.2f}"


class HandOnForm(CameUpForm):
    """Who goes on, and what they must know."""

    to = OneOf(worded("who goes on"))
    note = Words(worded("what they must know: what is half open, which bolts in which tray"), rows=3)

    def of_job(self, job: int, now: datetime, by: int) -> None:
        """The other hands."""
        self.choose("to", [(str(person), name) for person, name in hands_for(by)])


class FoundOnStandForm(CameUpForm):
    """A further fault: words, how bad, the work for it."""

    words = Words(worded("what was found, and where"), rows=2)
    verdict = OneOf(
        worded("how bad"), same(one.value for one in list(Verdict)[1:]), initial=Verdict.NEXT_VISIT.value
    )
    operation = forms.CharField(label=worded("the work for it"), required=False, widget=forms.Select)
    place = OneOf(
        worded("at which end, where it matters"),
        [("", worded("not said")), ("front", "front"), ("rear", "rear")],
        initial="",
    )
    ask = OneOf(
        worded("the owner"), [("now", worded("ask now")), ("later", worded("ask later"))], initial="now"
    )

    def of_job(self, job: int, now: datetime, by: int) -> None:
        """The menu of work."""
        widget = self.fields["operation"].widget
        assert isinstance(widget, forms.Select)
        widget.choices = [("", worded("not known yet")), *((row.id, row.name) for row in menu())]


class LineForm(CameUpForm):
    """One of the lines that are done."""

    line = OneOf(worded("which line"))

    def of_job(self, job: int, now: datetime, by: int) -> None:
        """The lines that are done."""
        done = lines_done(job_by_id(job))
        seen = estimate(job_by_id(job)).lines
        self.choose("line", [(str(line.id), line_words(line)) for line in seen if line.id in done])


class OfWhatStandsForm(CameUpForm):
    """A form that turns something over: it carries what stood when its page was shown, so that two people do not turn it twice."""

    stood = forms.CharField(required=False, widget=forms.HiddenInput)

    def stands(self, now: bool) -> None:
        """Carry what stands now."""
        self.fields["stood"].initial = "yes" if now else ""

    def refuse_if_turned(self, now: bool) -> None:
        """Refuse what was asked of a page that is out of date.

        Raises:
            NotPossibleNow: Somebody turned it over since.
        """
        if bool(self.checked()["stood"]) is not now:
            raise NotPossibleNow(
                worded("Somebody wrote this down a moment ago: nothing was saved. Look at it again.")
            )


class RingForm(OfWhatStandsForm):
    """Ring before the work starts, or not any more."""

    ring = OneOf(
        worded("ring the owner first"),
        (("yes", worded("yes, ring first")), ("no", worded("no, start the work"))),
    )

    def of_job(self, job: int, now: datetime, by: int) -> None:
        """Whether it is so now."""
        rings = rings_first(job_by_id(job))
        self.stands(rings)
        self.initial["ring"] = "yes" if rings else "no"


class BatteryForm(OfWhatStandsForm):
    """What was seen of a swollen battery; or where it went."""

    words = Words(worded("what was seen, or where it went"), rows=2)
    was_sound = forms.BooleanField(label=worded("it was looked at: not swollen"), required=False)

    def of_job(self, job: int, now: datetime, by: int) -> None:
        """It can't have been sound before somebody said that it is swollen."""
        swollen = is_swollen(job_by_id(job).bike)
        self.stands(swollen)
        if not swollen:
            del self.fields["was_sound"]


class CollectorForm(CameUpForm):
    """Somebody else collects the bike."""

    name = Words(worded("who collects it"))
    how_known = OneOf(worded("how we know"), same(KNOWN_BY))


class MoveForm(CameUpForm):
    """Where the bike goes."""

    to = OneOf(worded("where it goes"))
    tried = forms.BooleanField(
        label=worded("home: brakes, wheels, bar and what was opened were tried just now"), required=False
    )
    words = Words(worded("a word on it: how it is left, which bolts in which tray"))

    def of_job(self, job: int, now: datetime, by: int) -> None:
        """Free stands first, then where it waits, then out of the house."""
        free = [one.number for one in stands_now() if one.taken is None]
        self.choose(
            "to",
            [
                *(
                    (worded("stand {number}", number=number), worded("stand {number}", number=number))
                    for number in free
                ),
                ("rack", "rack"),
                ("owner", "waits for the owner"),
                ("part", "waits for a part"),
                ("outside", "outside"),
                ("home", "home meanwhile"),
                ("away", worded("put away, not collected")),
            ],
        )


class TagForm(CameUpForm):
    """The same tag again, a new one, or it turned up."""

    what = OneOf(
        worded("what now"),
        [("again", worded("print it again")), ("new", worded("give a new one"))],
        initial="again",
    )

    def of_job(self, job: int, now: datetime, by: int) -> None:
        """A lost tag may turn up."""
        if is_lost(job_by_id(job).bike):
            self.choose("what", [("found", worded("it turned up")), ("new", worded("give a new one"))])


class NobodyForm(CameUpForm):
    """The next step, or the end."""

    how = OneOf(worded("how it went out"), same(WAYS), initial=WAYS[0])
    end = OneOf(worded("or: what became of it"), same(KEPT_FOR))
    words = Words(worded("why it may"))

    def of_job(self, job: int, now: datetime, by: int) -> None:
        """Either a step is next, or the end."""
        for name in ("end", "words") if next_due(job_by_id(job), now) else ("how",):
            del self.fields[name]


class CameBackForm(CameUpForm):
    """Why the bike is back."""

    cause = OneOf(worded("it is back for"), same(one for one in CAUSES if one != REST))
    words = Words(worded("what the owner says; empty: the same as then"), rows=2)

    def of_job(self, job: int, now: datetime, by: int) -> None:
        """The rest, where some waits."""
        if rest_of(job_by_id(job)) is not None:
            self.choose("cause", same(CAUSES))
            self.fields["cause"].initial = REST


class WhoPaysForm(CameUpForm):
    """A line, and who bears it."""

    line = OneOf(worded("which line"))
    payer = OneOf(worded("who pays"), same(PAYERS))
    reason = Words(worded("why: bought or fitted when, what failed"))

    def of_job(self, job: int, now: datetime, by: int) -> None:
        """Every line of the estimate."""
        self.choose("line", [(str(line.id), line_words(line)) for line in estimate(job_by_id(job)).lines])


class DiscountForm(CameUpForm):
    """What is taken off, and why."""

    kind = OneOf(worded("what"), same((DISCOUNT, GOODWILL)), initial=DISCOUNT)
    percent = Figure(worded("share of the work"), "%")
    amount = Money(worded("or an amount"))
    reason = Words(worded("why"))

    def share(self) -> Decimal | None:
        """The percent, exact."""
        percent = self.checked()["percent"]
        return None if percent is None else Decimal(f"{percent:g}")


class UnfinishedForm(CameUpForm):
    """How the owner said so."""

    how = OneOf(
        worded("said"), same(("at the counter", "by phone", "by text", "by e-mail")), initial="at the counter"
    )


class CallOffForm(CameUpForm):
    """Why the job ends, and whose the readings are."""

    reason = OneOf(worded("why"), same(REASONS))
    words = Words(worded("in words, where it is another reason"))
    readings = OneOf(
        worded("what was read is"),
        [(STAY, STAY), (STRIKE, worded("{strike}: strike it here", strike=STRIKE))],
        initial=STAY,
    )


class OwnLineForm(CameUpForm):
    """A line of one's own."""

    words = Words(worded("the work, in words"))
    minutes = Whole(worded("labour"), "min")
    price = Money(worded("or its price, with tax"))
    place = OneOf(
        worded("at which end, where it matters"),
        [("", worded("not said")), ("front", "front"), ("rear", "rear")],
        initial="",
    )


class SplitForm(CameUpForm):
    """Which agreed lines wait for another day, and about which."""

    day = forms.DateField(
        label=worded("about when it should be back"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        error_messages={"invalid": worded("That is no day: choose one ahead; about is enough.")},
    )
    words = Words(worded("why they wait"))
    untouched = forms.BooleanField(label=worded("nothing of them was started"), required=False)

    def of_job(self, job: int, now: datetime, by: int) -> None:
        """A tick for each line that is agreed and not done."""
        for line in estimate(job_by_id(job)).lines:
            if line.answer == "agreed" and not line.is_done:
                self.fields[f"line-{line.id}"] = forms.BooleanField(label=line_words(line), required=False)
        self.order_fields([name for name in self.fields if name.startswith("line-")])

    def lines(self) -> tuple[int, ...]:
        """Those that were ticked."""
        said = self.checked()
        return tuple(int(name[5:]) for name, ticked in said.items() if name.startswith("line-") and ticked)


class OfOpenLinesForm(CameUpForm):
    """A form of a line that has no answer yet."""

    def of_job(self, job: int, now: datetime, by: int) -> None:
        """Lines without an answer, each with its minutes and the price of its work now."""
        seen = estimate(job_by_id(job)).lines
        self.choose(
            "line",
            [
                (
                    str(one.id),
                    f"{line_words(one)}, {one.money.minutes.usual} min, {money_of_shop(one.money.labour)}",
                )
                for one in seen
                if not one.answer
            ],
        )


class MinutesForm(OfOpenLinesForm):
    """A line that is not answered yet, and its minutes."""

    line = OneOf(worded("which line"))
    minutes = Whole(worded("labour"), "min", help_text=worded("empty: by the menu again"))


class WorkPriceForm(OfOpenLinesForm):
    """A line that is not answered yet, what its work costs, and why."""

    line = OneOf(worded("which line"))
    price = Money(worded("its work, with tax"), help_text=worded("empty: by the menu again"))
    reason = Words(worded("why"))
