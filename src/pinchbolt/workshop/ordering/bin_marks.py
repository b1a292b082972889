"""What the marks of each bin should be, by what was asked for: at which count it is ordered, and up to how many; with the reason."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.engines.stock import marks
from pinchbolt.errors import InputRefused
from pinchbolt.records.models import BinPart
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.common.checks import number
from pinchbolt.workshop.ordering._asked_for import AskedFor, asked_for
from pinchbolt.workshop.ordering.order_list import HOLDING, REVIEW_DAYS, SHORT_HOURS
from pinchbolt.workshop.parts.sold_by import bin_by_number

_USUAL_DAYS = 3
# A line of an order costs this share of the carriage, and putting the part away a minute. Common practice, no source.
_SHARE_OF_CARRIAGE, _MINUTES = 0.1, 1.0


@dataclass(frozen=True, slots=True)
class MarksRequest:
    """The marks of a bin: ordered at `low` or fewer, up to `up_to`; None where there is none."""

    number: str
    low: int | None
    up_to: int | None


@dataclass(frozen=True, slots=True)
class MarksView:
    """A bin with its marks as they are, as they should be, and why."""

    number: str
    words: str
    bin: str
    count: int
    low: int | None
    up_to: int | None
    should_low: int
    should_up_to: int
    why: tuple[str, ...]

    @property
    def is_so(self) -> bool:
        """Whether they are as they should be."""
        return (self.low or 0, self.up_to or 0) == (self.should_low, self.should_up_to)

    @property
    def needs_none(self) -> bool:
        """Whether it has no mark and needs none: it is ordered when somebody asks for it."""
        return self.low is None and self.should_up_to == 0

    @property
    def is_low(self) -> bool:
        """Whether it stands at its low mark or below."""
        return self.low is not None and self.count <= self.low


def bin_marks(now: datetime, most: int = 2000) -> tuple[MarksView, ...]:
    """Return what the marks of each bin should be; those that differ most from how it is first."""
    rows = BinPart.objects.filter(used_part__isnull=True, meets="").prefetch_related("sold_by__supplier")
    found = list(rows.order_by("bin", "number")[:most])
    counts = asked_for([row.pk for row in found], now, all_of_it=True)
    seen = [_view(row, counts.get(row.pk, AskedFor())) for row in found]
    return tuple(
        sorted(seen, key=lambda one: (one.is_so, -abs((one.up_to or 0) - one.should_up_to), one.number))
    )


def _view(row: BinPart, asked: AskedFor) -> MarksView:
    sold = sorted(row.sold_by.all(), key=lambda one: one.each)
    labour = float(terms().labour_an_hour)
    supplier = sold[0].supplier if sold else None
    lead = _USUAL_DAYS if supplier is None or supplier.days is None else supplier.days
    cost = float(sold[0].each) if sold else float(row.price)
    carriage = float(supplier.carriage or 0) if supplier is not None else 0.0
    told = marks(
        asked.count,
        asked.days,
        lead,
        REVIEW_DAYS,
        short=SHORT_HOURS * labour,
        hold_a_year=max(cost, 0.01) * HOLDING,
        ordering=_SHARE_OF_CARRIAGE * carriage + labour * _MINUTES / 60,
    )
    why = tuple(reason.words for reason in told.reasons)
    return MarksView(
        row.number, row.words, row.bin, row.count, row.low_mark, row.order_up_to, told.low, told.up_to, why
    )  # fmt: skip


def set_marks(request: MarksRequest, *, by: int, key: str, now: datetime) -> None:
    """Set the marks of a bin.

    Raises:
        NotFound: No such number.
        InputRefused: Out of sense, or the low mark above the upper one.
    """
    with act("bin marked", by=by, key=key, now=now, request=request) as this:
        row = bin_by_number(request.number)
        low, up_to = (
            _mark(request.low, "low", worded("The low mark")),
            _mark(request.up_to, "up_to", worded("The upper mark")),
        )
        if low is not None and up_to is not None and low > up_to:
            sentence = worded(
                "Ordered at {low}, up to {up_to}: the low mark is not above the upper one. Type them again.",
                low=low,
                up_to=up_to,
            )
            raise InputRefused(sentence, {"low": sentence})
        if not this.repeated:
            row.low_mark, row.order_up_to = low, up_to
            row.save(update_fields=["low_mark", "order_up_to"])
            this.write()


def _mark(value: int | None, field: str, what: str) -> int | None:
    return None if value is None else int(number(value, field, what, 0, 9999, "pieces"))
