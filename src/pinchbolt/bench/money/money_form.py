"""What is entered of a job's money: a note that money came or went, a bill that is taken back, a new one."""

from decimal import Decimal

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Money, Picked, Whole, Words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.leaving.bill import BillAgainRequest, ReverseRequest
from pinchbolt.workshop.stays.payments import NOT_YET, PaymentBackRequest, PaymentRequest


class PaymentForm(BenchForm):
    """Money that came or went."""

    what = Picked(worded("What it is"))
    amount = Money(worded("The amount"))
    how = Picked("How")

    def asked(self, job: int) -> PaymentRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        amount = said["amount"] if said["amount"] is not None else Decimal(0)
        return PaymentRequest(job, said["what"], amount, said["how"])


class PaymentBackForm(BenchForm):
    """The note that was wrong."""

    payment = Whole(worded("The note"), "numbers")

    def asked(self, job: int) -> PaymentBackRequest:
        """Return it as the use case takes it."""
        return PaymentBackRequest(job, self.checked()["payment"] or 0)


class ReverseForm(BenchForm):
    """The bill that is taken back, and why."""

    number = Picked(worded("The bill"))
    reason = Words(worded("Why it is taken back"))

    def asked(self) -> ReverseRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return ReverseRequest(said["number"], said["reason"])


class BillAgainForm(BenchForm):
    """A new bill after one was taken back."""

    paid = Picked(worded("How it was paid"))

    def asked(self, job: int) -> BillAgainRequest:
        """Return it as the use case takes it."""
        return BillAgainRequest(job, self.checked()["paid"] or NOT_YET)
