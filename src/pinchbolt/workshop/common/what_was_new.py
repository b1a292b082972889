"""What a line that was done says of the parts that were new: kept with the act by number and kind, told in words."""

from collections.abc import Mapping

from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.table_words import part_name

KEPT_AS = "renewed"


def new_parts(said: Mapping[str, object]) -> tuple[str, ...] | None:
    """Return the parts that were new by what was kept with the act, in words; None where nobody was asked."""
    told = said.get(KEPT_AS)
    return tuple(part_name(str(part)) for part in told.values()) if isinstance(told, Mapping) else None


def with_new(words: str, said: Mapping[str, object]) -> str:
    """Return the words of a line with what was new, where that was said."""
    new = new_parts(said)
    if new is None:
        return words
    return worded("{words} (new: {parts})", words=words, parts=", ".join(new) or worded("nothing"))
