"""A condition on a build sheet, as the tables write it.

    condition = ["not "] what ["@"]
    what      = KIND                      such a part is on the build sheet
              | KIND.FACT=WORD[|WORD]     such a part, with one of these words for this fact
              | .FACT=WORD[|WORD]         the same of the part that the row is read on
              | *.FACT=WORD[|WORD]        the same of any part that has the fact
              | bike.kind=WORD[|WORD]     the kind of bike
              | FEATURE                   a word of the features table

`@` asks at the end of the bike at which the row is read: a rim brake at the end of this rim. Words are compared as
they are written; a figure as its shortest text (1.8, 12), yes and no as "yes" and "no".
"""

import re
from dataclasses import dataclass
from functools import lru_cache

from pinchbolt.values.wording import worded

_SHAPE = re.compile(
    r"(?P<negated>not )?"
    r"(?P<what>\*|[a-z][a-z0-9' -]*[a-z0-9]|)"
    r"(?:\.(?P<fact>[a-z][a-z0-9_]*)=(?P<words>[^|@=]+(?:\|[^|@=]+)*))?"
    r"(?P<here>@)?"
)
ALLOWED = worded(
    'a condition such as "rotor", "not chain", "brake.stops_on=disc|rim", '
    '".springing=air", "*.material=carbon", "bike.kind=kids", "rim brake@"'
)


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition, taken apart.

    `what` is a kind of part or a feature, "bike", "*" for any part that has the fact, or "" for the part that the row
    is read on. `words` are those that the fact may have; without a `fact` it is enough that the part is there.
    """

    text: str
    what: str
    fact: str = ""
    words: tuple[str, ...] = ()
    here: bool = False
    negated: bool = False


@lru_cache(maxsize=2048)
def condition(text: str) -> Condition:
    """Read a condition.

    Args:
        text: The condition as a table writes it. [-]

    Returns:
        Its parts. [-]

    Raises:
        ValueError: It is none.

    Example:
        >>> condition("not brake.stops_on=disc|rim@").words
        ('disc', 'rim')
    """
    found = _SHAPE.fullmatch(text)
    if found is None or (found["what"] in ("", "*", "bike") and not found["fact"]):
        raise ValueError(text)
    if found["what"] == "bike" and found["fact"] != "kind":
        raise ValueError(text)
    words = tuple(word.strip() for word in (found["words"] or "").split("|") if word.strip())
    return Condition(
        text, found["what"], found["fact"] or "", words, bool(found["here"]), bool(found["negated"])
    )


def word_of(value: object) -> str:
    """The word by which a condition names a value: yes, no, a figure's shortest text, or the text itself."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:g}"
    return str(value)
