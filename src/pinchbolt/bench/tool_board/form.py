"""What is entered to hang a tool on the board."""

from pinchbolt.bench.fields import Picked, Words
from pinchbolt.bench.form import BenchForm
from pinchbolt.workshop.check_tool import HungAsked


class HangForm(BenchForm):
    """A row of the tools table, what it is called here, and where it hangs."""

    table_id = Picked("The tool")
    name = Words("what it is called here")
    hangs = Words("where it hangs")

    def asked(self) -> HungAsked:
        """Return it as the use case takes it."""
        return HungAsked(**self.checked())
