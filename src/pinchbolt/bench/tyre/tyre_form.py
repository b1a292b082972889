"""A tyre, its rim and who rides; a bike gives what is left empty."""

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, Picked, Words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.questions.ask_tyre import ENDS, TyreRequest
from pinchbolt.workshop.questions.of_bike import TYRE, told_of_bike

_YES_NO = {"yes": True, "no": False}


class TyreForm(BenchForm):
    """The tyre as marked or said, and what is known of rim, frame and rider."""

    tag = Words(worded("bike"))
    end = Picked(worded("which wheel"))
    marking = Words(worded("tyre, as on its side or as you say it"))
    rim_inner_mm = Figure(worded("rim, inside"), "mm")
    rim_seat_mm = Figure(worded("rim, bead seat"), "mm")
    hooked = Picked(worded("hooks on the rim"))
    allowed_hookless = Picked(worded("tyre allowed without hooks"))
    opening_mm = Figure(worded("narrowest opening"), "mm")
    total_kg = Figure(worded("rider, bike and load"), "kg")
    tyre_max_bar = Figure(worded("most on the tyre"), "bar")
    tyre_min_bar = Figure(worded("least on the tyre"), "bar")
    rim_max_bar = Figure(worded("most on the rim"), "bar")
    racing = forms.BooleanField(label=worded("a racing bike"), required=False)
    off_road = forms.BooleanField(label=worded("ridden off the road"), required=False)

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
