"""What is entered for a joint of the round that moved."""

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, Whole
from pinchbolt.values.wording import worded
from pinchbolt.workshop.torque.bolt_round import TickRequest


class MovedForm(BenchForm):
    """The tool, and what it showed when the joint was tight again. `sure` keeps a value out of the window."""

    tool = Whole(worded("The tool"), "numbers")
    done_n_m = Figure(worded("The torque saved"), "N·m")
    sure = forms.BooleanField(required=False)

    def asked(self, tag: str, joint: str) -> TickRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return TickRequest(tag, joint, False, said["tool"], said["done_n_m"], said["sure"])
