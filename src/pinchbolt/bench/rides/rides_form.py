"""What is asked to take ride files in, or to place rides."""

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, Picked, Whole
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.rides.note_distance import DistanceRequest
from pinchbolt.workshop.rides.on_since import SinceRequest
from pinchbolt.workshop.rides.place_rides import PlaceRidesRequest, TakeRidesBackRequest
from pinchbolt.workshop.rides.take_in_rides import RidesRequest

_NO_DAY = worded("A distance is from a day to a day: both are needed. Choose them in the calendar.")

_NO_SINCE = worded(
    "Since when it is on the bike is a day: choose it in the calendar, or tap one of the other answers."
)


class FilesForm(BenchForm):
    """Whose rides the files are."""

    whose = Picked(worded("whose rides these are"))
    trainer = Whole(worded("indoor trainer"), "trainers")

    def asked(self, tag: str, digest: str) -> RidesRequest:
        """Return the request for the use case."""
        values = self.checked()
        return RidesRequest(tag, digest, values["whose"] == "sort", values["trainer"])


class SaidForm(BenchForm):
    """What somebody says that the bike went between two days, in all or in a usual week."""

    start = forms.DateField(label=worded("from"), required=False, error_messages={"invalid": _NO_DAY})
    end = forms.DateField(label=worded("to"), required=False, error_messages={"invalid": _NO_DAY})
    distance_km = Figure(worded("in all"), "km")
    km_a_week = Figure(worded("or in a usual week"), "km")
    known = Picked(worded("how do you know?"))
    corrects = Whole(worded("what it corrects"), "distances")

    def asked(self, tag: str) -> DistanceRequest:
        """Return the request for the use case."""
        values = self.checked()
        missing = {name: _NO_DAY for name in ("start", "end") if values[name] is None}
        if missing:
            raise InputRefused(_NO_DAY, missing)
        return DistanceRequest(
            values["start"],
            values["end"],
            values["distance_km"],
            values["known"] or "owner's word",
            tag=tag,
            km_a_week=values["km_a_week"],
            corrects=values["corrects"],
        )


def _numbers(told: str) -> tuple[int, ...]:
    words = told.split()
    if not all(word.isascii() and word.isdigit() and len(word) < 10 for word in words):
        sentence = worded(
            "The rides can't be told apart: numbers with blanks between are needed. Reload the page."
        )
        raise InputRefused(sentence, {"rides": sentence})
    return tuple(int(word) for word in words)


class PlaceForm(BenchForm):
    """Rides by number, with blanks between, and the bike they were on; `instead` and `move` are tags in its place."""

    rides = forms.CharField(label=worded("rides"), required=False)
    tag = Picked("bike")
    instead = Picked(worded("bike, instead of what counts at the same time"))
    move = Picked(worded("another person's bike"))
    trainer = Whole(worded("indoor trainer"), "trainers")

    def asked(self) -> PlaceRidesRequest:
        """Return the request for the use case."""
        values = self.checked()
        tag = "" if values["tag"] == "none" else values["tag"]
        if not (values["tag"] or values["instead"] or values["move"]):
            sentence = worded("No bike was named: its tag is needed. Look at the hang tag.")
            raise InputRefused(sentence, {"tag": sentence})
        return PlaceRidesRequest(
            _numbers(values["rides"]),
            values["move"] or values["instead"] or tag,
            values["trainer"],
            instead=bool(values["instead"]),
            moved=bool(values["move"]),
        )


class BackForm(BenchForm):
    """Rides by number that should not have come in; `whole` takes back all that came in with them."""

    rides = forms.CharField(label=worded("rides"), required=False)
    whole = Picked(worded("the whole import"))

    def asked(self) -> TakeRidesBackRequest:
        """Return the request for the use case."""
        values = self.checked()
        return TakeRidesBackRequest(_numbers(values["rides"]), bool(values["whole"]))


class SinceForm(BenchForm):
    """Since when a part is on the bike, as its owner says: a day, as long as they have it, or nobody knows."""

    part = Whole(worded("part"), "parts")
    day = forms.DateField(label=worded("since"), required=False, error_messages={"invalid": _NO_SINCE})
    all_along = Picked(worded("as long as they have it"))

    def asked(self, tag: str) -> SinceRequest:
        """Return the request for the use case."""
        values = self.checked()
        if values["day"] is None and not values["all_along"]:
            raise InputRefused(_NO_SINCE, {"day": _NO_SINCE})
        day = None if values["all_along"] else values["day"]
        return SinceRequest(tag, values["part"], day, all_along=values["all_along"] == "yes")
