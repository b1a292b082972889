"""Markings that are names: a bolt's class, a frame's number."""

import re

from pinchbolt.engines.markings._letters import DIGIT_FOR
from pinchbolt.engines.markings._parsed import Parsed
from pinchbolt.engines.markings.markings_types import DoubtKind, MarkingContext, MarkingFigure
from pinchbolt.values.wording import worded

# Property classes of steel bolts: nominal strength in 100 MPa, then the share of it at which they yield. ISO 898-1:2013, table 1.
STEEL = "4.6 4.8 5.6 5.8 6.8 8.8 9.8 10.9 12.9".split()
# Stainless bolts: steel group, then strength in 10 MPa. ISO 3506-1:2020, tables (from memory).
STAINLESS = {f"A{group}-{grade}": grade * 10 for group in (1, 2, 3, 4, 5) for grade in (50, 70, 80)} | {
    "A2-100": 1000,
    "A4-100": 1000,
}
MPA = 1e6
_TOKEN = re.compile(r"[A-Za-z0-9|]+(?:[-./][A-Za-z0-9|]+)*")
SHORTEST, LONGEST = 5, 20
# Letters and figures that nobody can tell apart in a number without sense.
ALIKE = set("0O1I")


def bolt_classes(text: str, context: MarkingContext) -> list[Parsed]:
    """Every class of the standards in one text. [Pa]"""
    del context
    found = []
    tokens = _TOKEN.findall(text)
    for token in tokens:
        figures = "".join(DIGIT_FOR.get(one, one) for one in token)
        loose = any(other is not token and re.search(r"\d", other) for other in tokens)
        letters = frozenset({DoubtKind.LETTERS} if figures != token else ())
        if figures in STEEL:
            found.append(_steel(figures, letters, loose=loose))
        elif figures in {one.replace(".", "") for one in STEEL}:
            found.append(_steel(f"{figures[:-1]}.{figures[-1]}", letters | {DoubtKind.POINT}, loose=loose))
        elif (named := token.upper()[:1] + figures[1:]) in STAINLESS:
            strength = MarkingFigure(
                "strength",
                STAINLESS[named] * MPA,
                "Pa",
                worded("{stainless} MPa", stainless=STAINLESS[named]),
            )
            turned = frozenset({DoubtKind.LETTERS} if figures[1:] != token[1:] else ())
            found.append(
                Parsed(
                    (strength,),
                    named,
                    turned,
                    (worded("{named} is a class of ISO 3506-1", named=named),),
                    loose=loose,
                    key=(("words", named),),
                )
            )
    return found


def _steel(name: str, doubts: frozenset[DoubtKind], *, loose: bool) -> Parsed:
    first, _, last = name.partition(".")
    strength = float(first) * 100
    figures = (
        MarkingFigure("strength", strength * MPA, "Pa", worded("{strength:g} MPa", strength=strength)),
        MarkingFigure(
            "yield",
            strength * float(last) / 10 * MPA,
            "Pa",
            worded("yields at {strength:g} MPa", strength=strength * float(last) / 10),
        ),
    )
    return Parsed(
        figures,
        name,
        doubts,
        (worded("{name} is a class of ISO 898-1", name=name),),
        loose=loose,
        key=(("words", name),),
    )


def frame_numbers(text: str, context: MarkingContext) -> list[Parsed]:
    """The longest word of capitals and figures in one text."""
    del context
    words = [one.strip("-./") for one in _TOKEN.findall(text)]
    words = [one for one in words if SHORTEST <= len(one) <= LONGEST and sum(map(str.isdigit, one)) >= 4]
    if not words:
        return []
    longest = max(words, key=len).upper().replace("|", "I")
    why = (worded("0 and O, 1 and I look alike here: look at the frame"),) if ALIKE & set(longest) else ()
    return [Parsed((), longest, frozenset(), why, loose=len(words) > 1)]
