"""What a tablet is called, and which one ends."""

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Picked, Whole, Words
from pinchbolt.bench.proof import Proof
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.api_tokens import TokenEndRequest, TokenRequest
from pinchbolt.workshop.settings.safe_keeping import TabletRequest


class TabletNameForm(BenchForm):
    """What this tablet is called."""

    name = Words(worded("this tablet is"))

    def asked(self, who: str) -> TabletRequest:
        """Return the request for the use case."""
        return TabletRequest(self.checked()["name"], who)


class TokenForm(BenchForm):
    """A token for a program."""

    token_name = Words(worded("what the program is called"))
    scope = Picked(worded("it may"))
    days = Whole(worded("for how long"), "days")
    token_proof = Proof()

    def asked(self) -> TokenRequest:
        """Return the request for the use case."""
        values = self.checked()
        return TokenRequest(values["token_name"], str(values["scope"] or "look"), int(values["days"] or 90))


class TokenEndForm(BenchForm):
    """The token to end."""

    token = Whole(worded("token"), "number")

    def asked(self) -> TokenEndRequest:
        """Return the request for the use case."""
        return TokenEndRequest(int(self.checked()["token"] or 0))


class TabletEndForm(BenchForm):
    """The tablet to sign out."""

    mark = Picked("tablet")
    end_proof = Proof()
