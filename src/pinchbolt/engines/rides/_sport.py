"""Is it a ride, and was it indoors? By the numbers of the open FIT profile and by the words that files use for what was done."""

import re
from typing import NamedTuple

from pinchbolt.engines.rides._profile import BRANCHES, SPORTS
from pinchbolt.values.wording import worded


class Sport(NamedTuple):
    """What was done in words; whether that is riding a bike (None: not told), and what must be asked before it counts."""

    words: str
    is_ride: bool | None
    ask: str = ""


_CYCLING = ("cycling", "e_biking")
_TELL_NOTHING = ("generic", "all")
# Told to be a sport, but not which: one that may hold riding, or be anything else.
_MAY_HOLD_RIDING = ("fitness_equipment", "training", "multisport")
# Branches that the profile lists under cycling, whatever sport a device names beside them.
_CYCLING_BRANCHES = frozenset((
    "spin", "indoor_cycling", "road", "mountain", "downhill", "recumbent", "cyclocross", "hand_cycling", "track_cycling",
    "e_bike_fitness", "bmx", "gravel_cycling", "e_bike_mountain", "indoor_hand_cycling",
))  # fmt: skip
# Branches that go with many sports, so that they tell none.
_ANY_BRANCHES = frozenset((
    "generic", "all", "street", "trail", "track", "warm_up", "match", "exercise", "challenge", "commuting", "mixed_surface",
    "navigate", "track_me", "map", "virtual_activity", "obstacle", "ultra",
))  # fmt: skip

# Words of exporters, in the languages we met; common practice, no source. Short stems only at the start of a word.
_RIDING = re.compile(
    r"cycl|cicl|cykl|bik|ride|riding|v[eé]lo|fahrrad|rennrad|\brad|fiets|wieler|\bmtb|\bgravel|\bbmx"
)
_OTHER = re.compile(
    r"motorcy|motorbi|motocross|swim|walk|hiking|\bhike|horse|strength|yoga|skat|stair|transition|paddl|mountaineer|snow|golf|driving|sailing|kayak|canoe"
    r"|surfing|climb|tennis|elliptical|treadmill|hunting|fishing|diving|boat|wheelchair|weight|laufen|wander|schwimm|nataci|natation"
    r"|\brow|\brun|jog|ski|\bfly|randonn|course a pied|course à pied"
)
_HUMPS = re.compile(r"(?<=[a-z])(?=[A-Z])")
_INDOORS = ("indoor", "virtual", "spin", "trainer", "turbo", "roller")
_NOT_TOLD = frozenset(("", "generic", "unknown", "none"))
# What <type> of a GPX means as a bare number: an exporter's habit; common practice, no source.
_BY_NUMBER = {"1": "cycling", "9": "running", "10": "walking"}
_NAMES = frozenset(SPORTS.values()) - {*_CYCLING, *_TELL_NOTHING, *_MAY_HOLD_RIDING}


def sport_by_number(sport: int | None, branch: int | None) -> Sport:
    """What a device tells by the numbers of the profile: only cycling is riding, what nobody knows is asked."""
    name = "" if sport is None else SPORTS.get(sport, f"sport {sport}")
    part = "" if branch is None else BRANCHES.get(branch, f"branch {branch}")
    words = " ".join(dict.fromkeys(word for word in (name, part) if word not in ("", "generic")))
    if name in _CYCLING:
        return Sport(words, True)
    if "transition" in words:
        return Sport(words, False)
    if sport is not None and sport not in SPORTS:
        return Sport(words, None, _not_known(words))
    if name and name not in _TELL_NOTHING and name not in _MAY_HOLD_RIDING:
        return Sport(words, False)
    if part in _CYCLING_BRANCHES:
        return Sport(words, True)
    if branch is not None and branch in BRANCHES and part not in _ANY_BRANCHES:
        return Sport(words, False)
    if words in ("", "all"):
        return Sport("", None)
    return Sport(words, None, _not_known(words))


def sport_by_words(told: str) -> Sport:
    """What a file tells in words, or by a bare number as some exporters do."""
    apart = _HUMPS.sub(" ", told[:200]).replace("_", " ")
    words = " ".join(apart.split()).lower()[:60]
    words = _BY_NUMBER.get(words, words)
    if words in _NOT_TOLD:
        return Sport("", None)
    if words.replace(" ", "_") in _NAMES or _OTHER.search(words):
        return Sport(words, False)
    if _RIDING.search(words):
        return Sport(words, True)
    return Sport(words, None, _not_known(words))


def _not_known(words: str) -> str:
    return worded("was it riding? It says {words}", words=words.replace("_", " "))


def is_indoors(words: str) -> bool | None:
    """Whether the words say that it was on a trainer or rollers; None where they say nothing about it."""
    told = words.lower()
    return True if any(word in told for word in _INDOORS) else None
