"""What is entered to hang a tool on the board."""

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, Picked, Words
from pinchbolt.workshop.tools.check_tool import HungRequest


class HangForm(BenchForm):
    """A row of the tools table, what it is called here, where it hangs, and its arm where it has one."""

    table_id = Picked("The tool")
    name = Words("what it is called here")
    hangs = Words("where it hangs")
    arm_mm = Figure("arm, of a torque tool or a crow-foot", "mm")

    def asked(self) -> HungRequest:
        """Return it as the use case takes it."""
        return HungRequest(**self.checked())
