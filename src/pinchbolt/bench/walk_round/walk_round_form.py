"""What is entered at a reading, at a place without faults, and for something seen by eye."""

from dataclasses import dataclass

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, Measure, Picked, Whole, Words
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.stays.note_finding import FindingRequest
from pinchbolt.workshop.stays.take_reading import ReadingRequest
from pinchbolt.workshop.stays.walk_round import Choice, ReadingDue


@dataclass(frozen=True, slots=True)
class Given:
    """What was read: a value, words as they were typed, an interval or a word."""

    value: float | None = None
    said: str = ""
    low: float | None = None
    high: float | None = None
    word: str = ""


def _by_choice(chosen: Choice) -> Given:
    """A step of a scale is a value; only the sides of a go/no-go gauge are an interval."""
    if chosen.low is not None and chosen.low == chosen.high:
        return Given(value=chosen.low, word=chosen.word)
    return Given(low=chosen.low, high=chosen.high, word=chosen.word)


def _by_figure(typed: float | str | None) -> Given:
    return Given(said=typed) if isinstance(typed, str) else Given(value=typed)


class ReadingForm(BenchForm):
    """One reading: a choice or a value, the instrument, how far the part went, and when if not now."""

    choice = Picked(worded("The answer"))
    value = Measure(worded("The value"), worded("the reading's own unit"))
    meant = Figure(worded("The value that was meant"), worded("the reading's own unit"))
    instrument = Whole(worded("The instrument"), "numbers")
    distance_km = Figure(worded("The distance since it was fitted"), "km")
    distance_known = Picked(worded("How the distance is known"))
    corrects = Whole(worded("The reading to put right"), "numbers")
    day = forms.DateField(
        label=worded("The day of the reading"),
        required=False,
        error_messages={
            "invalid": worded(
                "The day of the reading can't be read: a date such as 2026-03-14 is expected. Pick it again."
            )
        },
    )
    day_is_guess = forms.BooleanField(label=worded("about then"), required=False)

    def asked(self, job: int, due: ReadingDue) -> ReadingRequest:
        """Return the reading as the use case takes it.

        Raises:
            InputRefused: A field can't be read, or the choice is not one of this reading's.
        """
        said = self.checked()
        chosen = _chosen(said["choice"], due)
        typed = said["value"] if said["meant"] is None else said["meant"]
        what = _by_choice(chosen) if chosen else _by_figure(typed)
        return ReadingRequest(
            job=job,
            part=due.part,
            limit=due.limit,
            instrument=said["instrument"],
            value=what.value,
            said=what.said,
            low=what.low,
            high=what.high,
            word=what.word,
            distance_km=said["distance_km"],
            distance_known=said["distance_known"] or "owner's word",
            day=said["day"],
            day_is_guess=said["day_is_guess"],
            corrects=said["corrects"],
        )


def _chosen(number: str, due: ReadingDue) -> Choice | None:
    if not number:
        return None
    if not (number.isascii() and number.isdigit() and int(number) < len(due.choices)):
        raise InputRefused(
            worded(
                "Tap one of the buttons for {part_words}, {quantity}.",
                part_words=due.part_words,
                quantity=due.quantity,
            )
        )
    return due.choices[int(number)]


class FoundForm(BenchForm):
    """Something that an eye, ear or hand found."""

    words = Words(worded("What was found"), rows=2)
    verdict = Picked(worded("The verdict"))
    part = Whole(worded("The part"), "numbers")

    def asked(self, job: int) -> FindingRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return FindingRequest(job=job, words=said["words"], verdict=said["verdict"], part=said["part"])
