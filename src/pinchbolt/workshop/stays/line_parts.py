"""Parts of a line: the usual ones at the shelf price of this bike, and what a price and a count may be."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from pinchbolt.engines.build import Build, PartOn, all_hold, price_of
from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Bike, Finding, Line
from pinchbolt.reference.rows.proposals import Proposal
from pinchbolt.reference.rows.work import Operation, PartWanted, part_wanted
from pinchbolt.values.money import figure_text, money_sum, smallest_coin, to_the_penny
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.money_terms import TAX_CLASSES, in_coins
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.common.checks import short
from pinchbolt.workshop.common.trade_tables import tables

_MOST_PRICE = 1_000_000


@dataclass(frozen=True, slots=True)
class LinePart:
    """A part on a line: name, shelf price of one with tax, count, class of its tax (standard, reduced, zero)."""

    name: str
    each: Decimal
    count: int = 1
    tax_class: str = "standard"


def usual_parts(
    operation: Operation, bike: Bike, finding: Finding | None, place: str = ""
) -> tuple[LinePart, ...]:
    """Return the usual parts of an operation at the shelf price for this bike; a part without a price is left out."""
    build = build_of(bike)
    on = build.part(finding.part_id) if finding is not None and finding.part_id is not None else None
    if on is None and place:
        kinds = {part_wanted(text).kind for text in operation.parts}
        on = next((part for part in build.parts if part.kind.id in kinds and part.side == place), None)
    row = proposal_of(operation.id, build, on, finding)
    return priced_parts((row.parts if row else ()) or operation.parts, build, on)


def proposal_of(operation: str, build: Build, on: PartOn | None, finding: Finding | None) -> Proposal | None:
    """Return the row of the proposals by which a finding asks for this operation on this bike; None on the owner's wish."""
    if finding is None:
        return None
    return next(
        (
            row
            for row in tables().proposals.values()
            if row.operation == operation
            and finding.limit in row.limits
            and all_hold(build, row.when, on).answer is not False
        ),
        None,
    )


def priced_parts(parts: Sequence[str], build: Build, on: PartOn | None) -> tuple[LinePart, ...]:
    """Return these parts, as operations and proposals name them, at the shelf price for this bike."""
    wanted = [part_wanted(text) for text in parts]
    rows = [(price_of(build, one.kind, on)[0], one) for one in wanted]
    return tuple(
        LinePart(row.name, row.price, _count(one, build, on), row.tax_class)
        for row, one in rows
        if row is not None
    )


def _count(wanted: PartWanted, build: Build, on: PartOn | None) -> int:
    """How many: as a fact of a part at the same end says, where there is one and somebody knows it."""
    side = on.side if on is not None else ""
    told = [
        value
        for part in build.parts
        if not side or part.side == side
        if (value := part.value(wanted.fact)) is not None
    ]
    return int(told[0]) if wanted.fact and told else wanted.count


def checked_part(part: LinePart) -> dict[str, object]:
    """Refuse a price or count that can't be, and return the part as it is kept."""
    name = short(part.name, "parts", worded("The part's name"), 120, needed=True)
    currency = terms().currency
    if not (in_coins(part.each, currency) and 0 <= part.each <= _MOST_PRICE):
        sentence = worded(
            "{name} costs {each}: 0 to {most_price} in steps of {smallest_coin} {currency} is "
            "possible. Type the price again.",
            name=name,
            each=str(part.each)[:20],
            most_price=figure_text(_MOST_PRICE),
            smallest_coin=smallest_coin(currency),
            currency=currency,
        )
        raise InputRefused(sentence, {"parts": sentence})
    if not 1 <= part.count <= 999:
        sentence = worded(
            "{name} is counted {count} times: 1 to 999 is possible. Type the count again.",
            name=name,
            count=part.count,
        )
        raise InputRefused(sentence, {"parts": sentence})
    if part.tax_class not in TAX_CLASSES:
        sentence = worded(
            'The tax class of {name} is "{tax_class}": {tax_classes}. Choose one.',
            name=name,
            tax_class=part.tax_class[:20],
            tax_classes=", ".join(TAX_CLASSES),
        )
        raise InputRefused(sentence, {"parts": sentence})
    each = to_the_penny(part.each, currency)
    return {"name": name, "each": f"{each:f}", "count": part.count, "tax_class": part.tax_class}


def kept_parts(line: Line) -> tuple[LinePart, ...]:
    """Return the parts of a line as they were written down."""
    return tuple(
        LinePart(one["name"], Decimal(one["each"]), int(one["count"]), one.get("tax_class", "standard"))
        for one in line.parts
    )


def price_of_parts(parts: Sequence[LinePart]) -> Decimal:
    """Return what parts cost together, with tax."""
    return money_sum(part.each * part.count for part in parts)


def below_the_shelf(parts: Sequence[LinePart]) -> Decimal:
    """Return by how much parts that stand on the shelf are sold for less than it says; what is not on it has no price there."""
    shelf: dict[str, Decimal] = {}
    for row in tables().prices.values():
        shelf[row.name] = min(row.price, shelf.get(row.name, row.price))
    return money_sum(
        max(shelf.get(part.name, part.each) - part.each, Decimal(0)) * part.count for part in parts
    )
