"""The walk-round drawn on the bike: its places as spots of the side view."""

from collections.abc import Collection, Mapping

from pinchbolt.bench.walk_round.rows import PlaceSeen
from pinchbolt.drawing.bike import Spot
from pinchbolt.values import Verdict

# Spots of the drawing by place of the walk-round; what has no spot of its own stands in the list of places only.
SPOT_OF: Mapping[str, str] = {
    "bar-and-levers": "bar",
    "headset": "headset",
    "front-brake": "front-brake",
    "front-wheel": "front-wheel",
    "front-tyre": "front-wheel",
    "frame": "frame",
    "suspension": "frame",
    "crank": "cranks",
    "chain": "chain",
    "cassette": "gears",
    "derailleur": "gears",
    "hub-gear": "gears",
    "rear-wheel": "rear-wheel",
    "rear-tyre": "rear-wheel",
    "rear-brake": "rear-brake",
    "seat": "saddle",
    "e-bike": "power",
}
_WORDS: Mapping[str, str] = {
    "bar": "bar and levers",
    "headset": "headset",
    "front-brake": "front brake",
    "front-wheel": "front wheel",
    "frame": "frame and fork",
    "cranks": "cranks and rings",
    "chain": "chain",
    "gears": "gears",
    "rear-wheel": "rear wheel",
    "rear-brake": "rear brake",
    "saddle": "saddle and post",
    "power": "motor, battery",
}


def spots_of(job: int, places: Collection[PlaceSeen]) -> tuple[Spot, ...]:
    """Return the spots of this bike's walk-round: how much is read there, the worst verdict, and where a tap leads."""
    found: dict[str, list[PlaceSeen]] = {}
    for place in places:
        if place.id in SPOT_OF:
            found.setdefault(SPOT_OF[place.id], []).append(place)
    return tuple(_spot(job, name, there) for name, there in found.items())


def _spot(job: int, name: str, there: list[PlaceSeen]) -> Spot:
    following = next((place for place in there if place.taken < place.count), there[0])
    return Spot(
        place=name,
        words=_WORDS[name],
        note=f"{sum(place.taken for place in there)} of {sum(place.count for place in there)} read",
        href=f"/job/{job}/walk-round/{following.id}/",
        verdict=max((place.worst for place in there), key=_rank, default=""),
        current=any(place.here for place in there),
    )


def _rank(verdict: str) -> int:
    return Verdict(verdict).rank if verdict else -1
