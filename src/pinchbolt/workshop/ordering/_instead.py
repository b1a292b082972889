"""Another part in the place of one that nobody sells: only where the fit rules say that it fits this bike."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.db.models import Exists, OuterRef

from pinchbolt.records.models import BinPart, SupplierPart
from pinchbolt.workshop.ordering._needs import NeedView
from pinchbolt.workshop.parts.check_fit import why_it_fits_instead

_MOST = 3


@dataclass(frozen=True, slots=True)
class InsteadView:
    """A part that fits a bike in place of another, and the reason; it is never ordered by itself, somebody says so."""

    tag: str
    words: str
    number: str
    instead: str
    because: str


def is_sold() -> Exists:
    """Whether anybody is known who sells a row of the bins."""
    return Exists(SupplierPart.objects.filter(bin_part=OuterRef("pk")))


def instead_of(row: BinPart, wanted: Sequence[NeedView]) -> Iterator[InsteadView]:
    """Every other part of this kind that somebody sells and that fits the bikes which lack this one."""
    others = list(
        BinPart.objects.filter(is_sold(), kind=row.kind, used_part__isnull=True)
        .exclude(pk=row.pk)
        .order_by("price", "number")[:50]
    )
    for need in wanted:
        if not need.tag:
            continue
        found = 0
        for other in others:
            if found == _MOST:
                break
            because = why_it_fits_instead(other, row, need.tag)
            if because:
                found += 1
                yield InsteadView(need.tag, row.words, other.number, other.words, because)
