"""The walk-round drawn on the bike: its places as spots of the side view."""

from collections.abc import Collection

from pinchbolt.bench.addresses import address
from pinchbolt.bench.walk_round.rows import PlaceView
from pinchbolt.drawing import PLACES, Spot
from pinchbolt.values import Verdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.trade_tables import tables


def spots_of(job: int, places: Collection[PlaceView]) -> tuple[Spot, ...]:
    """Return the spots of this bike's walk-round: how much is read there, the worst verdict, and where a tap leads."""
    found: dict[str, list[PlaceView]] = {}
    for place in places:
        if place.spot in PLACES:
            found.setdefault(place.spot, []).append(place)
    return tuple(_spot(job, name, there) for name, there in found.items())


def _spot(job: int, name: str, there: list[PlaceView]) -> Spot:
    following = next((place for place in there if place.taken < place.count or place.asks), there[0])
    asks = sum(place.asks for place in there)
    read = worded(
        "{taken} of {count} read",
        taken=sum(place.taken for place in there),
        count=sum(place.count for place in there),
    )
    return Spot(
        place=name,
        words=tables().corners[name].words,
        note=worded("{read}, {asks} question{s}", read=read, asks=asks, s="s" if asks > 1 else "")
        if asks
        else read,
        href=address("walk_round_place", job=job, place=following.id),
        verdict=max((place.worst for place in there), key=_rank, default=""),
        current=any(place.here for place in there),
    )


def _rank(verdict: str) -> int:
    return Verdict(verdict).rank if verdict else -1
