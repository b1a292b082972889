"""From wheels to bikes: where a part was when what carries it moved."""

from collections.abc import Mapping, Sequence

from pinchbolt.engines.use._refuse_stretches import stays_in_order
from pinchbolt.engines.use.use_types import Stay
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded


def resolve_stays(
    on_carriers: Sequence[Stay], carrier_stays: Mapping[str, Sequence[Stay]]
) -> tuple[Stay, ...]:
    """Return on which bikes a part was, from its stays on wheels and the stays of those wheels on bikes.

    The part was on a bike while it was on the wheel *and* the wheel was on the bike; while the wheel hung on the
    wall it was on none. Asked again with the answer, it resolves a further level.

    Args:
        on_carriers: When the part was on which carrier, the carrier's name as host. [day]
        carrier_stays: When each carrier was on which bike or trainer, by the carrier's name. [day]

    Returns:
        Stays on bikes and trainers, in order of time. [day]

    Raises:
        InputRefused: A carrier without an entry, an end before its start, or one thing in two places at once.

    Valid for: Moves known to the day; see the types for which day belongs to whom.

    Example:
        >>> wheel = {"wheel": (Stay("road bike", date(2026, 1, 1), date(2026, 3, 1)),)}
        >>> resolve_stays([Stay("wheel", date(2026, 2, 1), None)], wheel)
        (Stay(host='road bike', start=datetime.date(2026, 2, 1), end=datetime.date(2026, 3, 1)),)

    Source: Arithmetic.
    """
    found: list[Stay] = []
    for stay in stays_in_order(on_carriers, worded("the part")):
        if stay.host not in carrier_stays:
            sentence = worded(
                "stay on {host!r}: nothing is said of where that was. Give its own stays, or none if "
                "it hung on the wall.",
                host=stay.host,
            )
            raise InputRefused(sentence, errors={"carrier_stays": sentence})
        for carried in stays_in_order(carrier_stays[stay.host], stay.host):
            start = max(stay.start, carried.start)
            ends = [end for end in (stay.end, carried.end) if end is not None]
            end = min(ends, default=None)
            if end is None or end > start:
                found.append(Stay(carried.host, start, end))
    return tuple(found)
