"""A file of parts as it is sent, and its columns as they are laid on our names."""

from collections.abc import Mapping

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.typed_facts import of_a_part
from pinchbolt.workshop.parts.parts_file import COLUMNS
from pinchbolt.workshop.parts.take_in_parts import PartsRequest

# A column that is not used is said so, since one of our own name would be used unsaid.
NOT_USED = "-"


class PartsForm(BenchForm):
    """The file's text, which of its columns is what, and whether the good lines alone are taken."""

    text = Words(worded("file"), strip=False)
    keep_good = forms.BooleanField(
        label=worded("take the good lines where others are refused"), required=False
    )

    def asked(self, header: tuple[str, ...]) -> PartsRequest:
        """Return the request for the use case; *header* are the file's columns in their order."""
        told = self.checked()
        return PartsRequest(told["text"], columns_of(self.data, header), told["keep_good"])


def columns_of(data: Mapping[str, object], header: tuple[str, ...]) -> dict[str, str]:
    """Return ours = theirs, by the lists of the page."""
    found: dict[str, str] = {}
    for number, theirs in enumerate(header):
        ours = str(data.get(f"column-{number}", "")).strip()
        if ours == NOT_USED and (theirs in COLUMNS or of_a_part(theirs)):
            found.setdefault(theirs, "")
        elif ours and ours != NOT_USED:
            found[ours] = theirs
    return found
