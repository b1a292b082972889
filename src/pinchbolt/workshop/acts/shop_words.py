"""Where the shop's own words stand: on which paper or in which text, and how long they may be."""

from dataclasses import dataclass

from pinchbolt.workshop.acts.lookups import terms


@dataclass(frozen=True, slots=True)
class WordPlace:
    """A place for words: its id, what it is called, where they stand, and the most letters."""

    id: str
    words: str
    where: str
    most: int


PLACES = (
    WordPlace("hours", "opening hours", "one line under the name on every paper", 80),
    WordPlace("warranty", "warranty", "on the back of the handover sheet", 300),
    WordPlace(
        "storage",
        "storage",
        "on the back of the handover sheet: until when a finished bike is kept free",
        160,
    ),
    WordPlace("asking", "text: asking", "after our words, when the owner is asked", 120),
    WordPlace("reminder", "text: reminder", "after our words, when the owner is reminded", 120),
    WordPlace("found", "text: found on the stand", "after our words, when more was found", 120),
    WordPlace(
        "back_letter", "call-back: letter and e-mail",
        "in place of ours; {owner} {bike} {tag} {why} {shop} {phone} stand for what they say", 900,
    ),
    WordPlace("back_text", "call-back: short text", "in place of ours; the same words in braces", 300),
    WordPlace("back_subject", "call-back: subject of the e-mail", "in place of ours; the same words in braces", 120),
)  # fmt: skip


def shop_words(place: str) -> str:
    """Return the shop's own words of a place; empty where it has none."""
    return str(terms().words.get(place, ""))
