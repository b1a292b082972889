"""What is entered on the findings: a line for the estimate."""

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Picked, Whole
from pinchbolt.values.wording import worded
from pinchbolt.workshop.stays.propose import ProposeRequest


class ProposeForm(BenchForm):
    """One operation for the estimate, for a finding or that the owner asked for."""

    operation = Picked("The work")
    finding = Whole(worded("The finding"), "numbers")
    place = Picked("Where")
    count = Whole(worded("How many times"), "times")

    def asked(self, job: int) -> ProposeRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return ProposeRequest(
            job=job,
            operation=said["operation"],
            finding=said["finding"],
            place=said["place"],
            count=said["count"] or 1,
        )
