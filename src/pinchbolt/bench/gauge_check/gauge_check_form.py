"""What is entered when an instrument is tried on something known."""

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, Picked, Whole, Words
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.tools.check_instrument import InstrumentCheckRequest, known_elongation

NEW, LENGTH, SIZE = "a new chain", "a known length", "a known size"
# What a go/no-go gauge showed, as low and high end in percent.
SIDES: dict[str, tuple[float | None, float | None]] = {
    "0.5 stays out": (None, 0.5),
    "0.5 drops in, 0.75 stays out": (0.5, 0.75),
    "0.75 drops in": (0.75, None),
}


class GaugeForm(BenchForm):
    """What it was tried on, and what it showed: a value, or one of the sides of a go/no-go gauge."""

    tried_on = Picked(worded("What it was tried on"))
    length_mm = Figure(worded("known length"), "mm")
    pitches = Whole(worded("number of links"), "links")
    known = Figure(worded("The true size"), worded("its own unit"))
    against = Words(worded("what it was tried on, in words"))
    side = Picked(worded("What it showed"))
    value = Figure(worded("What it showed"), worded("its own unit"))

    def asked(self, instrument: int) -> InstrumentCheckRequest:
        """Return it as the use case takes it.

        Raises:
            InputRefused: Nothing is said of what it was tried on, or of what it showed.
        """
        said = self.checked()
        known, words = self._known(said)
        if said["side"] and said["side"] not in SIDES:
            sentence = worded("What it showed is not one of the sides: choose one.")
            raise InputRefused(sentence, {"side": sentence})
        low, high = SIDES.get(said["side"], (None, None))
        return InstrumentCheckRequest(instrument, said["against"] or words, known, said["value"], low, high)

    def _known(self, said: dict[str, object]) -> tuple[float | None, str]:
        if said["tried_on"] == NEW:
            return None, NEW
        if said["tried_on"] == LENGTH:
            length, pitches = said["length_mm"], said["pitches"]
            if not isinstance(length, float) or not isinstance(pitches, int):
                sentence = worded("A known length has its mm and its pitches: type both.")
                raise InputRefused(sentence, {"length_mm": sentence})
            return known_elongation(length, pitches), worded(
                "{length:g} mm over {pitches} pitches", length=length, pitches=pitches
            )
        known = said["known"]
        if not isinstance(known, float):
            sentence = worded(
                "The true size is empty: type what stands on the block, or what was measured otherwise."
            )
            raise InputRefused(sentence, {"known": sentence})
        return known, f"{known:g}"
