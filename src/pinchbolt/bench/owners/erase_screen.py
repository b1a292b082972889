"""Everything we hold of an owner as a file, and erasing an owner."""

from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Picked
from pinchbolt.bench.owners.owners_screen import owner_page
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import screen
from pinchbolt.bench.templatetags.kept import forget_pieces
from pinchbolt.values.wording import worded
from pinchbolt.workshop.keeping.erase import EraseRequest, EraseView, erase_owner, erase_view
from pinchbolt.workshop.keeping.held import HeldRequest, tell_what_we_hold


class EraseForm(BenchForm):
    """The passphrase, and whether single words of the name go from notes too."""

    passphrase = forms.CharField(
        label=worded("your passphrase"),
        required=False,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    words_too = Picked(worded("words of the name in notes"))

    def asked(self, owner: int) -> EraseRequest:
        """Return the request for the use case."""
        values = self.checked()
        return EraseRequest(owner, values["passphrase"], bool(values["words_too"]))


@dataclass(frozen=True, slots=True)
class ErasePage(Page):
    """What is shown: what goes, what stays, and how it reads afterwards."""

    title: str
    seen: EraseView
    erase_form: EraseForm
    words_too: bool


@acts(BenchForm, lambda request, form, owner: owner_page(request, form, owner))
def held(act: SentAct[BenchForm], owner: int) -> HttpResponse:
    """Hand out everything that is held of an owner, as one file."""
    packed = tell_what_we_hold(HeldRequest(owner), **act.mark)
    answer = HttpResponse(packed, content_type="application/zip")
    answer["Content-Disposition"] = f'attachment; filename="what-we-hold-{owner}.zip"'
    return answer


@require_safe
def erasing(request: HttpRequest, owner: int) -> HttpResponse:
    """What erasing would do."""
    return _erasing(request, None, owner)


@acts(EraseForm, lambda request, form, owner: _erasing(request, form, owner))
def erase(act: SentAct[EraseForm], owner: int) -> HttpResponse:
    """Erase the owner for good."""
    number = erase_owner(act.form.asked(owner), **act.mark)
    forget_pieces()
    return see(
        "owner",
        owner=number,
        query={"done": worded("Erased. A backup brought back later erases them again.")},
    )


def _erasing(request: HttpRequest, form: EraseForm | None, owner: int) -> HttpResponse:
    seen = erase_view(owner)
    page = ErasePage(
        title=worded("erase {name}", name=seen.name),
        seen=seen,
        erase_form=form or EraseForm(),
        words_too=form is None or bool(form.data.get("words_too")),
    )
    return screen(request, "owners/erase.html", page, form)
