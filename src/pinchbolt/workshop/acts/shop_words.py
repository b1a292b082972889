"""Where the shop's own words stand: on which paper or in which text, and how long they may be."""

from dataclasses import dataclass

from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms


@dataclass(frozen=True, slots=True)
class WordPlace:
    """A place for words: its id, what it is called, where they stand, and the most letters."""

    id: str
    words: str
    where: str
    most: int


PLACES = (
    WordPlace(worded("hours"), worded("opening hours"), worded("one line under the name on every paper"), 80),
    WordPlace(worded("warranty"), "warranty", worded("on the back of the handover sheet"), 300),
    WordPlace(
        worded("storage"),
        "storage",
        worded("on the back of the handover sheet: until when a finished bike is kept free"),
        160,
    ),
    WordPlace(worded("asking"), worded("text: asking"), worded("after our words, when the owner is asked"), 120),
    WordPlace(worded("reminder"), worded("text: reminder"), worded("after our words, when the owner is reminded"), 120),
    WordPlace(worded("found"), worded("text: found on the stand"), worded("after our words, when more was found"), 120),
    WordPlace(
        worded("back_letter"), worded("call-back: letter and e-mail"),
        worded("in place of ours; {owner} {bike} {tag} {why} {shop} {phone} stand for what they say"), 900,
    ),
    WordPlace(worded("back_text"), worded("call-back: short text"), worded("in place of ours; the same words in braces"), 300),
    WordPlace(worded("back_subject"), worded("call-back: subject of the e-mail"), worded("in place of ours; the same words in braces"), 120),
)  # fmt: skip


def shop_words(place: str) -> str:
    """Return the shop's own words of a place; empty where it has none."""
    return str(terms().words.get(place, ""))
