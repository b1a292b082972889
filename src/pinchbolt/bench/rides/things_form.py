"""What is asked to write down what an owner rides beside this bike, and what its display shows."""

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, Picked, Whole, Words
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.move_part import BOTH_WHEELS, MoveRequest
from pinchbolt.workshop.rides.displays import DisplayRequest
from pinchbolt.workshop.rides.owners_things import OwnBikeRequest, OwnTrainerRequest, OwnWheelsRequest

_NO_DAY = worded("A day is needed here. Choose it in the calendar, or leave it empty.")


class OwnBikeForm(BenchForm):
    """A further bike of the same owner."""

    template = Picked("build")
    bike_words = Words(worded("describe the bike"))
    on_since = forms.DateField(label=worded("new on"), required=False, error_messages={"invalid": _NO_DAY})
    all_along = Picked(worded("as long as they have it"))

    def asked(self, tag: str) -> OwnBikeRequest:
        """Return the request for the use case."""
        values = self.checked()
        return OwnBikeRequest(
            tag,
            values["template"],
            bike_words=values["bike_words"],
            on_since=values["on_since"],
            all_along=bool(values["all_along"]) and values["on_since"] is None,
        )


class OwnTrainerForm(BenchForm):
    """An indoor trainer of the same owner."""

    words = Words(worded("the trainer is called"))
    sprockets = Picked(worded("it has sprockets of its own"))

    def asked(self, tag: str) -> OwnTrainerRequest:
        """Return the request for the use case."""
        values = self.checked()
        return OwnTrainerRequest(tag, values["words"], bool(values["sprockets"]))


class OwnWheelsForm(BenchForm):
    """A second set of wheels."""

    words = Words(worded("the wheels are called"))

    def asked(self, tag: str) -> OwnWheelsRequest:
        """Return the request for the use case."""
        return OwnWheelsRequest(tag, self.checked()["words"])


class WheelsOnForm(BenchForm):
    """Wheels that hang on the wall and go onto the bike; what was on it hangs there from then on."""

    peg = Picked(worded("the wheels"))
    day = forms.DateField(label=worded("on"), required=False, error_messages={"invalid": _NO_DAY})

    def asked(self, tag: str) -> MoveRequest:
        """Return the request for the use case."""
        values = self.checked()
        return MoveRequest(BOTH_WHEELS, values["peg"], tag, exchange=True, day=values["day"])


class DisplayForm(BenchForm):
    """What the bike's own display shows."""

    what = Picked(worded("what it shows"))
    value = Figure(worded("it shows"), worded("km, h or cycles"))
    day = forms.DateField(label=worded("on"), required=False, error_messages={"invalid": _NO_DAY})
    corrects = Whole(worded("what it corrects"), "entries")

    def asked(self, tag: str) -> DisplayRequest:
        """Return the request for the use case."""
        values = self.checked()
        missing = {
            name: sentence
            for name, sentence in (
                ("value", worded("The display shows a figure: type it.")),
                ("day", worded("The display was read on a day: choose it in the calendar.")),
            )
            if values[name] is None
        }
        if missing:
            raise InputRefused(next(iter(missing.values())), missing)
        return DisplayRequest(tag, values["what"], values["value"], values["day"], values["corrects"])
