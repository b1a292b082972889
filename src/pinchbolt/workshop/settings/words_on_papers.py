"""The shop's own words on papers and in texts to owners: each has a place, and where none are given ours stand."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.describe_shop import write_columns
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.shop_words import PLACES, WordPlace
from pinchbolt.workshop.common.checks import short


@dataclass(frozen=True, slots=True)
class WordsRequest:
    """Words by their place; empty where ours stand."""

    words: Mapping[str, str]
    foot_words: str = ""
    seen: int | None = None


@dataclass(frozen=True, slots=True)
class PlacedWords:
    """A place with what stands in it."""

    place: WordPlace
    text: str


def words_placed() -> tuple[PlacedWords, ...]:
    """Return every place with the shop's words."""
    own = terms().words
    return tuple(PlacedWords(place, str(own.get(place.id, ""))) for place in PLACES)


def set_words(request: WordsRequest, *, by: int, key: str, now: datetime) -> None:
    """Change the words; what was printed keeps its own.

    Raises:
        InputRefused: Words are too long, or of a place that there is not.
        NotPossibleNow: Somebody changed them meanwhile.
    """
    with act("words set", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        known = {place.id: place for place in PLACES}
        told: dict[str, str] = {}
        for name, text in request.words.items():
            if name not in known:
                raise InputRefused(
                    worded(
                        'There is no place "{name}" for words: {known}.',
                        name=name[:20],
                        known=", ".join(known),
                    )
                )
            if words := short(text, name, known[name].words, known[name].most):
                told[name] = words
        foot = short(request.foot_words, "foot_words", worded("The words at the foot"), 400)
        write_columns(this, "words", {"words": told, "foot_words": foot}, request.seen)
