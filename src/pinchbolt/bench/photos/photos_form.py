"""A photo as it is sent."""

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import OneOf, Whole, Words
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.came_up.photos import ABOUT, MOST_SENT

NONE = worded("No photo came along: take one, or choose one.")
LARGE = worded("The photo has more than {most_sent} MB: make it smaller.", most_sent=MOST_SENT // 1000000)


class PhotoForm(BenchForm):
    """What the photo is of, a word on it, and the photo."""

    about = OneOf(worded("what it shows"), [(one, one) for one in ABOUT], initial="finding")
    words = Words(worded("a word on it"))
    photo = forms.FileField(label=worded("photo"), required=False)

    def picture(self) -> bytes:
        """The bytes that were sent.

        Raises:
            InputRefused: Nothing was sent, or too much.
        """
        sent = self.files.get("photo")
        if sent is None:
            raise InputRefused(NONE, {"photo": NONE})
        if sent.size is None or sent.size > MOST_SENT:
            raise InputRefused(LARGE, {"photo": LARGE})
        return bytes(sent.read())


class PhotoAwayForm(BenchForm):
    """A photo to take away."""

    which = Whole(worded("the photo"), "numbers")
