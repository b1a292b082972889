"""What is entered of a warranty and of a claim."""

from datetime import date

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Picked, Whole, Words
from pinchbolt.bench.photos.photos_form import LARGE, NONE
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.came_up.photos import MOST_SENT
from pinchbolt.workshop.proof.open_claim import ClaimMoveRequest, ClaimRequest
from pinchbolt.workshop.proof.say_warranty import WarrantyRequest

LIFE, MONTHS, UNKNOWN = "for life", "months", "not known"


class _DayField(forms.DateField):
    """A day that may be left out."""

    def __init__(self, label: str) -> None:
        widget = forms.DateInput(attrs={"type": "date"})
        invalid = {
            "invalid": worded(
                "{first}{rest} is no day: choose one, or leave it empty.",
                first=label[:1].upper(),
                rest=label[1:],
            )
        }
        super().__init__(label=label, required=False, widget=widget, error_messages=invalid)


class _PhotoForm(BenchForm):
    """A form that a photo may come along with."""

    def picture(self) -> bytes | None:
        """The photo that was sent, None where none was.

        Raises:
            InputRefused: It is too large.
        """
        sent = self.files.get("photo")
        if sent is None:
            return None
        if sent.size is None or sent.size > MOST_SENT:
            raise InputRefused(LARGE, {"photo": LARGE})
        return bytes(sent.read())


class WarrantyForm(_PhotoForm):
    """How a thing was bought; what is left empty is not known."""

    bought = _DayField(worded("day of buying"))
    seller = Words(worded("bought of"))
    cover = Picked(worded("How long it is covered"))
    months = Whole(worded("months"), "months")
    words = Words(worded("note, such as the receipt's number"))
    photo = forms.FileField(label=worded("photo of the receipt"), required=False)

    def asked(self, kind: str, thing: int) -> WarrantyRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        months = said["months"] if said["cover"] != LIFE else None
        for_life = said["cover"] == LIFE
        return WarrantyRequest(kind, thing, said["bought"], said["seller"], months, for_life, said["words"])


class ClaimForm(BenchForm):
    """What broke, and when it was found."""

    broke = Words(worded("what broke, and how"), rows=3)
    day = _DayField(worded("found on"))

    def asked(self, kind: str, thing: int) -> ClaimRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        day: date | None = said["day"]
        return ClaimRequest(kind, thing, said["broke"], day)


class ClaimPhotoForm(_PhotoForm):
    """A photo of what broke, and a word on it."""

    words = Words(worded("a word on it"))
    photo = forms.FileField(label=worded("photo"), required=False)

    def needed(self) -> bytes:
        """The photo.

        Raises:
            InputRefused: None came along.
        """
        sent = self.picture()
        if sent is None:
            raise InputRefused(NONE, {"photo": NONE})
        return sent


class ClaimMoveForm(BenchForm):
    """What became of a claim."""

    state = Picked(worded("What became of it"))
    words = Words(worded("what they said"))
    answer_by = _DayField(worded("ask again on"))

    def asked(self, claim: int) -> ClaimMoveRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return ClaimMoveRequest(claim, said["state"], said["words"], said["answer_by"])
