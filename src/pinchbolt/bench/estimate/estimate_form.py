"""What is entered on the estimate: answers, and the parts of a line."""

from decimal import Decimal

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Picked, Whole, Words, plain_figure
from pinchbolt.errors import InputRefused
from pinchbolt.workshop.stays.answer import AnswerRequest
from pinchbolt.workshop.stays.propose import LinePart

_MOST_PARTS = 12


class AnswersForm(BenchForm):
    """The owner's word on one or more lines, fields named `answer-<line>`."""

    how = Picked("How the answer was given")
    words = Words("What the owner said")

    def asked(self, job: int) -> AnswerRequest:
        """Return the answers as the use case takes them; lines left open are left out."""
        said = self.checked()
        given = {
            int(name[7:]): value == "agreed"
            for name, value in self.data.items()
            if name.startswith("answer-") and name[7:].isdecimal() and value in ("agreed", "declined")
        }
        return AnswerRequest(job=job, answers=given, how=said["how"] or "at the counter", words=said["words"])


class EstimateLineForm(BenchForm):
    """A line whose parts are changed, or that is taken off; parts in fields `name-n`, `each-n`, `count-n`."""

    line = Whole("The line", "numbers")

    def parts(self) -> tuple[LinePart, ...]:
        """Return the parts as typed; a row without a name is left out.

        Raises:
            InputRefused: A price or count can't be read.
        """
        rows = [(n, str(self.data.get(f"name-{n}", "")).strip()) for n in range(_MOST_PARTS)]
        return tuple(self._part(n, name) for n, name in rows if name)

    def _part(self, n: int, name: str) -> LinePart:
        each, count = (
            plain_figure(self.data.get(f"each-{n}")).lstrip("£€$"),
            plain_figure(self.data.get(f"count-{n}")) or "1",
        )
        if not each.isascii() or not each.replace(".", "", 1).isdigit():
            raise InputRefused(
                f'{name} costs "{each[:20]}": an amount such as 36 or 36.50 is expected. Type the price again.'
            )
        if not (count.isascii() and count.isdigit() and len(count) < 5):
            raise InputRefused(
                f'{name} is counted "{count[:20]}": a whole number is expected. Type the count again.'
            )
        return LinePart(name, Decimal(each), int(count))
