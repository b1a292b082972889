"""What is entered on the job card: the stand, what the bike waits for, done lines."""

from django import forms
from django.http import QueryDict

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Measure, Picked, Whole, Words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.stays.measure_off import MeasureOffRequest
from pinchbolt.workshop.stays.start_work import AsideRequest, LineDoneRequest, StandRequest


class StandForm(BenchForm):
    """The stand, by its number."""

    stand = Whole(worded("The stand"), "numbers")
    reached = forms.BooleanField(label=worded("the owner was reached"), required=False)

    def asked(self, job: int) -> StandRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return StandRequest(job, said["stand"] or 0, said["reached"])


class AsideForm(BenchForm):
    """What the bike waits for and how it was left."""

    waits_for = Picked(worded("What the bike waits for"))
    words = Words(worded("How the bike is left: which screws in which tray"), rows=2)

    def asked(self, job: int) -> AsideRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return AsideRequest(job, said["waits_for"], said["words"])


class MeasureOffForm(BenchForm):
    """What a chain that came off measured."""

    part = Whole(worded("The chain"), "numbers")
    mm = Measure(worded("measured off, over 24 pitches"), "mm")

    def asked(self, job: int) -> MeasureOffRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        value = said["mm"]
        words = value if isinstance(value, str) else ""
        return MeasureOffRequest(job, said["part"] or 0, value if isinstance(value, float) else None, words)


class LineDoneForm(BenchForm):
    """A line that was done, and which parts are new where the work may renew some."""

    line = Whole(worded("The line"), "numbers")

    def asked(self, job: int) -> LineDoneRequest:
        """Return it as the use case takes it; what is no number only says that somebody was asked."""
        told = self.data.getlist("new") if isinstance(self.data, QueryDict) else []
        numbers = tuple(int(one) for words in told for one in words.split() if one.isdecimal())
        return LineDoneRequest(job, self.checked()["line"] or 0, numbers if told else None)
