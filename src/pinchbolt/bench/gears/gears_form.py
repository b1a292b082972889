"""A drive, what a swap changes of it, and a hill."""

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, Words
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.questions.ask_gears import GearsRequest, HillRequest

_HILL = ("gradient_percent", "mass_kg", "power_w")


class GearsForm(BenchForm):
    """Counts of teeth as they are said, 50/34 and 11-13-15; a bike gives what is left empty."""

    tag = Words(worded("bike"))
    rings = Words(worded("chainrings"))
    sprockets = Words(worded("sprockets"))
    tyre = Words(worded("tyre, as on its side"))
    after_rings = Words(worded("chainrings after a swap"))
    after_sprockets = Words(worded("sprockets after a swap"))
    hub_ratios = Words(worded("ratios inside a hub gear"))
    after_hub_ratios = Words(worded("ratios inside after a swap"))
    cadence_rpm = Figure(worded("cadence"), "rpm")
    gradient_percent = Figure(worded("hill"), "%")
    mass_kg = Figure(worded("rider, bike and load"), "kg")
    power_w = Figure(worded("rider's power"), "W")

    def asked(self) -> GearsRequest:
        """Return the question for the use case.

        Raises:
            InputRefused: A field can't be read, or a hill of which something is missing.
        """
        told = self.checked()
        hill = {name: told.pop(name) for name in _HILL}
        missing = [name for name, value in hill.items() if value is None]
        if missing and len(missing) < len(hill):
            sentence = worded(
                "A hill needs its steepness, the weight and the rider's power. Type the missing one."
            )
            raise InputRefused(sentence, {missing[0]: sentence})
        cadence = told.pop("cadence_rpm")
        more = {} if cadence is None else {"cadence_rpm": cadence}
        return GearsRequest(**told, **more, hill=None if missing else HillRequest(**hill))
