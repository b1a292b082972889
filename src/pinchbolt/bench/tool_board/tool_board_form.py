"""What is entered to hang a tool on the board."""

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Picked, Words
from pinchbolt.workshop.tools.check_tool import HungRequest


class HangForm(BenchForm):
    """A row of the tools table, what it is called here, and where it hangs."""

    table_id = Picked("The tool")
    name = Words("what it is called here")
    hangs = Words("where it hangs")

    def asked(self) -> HungRequest:
        """Return it as the use case takes it."""
        return HungRequest(**self.checked())
