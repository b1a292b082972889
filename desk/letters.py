"""Writes down which letters the faces of paper have, after a face was changed: python -m desk.letters"""

from collections.abc import Iterable
from pathlib import Path

from fontTools.ttLib import TTFont

from pinchbolt.drawing.faces import FONTS

OURS = ("B612-Regular.otf", "B612-Bold.otf", "B612-Italic.otf")
OTHER = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")


def had_by_all(names: Iterable[str]) -> set[int]:
    """Return the letters that each of these files has a glyph for."""
    return set.intersection(*(set(TTFont(Path(FONTS) / name).getBestCmap()) for name in names))


def spans() -> str:
    """Return the letters of both faces as ranges, a few a line."""
    codes = sorted(had_by_all(OURS) | had_by_all(OTHER))
    known = set(codes)
    starts = [code for code in codes if code - 1 not in known]
    ends = [code for code in codes if code + 1 not in known]
    words = [
        f"{first:x}-{last:x}" if first != last else f"{first:x}"
        for first, last in zip(starts, ends, strict=True)
    ]
    return "\n".join(" ".join(words[at : at + 12]) for at in range(0, len(words), 12)) + "\n"


if __name__ == "__main__":
    (FONTS / "letters.txt").write_text(spans(), encoding="ascii")
