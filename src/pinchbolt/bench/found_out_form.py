"""The answer to a question that decides which joints a bike has: one of its buttons, read off the part."""

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Picked, Whole, Words
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.change_build import DescribeRequest


class FoundOutForm(BenchForm):
    """A fact of a part as somebody has just read it off."""

    part = Whole(worded("The part"), "numbers")
    fact = Picked(worded("The question"))
    answer = Words(worded("The answer"))

    def asked(self) -> DescribeRequest:
        """Return it as the use case takes it.

        Raises:
            InputRefused: No part, no question, or no answer.
        """
        said = self.checked()
        if said["part"] is None or not said["fact"]:
            raise InputRefused(
                worded("This answer names no part and no question. Reload the page and answer again.")
            )
        if not said["answer"].strip():
            raise InputRefused(
                worded("Nothing was answered: choose or type an answer, or leave the question open.")
            )
        return DescribeRequest(said["part"], {said["fact"]: said["answer"]})
