"""What is entered on the job card: the stand, what the bike waits for, done lines."""

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Measure, Picked, Whole, Words
from pinchbolt.workshop.stays.measure_off import MeasureOffRequest
from pinchbolt.workshop.stays.start_work import AsideRequest, StandRequest


class StandForm(BenchForm):
    """The stand, by its number."""

    stand = Whole("The stand", "numbers")
    reached = forms.BooleanField(label="the owner was reached", required=False)

    def asked(self, job: int) -> StandRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return StandRequest(job, said["stand"] or 0, said["reached"])


class AsideForm(BenchForm):
    """What the bike waits for and how it was left."""

    waits_for = Picked("What the bike waits for")
    words = Words("How the bike is left: which screws in which tray", rows=2)

    def asked(self, job: int) -> AsideRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return AsideRequest(job, said["waits_for"], said["words"])


class MeasureOffForm(BenchForm):
    """What a chain that came off measured."""

    part = Whole("The chain", "numbers")
    mm = Measure("measured off, over 24 pitches", "mm")

    def asked(self, job: int) -> MeasureOffRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        value = said["mm"]
        words = value if isinstance(value, str) else ""
        return MeasureOffRequest(job, said["part"] or 0, value if isinstance(value, float) else None, words)


class LineDoneForm(BenchForm):
    """A line that was done."""

    line = Whole("The line", "numbers")
