"""What is entered at the handover."""

from django import forms

from pinchbolt.bench.fields import Words
from pinchbolt.bench.form import BenchForm
from pinchbolt.workshop.hand_over import HandOverAsked


class HandOverForm(BenchForm):
    """Who takes the bike, what was read out to them, and whether it leaves as unsafe."""

    acknowledged = forms.BooleanField(required=False)
    as_unsafe = forms.BooleanField(required=False)
    taken_by = Words("Who takes the bike")

    def asked(self, job: int) -> HandOverAsked:
        """Return it as the use case takes it."""
        said = self.checked()
        return HandOverAsked(job, said["acknowledged"], said["as_unsafe"], said["taken_by"])
