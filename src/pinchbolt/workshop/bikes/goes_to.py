"""Where a part goes that comes off a bike: scrap, the bins with its life, its owner; to another bike it is moved."""

from collections.abc import Mapping
from decimal import Decimal

from pinchbolt.engines.build import PartOn
from pinchbolt.errors import InputRefused
from pinchbolt.records.models import BinPart, Event, Part
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.bin_moves import BACK, move_bin
from pinchbolt.workshop.bikes.build_sheet import facts_of_part, kind_row

BINS, OWNER, SCRAP, NEVER_THERE = "bins", "owner", "scrap", "never there"
GOES_TO: Mapping[str, str] = {
    SCRAP: "scrap",
    BINS: worded("into the bins"),
    OWNER: worded("to the owner"),
    NEVER_THERE: worded("it was never on this bike"),
}
"""Where a part that comes off goes, and how that is said."""

DISPLACED: Mapping[str, str] = {OWNER: worded("with the owner"), BINS: worded("in the bins"), SCRAP: "scrap"}
"""Where a part lies that another one took the place of, and how that is said."""


def refuse_elsewhere(gone_to: str, places: Mapping[str, str] = GOES_TO) -> None:
    """Refuse a place that a part can't go to.

    Raises:
        InputRefused: It is none of *places*.
    """
    if gone_to not in places:
        sentence = worded(
            'It goes to "{gone_to}": {places}. Choose one; to another bike it is moved.',
            gone_to=gone_to[:40],
            places=", ".join(places),
        )
        raise InputRefused(sentence, {"gone_to": sentence})


def into_the_bins(event: Event, part: Part, price: Decimal) -> None:
    """A used part lies in the bins as what it is, and keeps its life and what it carries.

    Raises:
        InputRefused: A price out of sense.
    """
    if not price.is_finite() or not 0 <= price <= 100000:
        sentence = worded(
            "It costs {price}: 0 to 100,000 is possible. Type the price again.", price=str(price)[:20]
        )
        raise InputRefused(sentence, {"price": sentence})
    row, _ = BinPart.objects.update_or_create(
        number=f"USED-{part.pk}",
        defaults={
            "kind": part.kind,
            "place": part.place,
            "words": worded("{words}, used", words=PartOn(part.pk, kind_row(part.kind), part.place).words),
            "facts": {name: known.value for name, known in facts_of_part(part).items()},
            "price": price.quantize(Decimal("0.01")),
            "used_part": part,
        },
    )
    move_bin(event, row, 1 - row.count, BACK)
