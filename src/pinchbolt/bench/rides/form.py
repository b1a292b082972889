"""What is asked to take ride files in, or to place rides."""

from django import forms

from pinchbolt.bench.fields import Picked, Whole
from pinchbolt.bench.form import BenchForm
from pinchbolt.errors import InputRefused
from pinchbolt.workshop.place_rides import RidesPlaced
from pinchbolt.workshop.take_in_rides import RidesAsked


class FilesForm(BenchForm):
    """Whose rides the files are."""

    whose = Picked("whose rides these are")
    trainer = Whole("indoor trainer", "trainers")

    def asked(self, tag: str, digest: str) -> RidesAsked:
        """Return the request for the use case."""
        values = self.checked()
        return RidesAsked(tag, digest, values["whose"] == "sort", values["trainer"])


class PlaceForm(BenchForm):
    """Rides by number, with blanks between, and the bike they were on."""

    rides = forms.CharField(label="rides", required=False)
    tag = Picked("bike")
    trainer = Whole("indoor trainer", "trainers")

    def asked(self) -> RidesPlaced:
        """Return the request for the use case."""
        values = self.checked()
        words = values["rides"].split()
        if not all(word.isascii() and word.isdigit() and len(word) < 10 for word in words):
            sentence = (
                "The rides can't be told apart: numbers with blanks between are needed. Reload the page."
            )
            raise InputRefused(sentence, {"rides": sentence})
        tag = "" if values["tag"] == "none" else values["tag"]
        return RidesPlaced(tuple(int(word) for word in words), tag, values["trainer"])
