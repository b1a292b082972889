"""What is entered on the job card: the stand, what the bike waits for, done lines."""

from pinchbolt.bench.fields import Picked, Whole, Words
from pinchbolt.bench.form import BenchForm
from pinchbolt.workshop.start_work import AsideAsked, StandAsked


class StandForm(BenchForm):
    """The stand, by its number."""

    stand = Whole("The stand", "numbers")

    def asked(self, job: int) -> StandAsked:
        """Return it as the use case takes it."""
        return StandAsked(job, self.checked()["stand"] or 0)


class AsideForm(BenchForm):
    """What the bike waits for and how it was left."""

    waits_for = Picked("What the bike waits for")
    words = Words("How the bike is left: which screws in which tray", rows=2)

    def asked(self, job: int) -> AsideAsked:
        """Return it as the use case takes it."""
        said = self.checked()
        return AsideAsked(job, said["waits_for"], said["words"])


class LineForm(BenchForm):
    """A line that was done."""

    line = Whole("The line", "numbers")
