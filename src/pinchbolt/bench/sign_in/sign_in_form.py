"""What is typed to sign in."""

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.values.wording import worded


class PassphraseForm(BenchForm):
    """Name picked, passphrase typed."""

    sign_in = forms.CharField(label=worded("name"), required=False, max_length=40)
    passphrase = forms.CharField(label=worded("passphrase"), required=False, max_length=200, strip=False)


class SignInForm(BenchForm):
    """Name picked, PIN typed on the keypad."""

    sign_in = forms.CharField(label=worded("name"), required=False, max_length=40)
    pin = forms.CharField(label=worded("PIN"), required=False, max_length=8)
