"""The faces that paper prints with, in their order, and the letters that they have between them."""

from functools import cache
from pathlib import Path

FONTS = Path(__file__).parent / "fonts"
"""Folder of the faces of paper and drawings; their licences lie beside them."""
FACES = ("B612", "DejaVu Sans")
"""Ours, then the one for names that ours lacks letters of: Latin of all Europe and Viet Nam, Greek, Cyrillic, Hebrew, Arabic."""
STANDS_IN = "▯"
"""Printed for a letter that no face has."""


@cache
def letters() -> frozenset[str]:
    """Return the letters that every weight of one of the faces has; the ranges lie beside the faces, in hexadecimal."""
    found: set[str] = set("\n\t")
    for span in (FONTS / "letters.txt").read_text(encoding="ascii").split():
        first, _, last = span.partition("-")
        found.update(chr(code) for code in range(int(first, 16), int(last or first, 16) + 1))
    return frozenset(found)
