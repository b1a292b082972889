"""What is entered at the handover."""

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Picked, Words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.leaving.hand_over import HandOverRequest


class HandOverForm(BenchForm):
    """Who takes the bike, what was read out to them, and whether it leaves as unsafe."""

    acknowledged = forms.BooleanField(required=False)
    as_unsafe = forms.BooleanField(required=False)
    taken_by = Words(worded("Who takes the bike"))
    paid = Picked(worded("How it was paid"))
    how_known = Picked(worded("How we know them"))

    def asked(self, job: int) -> HandOverRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return HandOverRequest(
            job,
            said["acknowledged"],
            said["as_unsafe"],
            said["taken_by"],
            said["paid"] or "not yet",
            said["how_known"],
        )
