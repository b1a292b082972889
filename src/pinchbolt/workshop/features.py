"""What a bike is and has, in the words that lists and cautions go by."""

from pinchbolt.records.models import Bike
from pinchbolt.workshop.building import parts_on


def features(bike: Bike) -> set[str]:
    """Return the words of the sign-off list's `applies` that are true of a bike."""
    parts = parts_on(bike)
    kinds = {part.kind for part in parts}
    limits = {limit for part in parts for limit in part.limits}
    facts = " ".join(f"{name} {value}" for name, value in bike.facts.items()).lower()
    has = {bike.kind}
    has |= {"ebike"} if "e-bike" in bike.words.lower() or "motor" in facts else set()
    has |= (
        {"disc"}
        if "rotor" in kinds or any("disc" in limit or "rotor" in limit for limit in limits)
        else set()
    )
    has |= (
        {"rim brake"} if any(limit.startswith("rim-") and limit != "rim-tape" for limit in limits) else set()
    )
    has |= {"belt"} if "belt" in kinds else {"chain"} if "chain" in kinds else set()
    has |= {"derailleur"} if bike.speeds and bike.speeds > 1 and "chain" in kinds else set()
    has |= {"suspension"} if kinds & {"suspension fork", "rear shock"} else set()
    has |= {"carbon"} if "carbon" in facts or "carbon" in bike.words.lower() else set()
    return has
