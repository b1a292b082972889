"""A copy now, the second place, the first list."""

from pinchbolt.bench.fields import Picked, Words
from pinchbolt.bench.settings.settings_form import SettingForm
from pinchbolt.values.wording import worded
from pinchbolt.workshop.settings.first_list import PutAwayRequest
from pinchbolt.workshop.settings.safe_keeping import BackUpRequest, PlaceRequest


class CopyForm(SettingForm):
    """A copy now."""

    def asked(self) -> BackUpRequest:
        """Return the request for the use case."""
        return BackUpRequest()


class CopyPlaceForm(SettingForm):
    """The second folder for copies."""

    form_id = "place"
    place = Words(worded("second place"))

    def asked(self) -> PlaceRequest:
        """Return the request for the use case."""
        values = self.checked()
        return PlaceRequest(values["place"], values["seen"])


class PutAwayForm(SettingForm):
    """Put the first list away, or take it out again."""

    away = Picked(worded("first list"))

    def asked(self) -> PutAwayRequest:
        """Return the request for the use case."""
        return PutAwayRequest(self.checked()["away"] != "no")
