"""What is asked to add a person or to set a PIN."""

from django import forms

from pinchbolt.bench.fields import Picked, Words
from pinchbolt.bench.form import BenchForm
from pinchbolt.workshop.people import PersonAsked, PinAsked


class PinForm(BenchForm):
    """Whose PIN, and the new one; an empty PIN takes it away."""

    sign_in = Picked("whose")
    pin = forms.CharField(label="new PIN", required=False, max_length=60)

    def asked(self) -> PinAsked:
        """Return the request for the use case."""
        values = self.checked()
        return PinAsked(values["sign_in"], values["pin"])


class PersonForm(BenchForm):
    """A person to add."""

    name = Words("name")
    sign_in = Words("signs in as")
    role = Picked("role")
    passphrase = forms.CharField(
        label="passphrase",
        required=False,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def asked(self) -> PersonAsked:
        """Return the request for the use case."""
        return PersonAsked(**self.checked())
