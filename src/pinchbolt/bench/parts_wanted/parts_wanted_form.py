"""What is entered of wanted parts: where one goes now, a further one, a supplier, a count."""

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Money, Whole, Words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.parts.stocktake import CountRequest
from pinchbolt.workshop.parts.suppliers import SupplierRequest
from pinchbolt.workshop.parts.wanted import WantedMoveRequest, WantRequest


class PartMoveForm(BenchForm):
    """A wanted part and where it goes, with what belongs to it."""

    wanted = Whole(worded("the part"), "numbers")
    to = Words(worded("where it goes"))
    supplier = Words(worded("from whom"))
    price = Money(worded("price of one, to us"))
    due = forms.DateField(label=worded("expected"), required=False)
    count = Whole(worded("how many came"), "pieces")
    words = Words(worded("a word on it"))

    def asked(self) -> WantedMoveRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return WantedMoveRequest(
            said["wanted"] or 0,
            said["to"],
            said["supplier"],
            said["price"],
            said["due"],
            said["count"],
            said["words"],
        )


class WantForm(BenchForm):
    """A further part: for a line of a job, or for the bins."""

    words = Words(worded("the part"))
    line = Whole(worded("the line"), "numbers")
    part = Whole(worded("which of its parts"), "numbers")
    count = Whole(worded("how many"), "pieces")
    number = Words(worded("the supplier's number"))
    bin_number = Words(worded("its number in the bins"))

    def asked(self, job: int | None) -> WantRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return WantRequest(
            said["words"],
            job,
            said["line"],
            said["part"],
            1 if said["count"] is None else said["count"],
            said["number"],
            said["bin_number"],
        )


class SupplierForm(BenchForm):
    """A supplier."""

    name = Words(worded("name"))
    phone = Words(worded("phone"))
    how = Words(worded("how to order there"))
    our_number = Words(worded("our number there"))
    days = Whole(worded("days it usually takes"), "days")
    note = Words(worded("note"))
    carriage = Money(worded("carriage of an order"))
    free_from = Money(worded("carriage is free from"))
    least_order = Money(worded("no order below"))

    def asked(self) -> SupplierRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return SupplierRequest(
            said["name"],
            said["phone"],
            said["how"],
            said["our_number"],
            said["days"],
            said["note"],
            said["carriage"],
            said["free_from"],
            said["least_order"],
        )


class CountForm(BenchForm):
    """How many lie in a bin."""

    number = Words(worded("number"))
    found = Whole(worded("counted"), "pieces")

    def asked(self) -> CountRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return CountRequest(said["number"], -1 if said["found"] is None else said["found"])
