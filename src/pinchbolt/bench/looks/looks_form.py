"""What is tapped on a card, of a complaint and its tests."""

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Picked, Whole, Words
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.looks.answer_looks import AnswerLooksRequest, LookedAt
from pinchbolt.workshop.looks.walk_list import LookDue
from pinchbolt.workshop.stays.complaints import CloseComplaintRequest, ComplaintRequest, ComplaintTestRequest

OF_LOOK = "look."
"""How the name of a look's answer begins on the page; the look's id follows."""
PASSED_OVER = "rest."
"""How the name of the entry begins that says what the card's one button says of a look."""


class CardForm(BenchForm):
    """The answers of one card: each look that was tapped by its name, the others by what the card's one button says of them.

    Nothing is chosen before a tap. A look that was passed over has the answer of its `rest.` entry: good, or not looked at.
    """

    minutes = Picked(worded("the minutes"))

    def asked(self, job: int, due: dict[str, LookDue]) -> AnswerLooksRequest:
        """Return the answers as the use case takes them, each with the chance that its card told."""
        told = {**self._named(PASSED_OVER), **self._named(OF_LOOK)}
        return AnswerLooksRequest(job, tuple(_looked(look, answer, due) for look, answer in told.items()))

    def _named(self, before: str) -> dict[str, str]:
        """The entries whose names begin so, by what follows."""
        return {
            name.removeprefix(before): str(self.data.get(name, ""))
            for name in self.data
            if name.startswith(before)
        }


def _looked(look: str, answer: str, due: dict[str, LookDue]) -> LookedAt:
    """One answer: "found" may say which row of which part, as "found 12 rotor-cracked"."""
    word, _, row = answer.partition(" ")
    part, _, limit = row.partition(" ")
    chance = due[look].chance if look in due else None
    if word != "found" or not row:
        return LookedAt(look, answer, chance=chance)
    if not (part.isascii() and part.isdigit() and len(part) < 19):
        raise InputRefused(worded("What was found can't be read from this page. Reload it and tap again."))
    return LookedAt(look, "found", limit, int(part), chance)


class UndoForm(BenchForm):
    """The tap that was wrong."""

    minutes = Picked(worded("the minutes"))
    card = Whole(worded("The tap"), "numbers")


class ComplainForm(BenchForm):
    """One complaint of the owner."""

    minutes = Picked(worded("the minutes"))
    complaint = Picked(worded("The complaint"))

    def asked(self, job: int) -> ComplaintRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return ComplaintRequest(job, (said["complaint"],) if said["complaint"] else ())


class ComplaintTestForm(BenchForm):
    """The answer to a test of a complaint."""

    minutes = Picked(worded("the minutes"))
    complaint = Picked(worded("The complaint"))
    split = Picked(worded("The test"))
    answer = Picked(worded("The answer"))

    def asked(self, job: int) -> ComplaintTestRequest:
        """Return it as the use case takes it.

        Raises:
            InputRefused: Neither yes nor no.
        """
        said = self.checked()
        if said["answer"] not in ("yes", "no"):
            raise InputRefused(worded("The test is answered by yes or no. Tap one of them."))
        return ComplaintTestRequest(job, said["complaint"], said["split"], said["answer"] == "yes")


class CauseForm(BenchForm):
    """What caused a complaint: a finding of this stay, or words."""

    minutes = Picked(worded("the minutes"))
    complaint = Picked(worded("The complaint"))
    finding = Whole(worded("The finding"), "numbers")
    words = Words(worded("The cause"))

    def asked(self, job: int) -> CloseComplaintRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return CloseComplaintRequest(job, said["complaint"], said["finding"], said["words"])
