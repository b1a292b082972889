"""Stay, wheels and what the derailleur takes; a bike gives what is left empty."""

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, Words
from pinchbolt.errors import InputRefused
from pinchbolt.workshop.questions.ask_chain_length import ChainRequest
from pinchbolt.workshop.questions.of_bike import CHAIN, told_of_bike

_WHOLE = ("ring", "sprocket", "small_ring", "small_sprocket", "capacity")
_NEEDED = {"stay_mm": "the chain stay", "ring": "the biggest chainring", "sprocket": "the biggest sprocket"}


class ChainLengthForm(BenchForm):
    """What a chain is cut by."""

    tag = Words("bike")
    stay_mm = Figure("crank spindle to rear axle", "mm")
    ring = Figure("biggest chainring", "teeth")
    sprocket = Figure("biggest sprocket", "teeth")
    small_ring = Figure("smallest chainring", "teeth")
    small_sprocket = Figure("smallest sprocket", "teeth")
    capacity = Figure("what the cage takes up", "teeth")
    growth_mm = Figure("stay grows with the suspension by", "mm")
    slot_mm = Figure("no derailleur: slot of the axle", "mm")

    def asked(self) -> ChainRequest:
        """Return the question for the use case.

        Raises:
            InputRefused: A field can't be read, or something is missing that the bike does not know either.
            NotFound: No bike has this tag.
        """
        told = self.checked()
        tag = told.pop("tag")
        known = told_of_bike(tag, CHAIN) if tag else {}
        given = {**known, **{name: value for name, value in told.items() if value is not None}}
        missing = {
            name: f"{words} is missing: measure or count, and type it."
            for name, words in _NEEDED.items()
            if name not in given
        }
        if missing:
            raise InputRefused(
                f"{next(iter(missing.values()))[0].upper()}{next(iter(missing.values()))[1:]}", missing
            )
        whole = {name: int(float(str(given[name]))) for name in _WHOLE if name in given}
        return ChainRequest(**{**given, **whole})
