"""One's own passphrase again before a way in is made or changed: a tablet that somebody left signed in gives none."""

from typing import TypeVar

from django import forms
from django.contrib.auth import authenticate

from pinchbolt.bench.act import SentAct
from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.manage_people import people

F = TypeVar("F", bound=BenchForm)


class Proof(forms.CharField):
    """One's own passphrase, typed again."""

    def __init__(self) -> None:
        word = forms.PasswordInput(attrs={"autocomplete": "current-password"})
        super().__init__(
            label=worded("your own passphrase, as it is now"), required=False, strip=False, widget=word
        )


def prove(act: SentAct[F], field: str) -> None:
    """Ask for one's own passphrase; wrong tries count as at the sign-in.

    Raises:
        InputRefused: It is another.
    """
    me = next(one for one in people() if one.id == act.mark["by"])
    proof = str(act.form.checked().get(field, ""))
    if authenticate(act.request, username=me.sign_in, password=proof) is None:
        sentence = worded(
            "This is not the passphrase of {name}: type your own, as it is now. Nothing was changed.",
            name=me.name,
        )
        raise InputRefused(sentence, {field: sentence})
