"""What is asked to add a person or to set a PIN."""

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Picked, Whole, Words
from pinchbolt.bench.proof import Proof
from pinchbolt.bench.settings.settings_form import SettingForm
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.change_people import LeaveRequest, PassphraseRequest, PersonChangeRequest
from pinchbolt.workshop.acts.manage_people import PersonRequest, PinRequest


class NewPinForm(BenchForm):
    """Whose PIN, and the new one; an empty PIN takes it away."""

    sign_in = Picked("whose")
    pin = forms.CharField(label=worded("new PIN"), required=False, max_length=60)
    pin_proof = Proof()

    def asked(self) -> PinRequest:
        """Return the request for the use case."""
        values = self.checked()
        return PinRequest(values["sign_in"], values["pin"])


class NewPassphraseForm(BenchForm):
    """Whose passphrase, and the new one."""

    sign_in = Picked("whose")
    passphrase = forms.CharField(
        label=worded("new passphrase"),
        required=False,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    passphrase_proof = Proof()

    def asked(self) -> PassphraseRequest:
        """Return the request for the use case."""
        values = self.checked()
        return PassphraseRequest(values["sign_in"], values["passphrase"])


class PersonChangeForm(SettingForm):
    """What a person is called and may do from now on."""

    sign_in = Picked("who")
    name = Words(worded("name"))
    role = Picked("role")
    may_sign = forms.BooleanField(required=False)
    gives_percent = Whole(worded("may give away of a job"), "%")

    @property
    def form_id(self) -> str:  # type: ignore[override]
        """Each person has a form of their own."""
        return f"person-{self.data.get('sign_in', '')}"

    def asked(self) -> PersonChangeRequest:
        """Return the request for the use case."""
        return PersonChangeRequest(**self.checked())


class LeaveForm(BenchForm):
    """Who leaves, or comes back."""

    sign_in = Picked("who")

    def asked(self) -> LeaveRequest:
        """Return the request for the use case."""
        return LeaveRequest(**self.checked())


class PersonForm(BenchForm):
    """A person to add."""

    name = Words(worded("name"))
    sign_in = Words(worded("signs in as"))
    role = Picked("role")
    passphrase = forms.CharField(
        label=worded("passphrase"),
        required=False,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    person_proof = Proof()

    def asked(self) -> PersonRequest:
        """Return the request for the use case."""
        return PersonRequest(
            **{name: value for name, value in self.checked().items() if name != "person_proof"}
        )
