"""What is entered on the estimate: answers, and the parts of a line."""

from datetime import date, timedelta
from decimal import Decimal

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Money, Picked, Whole, Words, plain_figure
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import as_kept, worded
from pinchbolt.workshop.stays.agree_visit import VisitRequest
from pinchbolt.workshop.stays.answer import AnswerRequest
from pinchbolt.workshop.stays.line_parts import LinePart
from pinchbolt.workshop.stays.say_limit import LimitRequest

_MOST_PARTS = 12
NO_DAY = as_kept("no day")


class AnswersForm(BenchForm):
    """The owner's word on one or more lines, fields named `answer-<line>`."""

    how = Picked(worded("How the answer was given"))
    said_by = Words(worded("Who said it, if not the owner"))
    words = Words(worded("What the owner said"))
    up_to = Money(worded("An answer to the whole: up to, you choose"))

    def asked(self, job: int) -> AnswerRequest:
        """Return the answers as the use case takes them; lines left open are left out."""
        said = self.checked()
        given = {
            int(name[7:]): value == "agreed"
            for name, value in self.data.items()
            if name.startswith("answer-") and name[7:].isdecimal() and value in ("agreed", "declined")
        }
        return AnswerRequest(
            job=job,
            answers=given,
            how=said["how"] or "at the counter",
            words=said["words"],
            said_by=said["said_by"],
            up_to=said["up_to"],
        )


class LimitForm(BenchForm):
    """The owner's new limit; empty = every line is asked."""

    limit = Money(worded("May be spent without a call"))
    words = Words(worded("Who said it"))

    def asked(self, job: int) -> LimitRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return LimitRequest(job, said["limit"], said["words"])


class VisitForm(BenchForm):
    """When the bike comes again: in so many days from today, on a day, or no day any more."""

    after = Picked(worded("When the bike comes again"))
    day = forms.DateField(
        label=worded("On"),
        required=False,
        error_messages={"invalid": worded("The day can't be read: a date such as 2027-03-14 is expected.")},
    )

    def asked(self, job: int, today: date) -> VisitRequest:
        """Return it as the use case takes it; a day that was typed counts before a button.

        Raises:
            InputRefused: Neither was said.
        """
        said = self.checked()
        after: str = said["after"]
        if said["day"] is None and not after.isdecimal() and after != NO_DAY:
            sentence = worded("The next visit has no day: choose when, or a day.")
            raise InputRefused(sentence, {"day": sentence})
        soon = today + timedelta(days=min(int(after), 10_000)) if after.isdecimal() else None
        return VisitRequest(job, said["day"] or soon)


class ReasonForm(BenchForm):
    """A line that is given back or taken off the bill, and why."""

    line = Whole(worded("The line"), "numbers")
    reason = Words(worded("Why"))
    untouched = forms.BooleanField(label=worded("nothing of it was started"), required=False)


class ReachForm(BenchForm):
    """The owner was tried, or a text went out: how, which kind and its words."""

    how = Picked("How")
    kind = Picked(worded("Which text"))
    text = Words(worded("The text"), rows=4)


class EstimateLineForm(BenchForm):
    """A line whose parts are changed, or that is taken off; parts in fields `name-n`, `each-n`, `count-n`."""

    line = Whole(worded("The line"), "numbers")

    def parts(self) -> tuple[LinePart, ...]:
        """Return the parts as typed; a row without a name is left out.

        Raises:
            InputRefused: A price or count can't be read.
        """
        rows = [(n, str(self.data.get(f"name-{n}", "")).strip()) for n in range(_MOST_PARTS)]
        return tuple(self._part(n, name) for n, name in rows if name)

    def _part(self, n: int, name: str) -> LinePart:
        each, count = (
            plain_figure(self.data.get(f"each-{n}")).lstrip("£€$"),
            plain_figure(self.data.get(f"count-{n}")) or "1",
        )
        if not each.isascii() or not each.replace(".", "", 1).isdigit():
            raise InputRefused(
                worded(
                    '{name} costs "{each}": an amount such as 36 or 36.50 is expected. Type the price again.',
                    name=name,
                    each=each[:20],
                )
            )
        if not (count.isascii() and count.isdigit() and len(count) < 5):
            raise InputRefused(
                worded(
                    '{name} is counted "{count}": a whole number is expected. Type the count again.',
                    name=name,
                    count=count[:20],
                )
            )
        return LinePart(name, Decimal(each), int(count), str(self.data.get(f"tax_class-{n}") or "standard"))
