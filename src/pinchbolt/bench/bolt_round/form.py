"""What is entered for a joint of the round that moved."""

from django import forms

from pinchbolt.bench.fields import Figure, Whole
from pinchbolt.bench.form import BenchForm
from pinchbolt.workshop.bolt_round import TickAsked


class MovedForm(BenchForm):
    """The tool, and what it showed when the joint was tight again. `sure` keeps a value out of the window."""

    tool = Whole("The tool", "numbers")
    done_n_m = Figure("The done value", "N·m")
    sure = forms.BooleanField(required=False)

    def asked(self, tag: str, joint: str) -> TickAsked:
        """Return it as the use case takes it."""
        said = self.checked()
        return TickAsked(tag, joint, False, said["tool"], said["done_n_m"], said["sure"])
