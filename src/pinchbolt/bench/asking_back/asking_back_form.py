"""What was said of a call-back, and which letters are made."""

from django import forms
from django.http import QueryDict

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Picked, Whole, Words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.asking_back.make_letters import LetterRequest, LettersRequest
from pinchbolt.workshop.leaving.back_said import BackSaidRequest, BackWordRequest


class BackSaidForm(BenchForm):
    """One tap: what was said; a booked visit with its day."""

    tag = Words(worded("the bike"))
    what = Picked(worded("what was said"))
    day = forms.DateField(label=worded("for which day"), required=False)

    def asked(self) -> BackSaidRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return BackSaidRequest(said["tag"], said["what"], said["day"])


class BackWordForm(BenchForm):
    """A wrong tap."""

    said = Whole(worded("the word"), "numbers")

    def asked(self) -> BackWordRequest:
        """Return it as the use case takes it."""
        return BackWordRequest(self.checked()["said"] or 0)


class LettersForm(BenchForm):
    """Letters for the bikes that are named."""

    way = Picked(worded("by which way"))

    def asked(self) -> LettersRequest:
        """Return it as the use case takes it."""
        tags = self.data.getlist("tag") if isinstance(self.data, QueryDict) else ()
        return LettersRequest(tuple(map(str, tags)), self.checked()["way"])


class LetterForm(BenchForm):
    """A letter of the outbox."""

    letter = Whole(worded("the letter"), "numbers")

    def asked(self) -> LetterRequest:
        """Return it as the use case takes it."""
        return LetterRequest(self.checked()["letter"] or 0)
