"""What is typed to sign in."""

from django import forms

from pinchbolt.bench.bench_form import BenchForm


class PassphraseForm(BenchForm):
    """Name picked, passphrase typed."""

    sign_in = forms.CharField(label="name", required=False, max_length=40)
    passphrase = forms.CharField(label="passphrase", required=False, max_length=200, strip=False)


class SignInForm(BenchForm):
    """Name picked, PIN typed on the keypad."""

    sign_in = forms.CharField(label="name", required=False, max_length=40)
    pin = forms.CharField(label="PIN", required=False, max_length=8)
