"""The pieces of a drawing: lines, boxes, words, with one set of inks for the screen and one for paper."""

from collections.abc import Mapping, Sequence
from html import escape
from zlib import crc32

from pinchbolt.drawing.faces import FACES
from pinchbolt.drawing.lettering import width_of

_OWN = "currentColor"
SCREEN: Mapping[str, str] = {
    "steel": f'fill="{_OWN}" fill-opacity="0.08"',
    "edge": f'fill="none" stroke="{_OWN}" stroke-opacity="0.5"',
    "tick": f'stroke="{_OWN}" stroke-width="1.2"',
    "minor": f'stroke="{_OWN}" stroke-opacity="0.55" stroke-width="0.8"',
    "hatch": f'stroke="{_OWN}" stroke-opacity="0.5" stroke-width="1.4"',
    "warn": f'stroke="{_OWN}" stroke-width="2"',
    "limit": f'stroke="{_OWN}" stroke-width="3"',
    "notch": f'fill="{_OWN}"',
    "read": f'fill="none" stroke="{_OWN}" stroke-width="2"',
    "wide": f'fill="{_OWN}" fill-opacity="0.4"',
    "half": f'fill="{_OWN}" fill-opacity="0.8"',
    "now": f'fill="{_OWN}"',
    "wedge": f'fill="{_OWN}"',
    "safe": f'fill="{_OWN}" fill-opacity="0.28"',
    "figure": f'fill="{_OWN}"',
    "word": f'fill="{_OWN}"',
}
# Black only, and greys of it: limits differ from the rest by width and hatch, so that a cheap printer loses nothing.
_INK, _STEEL, _EDGE = "#000000", "#e4e4e4", "#808080"
PAPER: Mapping[str, str] = {
    "steel": f'fill="{_STEEL}"',
    "edge": f'fill="none" stroke="{_EDGE}"',
    "tick": f'stroke="{_INK}" stroke-width="0.9"',
    "minor": f'stroke="{_EDGE}" stroke-width="0.6"',
    "hatch": f'stroke="{_INK}" stroke-opacity="0.75" stroke-width="1"',
    "warn": f'stroke="{_INK}" stroke-width="1.5"',
    "limit": f'stroke="{_INK}" stroke-width="2.4"',
    "notch": f'fill="{_INK}"',
    "read": f'fill="none" stroke="{_INK}" stroke-width="1.5"',
    "wide": f'fill="{_EDGE}"',
    "half": f'fill="{_INK}"',
    "now": f'fill="{_INK}"',
    "wedge": f'fill="{_INK}"',
    "safe": f'fill="{_EDGE}" fill-opacity="0.55"',
    "figure": f'fill="{_INK}"',
    "word": f'fill="{_INK}"',
}


class Drawing:
    """An SVG in the making. Coordinates and sizes in one unit: that of the drawing's width."""

    def __init__(self, width: float, size: float, *, paper: bool) -> None:
        self.width = width
        self.size = size
        self.paper = paper
        self.inks = PAPER if paper else SCREEN
        self.pieces: list[str] = []

    def _kind(self, ink: str) -> str:
        return f'class="wr-{ink}" {self.inks[ink]}'

    def box(self, ink: str, x: float, y: float, width: float, height: float, round_by: float = 0.0) -> None:
        """Add a rectangle; a width or height below 0 counts as 0."""
        corner = f' rx="{round_by:g}"' if round_by else ""
        room = f'width="{max(0.0, width):.2f}" height="{max(0.0, height):.2f}"'
        self.pieces.append(f'<rect {self._kind(ink)} x="{x:.2f}" y="{y:.2f}" {room}{corner}/>')

    def line(self, ink: str, x1: float, y1: float, x2: float, y2: float) -> None:
        """Add a straight line."""
        self.pieces.append(
            f'<line {self._kind(ink)} x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}"/>'
        )

    def shape(self, ink: str, points: Sequence[tuple[float, float]], opacity: float | None = None) -> None:
        """Add a closed shape."""
        fade = f' fill-opacity="{opacity:.3f}"' if opacity is not None else ""
        corners = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
        self.pieces.append(f'<polygon {self._kind(ink)}{fade} points="{corners}"/>')

    def path(self, ink: str, points: Sequence[tuple[float, float]]) -> None:
        """Add an open line through points."""
        self.pieces.append(
            f'<polyline {self._kind(ink)} points="{" ".join(f"{x:.2f},{y:.2f}" for x, y in points)}"/>'
        )

    def hatched(self, x: float, y: float, width: float, height: float, step: float = 6.0) -> None:
        """Add a hatched band: lines that rise to the right, cut at its edges."""
        start = x - height
        while start < x + width:
            left, right = max(start, x), min(start + height, x + width)
            if right > left:
                self.line("hatch", left, y + height - (left - start), right, y + height - (right - start))
            start += step

    def words(self, ink: str, x: float, baseline: float, text: str, size: float | None = None) -> None:
        """Add a text that starts at *x*. Its room is declared, so that another face than ours can't run over."""
        used = size or self.size
        self.pieces.append(
            f'<text {self._kind(ink)} x="{x:.2f}" y="{baseline:.2f}" font-size="{used:g}" '
            f'data-room="{width_of(text, used):.2f}">{escape(text)}</text>'
        )

    def finished(self, height: float, title: str, told: str) -> str:
        """Return the SVG text; *title* and *told* are what a screen reader says."""
        mark = f"wr-{crc32((title + told).encode()):08x}"
        face = f' font-family="{", ".join(FACES)}"' if self.paper else ""
        fixed = f' width="{self.width:g}" height="{height:g}"' if self.paper else ""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="wr" role="img" aria-labelledby="{mark}-t {mark}-d" '
            f'viewBox="0 0 {self.width:g} {height:g}"{fixed}{face}>'
            f'<title id="{mark}-t">{escape(title)}</title><desc id="{mark}-d">{escape(told)}</desc>'
            f"{''.join(self.pieces)}</svg>"
        )
