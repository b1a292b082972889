"""What is asked to open a workshop: itself, and the person who owns it."""

from django import forms

from pinchbolt.bench.fields import Words
from pinchbolt.bench.opening.terms_form import TermsForm
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.open_workshop import OpeningRequest


class OpeningForm(TermsForm):
    """The workshop and its first person."""

    person = Words(worded("you"))
    sign_in = Words(worded("short name"))
    passphrase = forms.CharField(
        label=worded("passphrase"),
        required=False,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def asked(self) -> OpeningRequest:
        """Return the request for the use case."""
        terms = self.terms()
        values = self.cleaned_data
        return OpeningRequest(terms, values["person"], values["passphrase"], values["sign_in"])
