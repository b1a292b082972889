"""Is it a ride, and was it indoors? By the words that files use for what was done."""

# Words of the open formats and of exporters; common practice, no source.
_RIDING = ("cycl", "bik", "ride", "riding", "velo")
_OTHER = (
    "motor", "row", "swim", "run", "walk", "hik", "ski", "horse", "strength", "yoga", "skat", "stair", "transition",
    "paddl", "fly", "mountaineer", "snow", "golf", "drive", "driving", "sail",
)  # fmt: skip
_INDOORS = ("indoor", "virtual", "spin", "trainer", "turbo", "roller")

# Sports and their branches by number, as FIT counts them; held against a reference parser's profile by a test.
SPORTS = {
    0: "generic", 1: "running", 2: "cycling", 3: "transition", 4: "fitness_equipment", 5: "swimming", 10: "training",
    11: "walking", 12: "cross_country_skiing", 13: "alpine_skiing", 14: "snowboarding", 15: "rowing", 16: "mountaineering",
    17: "hiking", 18: "multisport", 19: "paddling", 20: "flying", 21: "e_biking", 22: "motorcycling", 24: "driving",
    25: "golf", 27: "horseback_riding", 30: "inline_skating", 32: "sailing", 33: "ice_skating",
}  # fmt: skip
BRANCHES = {
    0: "generic", 5: "spin", 6: "indoor_cycling", 7: "road", 8: "mountain", 9: "downhill", 10: "recumbent",
    11: "cyclocross", 12: "hand_cycling", 13: "track_cycling", 14: "indoor_rowing", 28: "e_bike_fitness", 29: "bmx",
    46: "gravel_cycling", 47: "e_bike_mountain", 58: "virtual_activity",
}  # fmt: skip


def is_ride(words: str) -> bool | None:
    """Whether the words say riding a bike; None where they say nothing about it."""
    told = words.lower()
    if any(word in told for word in _OTHER):
        return False
    return True if any(word in told for word in _RIDING) else None


def is_indoors(words: str) -> bool | None:
    """Whether the words say that it was on a trainer or rollers; None where they say nothing about it."""
    told = words.lower()
    return True if any(word in told for word in _INDOORS) else None
