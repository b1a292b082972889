"""What every form of the settings has: the newest change that its person saw, and a change to take back."""

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Whole
from pinchbolt.values.wording import worded
from pinchbolt.workshop.settings.take_back import TakeBackRequest


class SettingForm(BenchForm):
    """A form of the settings. `form_id` is its id on the page: what somebody else changed meanwhile is taken over by it."""

    form_id = ""
    seen = Whole(worded("seen"), "changes")


class TakeBackForm(BenchForm):
    """A change to take back."""

    event = Whole(worded("change"), "changes")

    def asked(self) -> TakeBackRequest:
        """Return the request for the use case."""
        return TakeBackRequest(self.checked()["event"] or 0)
