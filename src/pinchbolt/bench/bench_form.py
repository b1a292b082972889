"""Forms that keep what was typed, and a refusal laid at the field that it is about.

What an act does with it stands in `pinchbolt.bench.act`.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, TypeVar

from django import forms

from pinchbolt.errors import InputRefused, PinchboltError


class BenchForm(forms.Form):
    """A form whose errors and whose use case's refusal look the same."""

    # Said of the form by the browser's own words otherwise; ours are at the fields.
    use_required_attribute = False
    refusal: PinchboltError | None = None

    @property
    def key(self) -> str:
        """The request mark that came with the form: the same mark again is the same act."""
        return str(self.data.get("key", ""))

    def checked(self) -> dict[str, Any]:
        """Return the values.

        Raises:
            InputRefused: A field can't be read; one sentence per field.
        """
        if self.is_valid():
            return self.cleaned_data
        errors = {name: str(said[0]) for name, said in self.errors.items()}
        raise InputRefused(next(iter(errors.values())), errors)

    @contextmanager
    def refusable(self) -> Iterator[None]:
        """Catch a refusal and lay it on the form, so that the page can be shown again with its entries."""
        try:
            yield
        except PinchboltError as refusal:
            self.refusal = refusal
            self.is_valid()
            for name, sentence in refusal.errors.items():
                if name in self.fields and sentence not in self.errors.get(name, []):
                    self.add_error(name, sentence)


F = TypeVar("F", bound=BenchForm)


def own_form(sent: BenchForm | None, kind: type[F]) -> F:
    """Return the form that was refused, where it is of this kind; else an empty one."""
    return sent if isinstance(sent, kind) else kind()
