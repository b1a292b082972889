"""A list of owners and bikes as it is sent, and where its columns go."""

import base64
import binascii

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Picked, Whole, Words
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.keeping.list_read import ListFile, read_list
from pinchbolt.workshop.keeping.list_take import ListBackRequest, ListRequest, columns_before


class ListForm(BenchForm):
    """The file, kept in the page between the looks, and the choices about it."""

    packed = Words(worded("file"), strip=False)
    rest_kind = Picked(worded("bikes whose words tell no kind are"))
    days = Picked(worded("days are written"))
    without_stopped = forms.BooleanField(label=worded("leave out the rows that stop"), required=False)

    def file(self, sent: bytes | None = None) -> ListFile:
        """Return the file that was sent now or before.

        Raises:
            InputRefused: It is no list.
        """
        try:
            data = (
                sent
                if sent is not None
                else base64.b64decode(str(self.data.get("packed", "")), validate=True)
            )
        except binascii.Error:
            raise InputRefused(worded("The list was not sent whole: choose the file again.")) from None
        return read_list(data)

    def asked(self, file: ListFile) -> ListRequest:
        """Return the request for the use case; columns that the page did not say go where they went before, or as guessed."""
        before = columns_before(file)
        columns = {
            one.name: str(self.data.get(f"column-{number}", before.get(one.name, one.goes_to)))
            for number, one in enumerate(file.guessed)
        }
        text = {name: str(self.data.get(name, ""))[:40] for name in ("rest_kind", "days")}
        return ListRequest(
            file.digest, columns, **text, without_stopped=bool(self.data.get("without_stopped"))
        )


class ListBackForm(BenchForm):
    """The list to take back."""

    event = Whole(worded("list"), "acts")

    def asked(self) -> ListBackRequest:
        """Return the request for the use case."""
        return ListBackRequest(self.checked()["event"] or 0)
