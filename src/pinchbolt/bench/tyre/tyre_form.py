"""A tyre, its rim and who rides; a bike gives what is left empty."""

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, Picked, Words
from pinchbolt.workshop.questions.ask_tyre import ENDS, TyreRequest
from pinchbolt.workshop.questions.of_bike import TYRE, told_of_bike

_YES_NO = {"yes": True, "no": False}


class TyreForm(BenchForm):
    """The tyre as marked or said, and what is known of rim, frame and rider."""

    tag = Words("bike")
    end = Picked("which wheel")
    marking = Words("tyre, as on its side or as you say it")
    rim_inner_mm = Figure("rim, inside", "mm")
    rim_seat_mm = Figure("rim, bead seat", "mm")
    hooked = Picked("hooks on the rim")
    allowed_hookless = Picked("tyre allowed without hooks")
    opening_mm = Figure("narrowest opening", "mm")
    total_kg = Figure("rider, bike and load", "kg")
    tyre_max_bar = Figure("most on the tyre", "bar")
    tyre_min_bar = Figure("least on the tyre", "bar")
    rim_max_bar = Figure("most on the rim", "bar")
    racing = forms.BooleanField(label="a racing bike", required=False)
    off_road = forms.BooleanField(label="ridden off the road", required=False)

    def asked(self) -> TyreRequest:
        """Return the question for the use case.

        Raises:
            InputRefused: A field can't be read.
            NotFound: No bike has this tag.
        """
        told = self.checked()
        tag = told.pop("tag")
        end = told["end"] if told["end"] in ENDS else "rear"
        known = told_of_bike(tag, TYRE, end) if tag else {}
        own = {name: value for name, value in told.items() if value not in ("", None, False)}
        own |= {
            name: _YES_NO[own[name]] for name in ("hooked", "allowed_hookless") if own.get(name) in _YES_NO
        }
        return TyreRequest(**{"marking": "", **known, **own, "end": end})
