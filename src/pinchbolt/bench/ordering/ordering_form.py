"""What is entered of orders, deliveries, who sells a part, and the marks of a bin."""

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Money, Whole, Words, plain_figure
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.ordering.bin_marks import MarksRequest
from pinchbolt.workshop.ordering.send_order import OrderedLine, SendOrderRequest
from pinchbolt.workshop.parts.deliver import DeliveryBackRequest, DeliveryLine, DeliveryRequest
from pinchbolt.workshop.parts.sold_by import SoldByRequest

# A scanner types a line and Enter: "7300011000017" is one piece, "7300011000017 x 4" and "4 x CH-11" are four.
_TIMES = ("×", " x ", "*")


class SendOrderForm(BenchForm):
    """An order as it goes out: how many of each, as the list said or as a hand changed it."""

    supplier = Words(worded("of whom"))
    due = forms.DateField(label=worded("expected"), required=False)

    def asked(self) -> SendOrderRequest:
        """Return the request; a count of 0 leaves a line out."""
        said = self.checked()
        lines = []
        for name, typed in self.data.items():
            if str(name).startswith("count-") and (text := plain_figure(typed)) not in ("", "0"):
                if not text.isdecimal():
                    sentence = worded(
                        'The count is "{typed}": whole pieces are counted. Type it again.',
                        typed=str(typed)[:20],
                    )
                    raise InputRefused(sentence, {"supplier": sentence})
                lines.append(OrderedLine(str(name).removeprefix("count-"), int(text)))
        return SendOrderRequest(said["supplier"], tuple(lines), said["due"])


class DeliveryForm(BenchForm):
    """A delivery: the slip, what was scanned line by line, and what came of what is on order."""

    supplier = Words(worded("from whom"))
    slip = Words(worded("number on the slip"))
    scanned = Words(worded("scan, one line a scan"), rows=6)

    def asked(self) -> DeliveryRequest:
        """Return the request: each code once with its count, and what was counted of the list."""
        said = self.checked()
        counts: dict[str, int] = {}
        for line in said["scanned"].splitlines():
            code, count = _line(line)
            if code:
                counts[code] = counts.get(code, 0) + count
        lines = [DeliveryLine(count, code) for code, count in counts.items()]
        for name, typed in self.data.items():
            if str(name).startswith("came-") and (text := plain_figure(typed)) not in ("", "0"):
                wanted = str(name).removeprefix("came-")
                if not (text.isdecimal() and wanted.isdecimal()):
                    sentence = worded(
                        'The count is "{typed}": whole pieces are counted. Type it again.',
                        typed=str(typed)[:20],
                    )
                    raise InputRefused(sentence, {"scanned": sentence})
                lines.append(DeliveryLine(int(text), wanted=int(wanted)))
        return DeliveryRequest(said["supplier"], tuple(lines), said["slip"])


def _line(text: str) -> tuple[str, int]:
    """A scanned line: the code, and how many; a count stands before or behind a sign of times."""
    for sign in _TIMES:
        first, found, last = text.partition(sign)
        if found and first.strip().isdecimal() and len(first.strip()) <= 4:
            return last.strip(), int(first)
        if found and last.strip().isdecimal() and len(last.strip()) <= 4:
            return first.strip(), int(last)
    return text.strip(), 1


class DeliveryBackForm(BenchForm):
    """A delivery that was taken in by mistake."""

    delivery = Whole(worded("the delivery"), "numbers")

    def asked(self) -> DeliveryBackRequest:
        """Return it as the use case takes it."""
        return DeliveryBackRequest(self.checked()["delivery"] or 0)


class SoldByForm(BenchForm):
    """Who sells a part, at what, in which packs; the number under its bar code."""

    number = Words(worded("number in the bins"))
    supplier = Words(worded("who sells it"))
    cost = Money(worded("what one costs us, without tax"))
    pack = Whole(worded("how many in a pack"), "pieces")
    supplier_number = Words(worded("their number"))
    gtin = Words(worded("bar code, scanned or typed"))

    def asked(self) -> SoldByRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return SoldByRequest(
            said["number"], said["supplier"], said["cost"], 1 if said["pack"] is None else said["pack"],
            said["supplier_number"], said["gtin"],
        )  # fmt: skip


class MarksForm(BenchForm):
    """The marks of a bin."""

    number = Words(worded("number in the bins"))
    low = Whole(worded("ordered at"), "pieces")
    up_to = Whole(worded("up to"), "pieces")

    def asked(self) -> MarksRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return MarksRequest(said["number"], said["low"], said["up_to"])
