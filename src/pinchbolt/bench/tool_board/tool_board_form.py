"""What is entered to hang a tool on the board."""

from django import forms
from django.http import QueryDict

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, Picked, Words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.tools.check_tool import HungRequest
from pinchbolt.workshop.tools.hang_several import SeveralRequest


class SeveralForm(BenchForm):
    """What a workshop has, ticked."""

    table_ids = forms.CharField(required=False)

    def asked(self) -> SeveralRequest:
        """Return it as the use case takes it."""
        ticked = self.data.getlist("table_ids") if isinstance(self.data, QueryDict) else ()
        return SeveralRequest(tuple(ticked))


class HangForm(BenchForm):
    """A row of the tools table, what it is called here, where it hangs, and its arm where it has one."""

    table_id = Picked(worded("The tool"))
    name = Words(worded("what it is called here"))
    hangs = Words(worded("where it hangs"))
    arm_mm = Figure(worded("arm, of a torque tool or a crow-foot"), "mm")

    def asked(self) -> HungRequest:
        """Return it as the use case takes it."""
        return HungRequest(**self.checked())
