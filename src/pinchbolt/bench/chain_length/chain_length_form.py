"""Stay, wheels and what the derailleur takes; a bike gives what is left empty."""

from dataclasses import fields

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, Words
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.questions.ask_chain_length import ChainRequest
from pinchbolt.workshop.questions.of_bike import CHAIN, told_of_bike

# Fields that must be there, each with what to do for it; and those that are counts.
_NEEDED = (
    worded("stay_mm: Measure from crank spindle to rear axle, in mm."),
    worded("ring: Count the teeth of the biggest chainring."),
    worded("sprocket: Count the teeth of the biggest sprocket."),
)
_COUNTED = frozenset(field.name for field in fields(ChainRequest) if "int" in str(field.type))


class ChainLengthForm(BenchForm):
    """What a chain is cut by."""

    tag = Words(worded("bike"))
    stay_mm = Figure(worded("crank spindle to rear axle"), "mm")
    ring = Figure(worded("biggest chainring"), "teeth")
    sprocket = Figure(worded("biggest sprocket"), "teeth")
    small_ring = Figure(worded("smallest chainring"), "teeth")
    small_sprocket = Figure(worded("smallest sprocket"), "teeth")
    capacity = Figure(worded("what the cage takes up"), "teeth")
    growth_mm = Figure(worded("stay grows with the suspension by"), "mm")
    slot_mm = Figure(worded("no derailleur: slot of the axle"), "mm")

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
        needed = dict(one.split(": ") for one in _NEEDED)
        missing = {name: words for name, words in needed.items() if name not in given}
        if missing:
            raise InputRefused(next(iter(missing.values())), missing)
        counts = {name: int(float(str(value))) for name, value in given.items() if name in _COUNTED}
        return ChainRequest(**{**given, **counts})
