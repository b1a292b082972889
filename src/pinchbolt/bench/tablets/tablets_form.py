"""What a tablet is called, and which one ends."""

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Picked, Words
from pinchbolt.workshop.settings.safe_keeping import TabletRequest


class TabletNameForm(BenchForm):
    """What this tablet is called."""

    name = Words("this tablet is")

    def asked(self, who: str) -> TabletRequest:
        """Return the request for the use case."""
        return TabletRequest(self.checked()["name"], who)


class TabletEndForm(BenchForm):
    """The tablet to sign out."""

    mark = Picked("tablet")
