"""Draws the rooms of the house, who imports whom: run by `make pictures`, or `python docs/pictures/draw_rooms.py`.

Rooms and rules come from the contracts in pyproject.toml, the arrows from the imports themselves. An arrow that a longer way
says already is left out, so that floors can be read.
"""

import sys
import tomllib
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from pathlib import Path

import grimp

ROOT = Path(__file__).resolve().parents[2]
PICTURE = ROOT / "docs" / "pictures" / "rooms.svg"
WIDE, STEP, BOX_WIDE, BOX_HIGH = 760, 74, 112, 34
INK, LINE, PAPER, FRAME = "#2b2b2b", "#8a8f94", "#fbfaf7", "#b8731a"

Arrows = Mapping[str, frozenset[str]]


@cache
def contracts() -> list[dict[str, object]]:
    """The contracts as pyproject.toml has them."""
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    found: list[dict[str, object]] = tomllib.loads(text)["tool"]["importlinter"]["contracts"]
    return found


def arrows(parent: str, rooms: Iterable[str]) -> Arrows:
    """Of each room the rooms that it imports, at any depth of files."""
    graph = grimp.build_graph("pinchbolt")
    names = tuple(rooms)
    files = {name: {f"{parent}.{name}", *graph.find_descendants(f"{parent}.{name}")} for name in names}
    home = {file: name for name, inside in files.items() for file in inside}
    return {
        name: frozenset(
            home[used]
            for file in inside
            for used in graph.find_modules_directly_imported_by(file)
            if used in home and home[used] != name
        )
        for name, inside in files.items()
    }


def floors(of: Arrows) -> dict[str, int]:
    """How high each room stands: one above the highest room that it imports. A circle has no floors and is refused."""
    found: dict[str, int] = {}

    def floor(room: str, above: tuple[str, ...] = ()) -> int:
        if room in above:
            raise SystemExit(f"{' -> '.join((*above, room))}: rooms import one another in a circle.")
        if room not in found:
            found[room] = max((floor(below, (*above, room)) + 1 for below in of[room]), default=0)
        return found[room]

    for room in of:
        floor(room)
    return found


def shortest(of: Arrows) -> Arrows:
    """The arrows that no longer way says already."""

    def reached(room: str) -> set[str]:
        return {far for below in of[room] for far in (below, *reached(below))}

    return {
        room: frozenset(one for one in below if not any(one in reached(other) for other in below - {one}))
        for room, below in of.items()
    }


def drawn(of: Arrows, left: float, wide: float, top: float) -> tuple[list[str], float]:
    """Boxes by floor, the highest on top, and their arrows; and how high the drawing is."""
    level = floors(of)
    rows = [sorted(room for room in of if level[room] == number) for number in range(max(level.values()) + 1)]
    at = {
        room: (left + wide * (place + 1) / (len(row) + 1), top + (len(rows) - 1 - number) * STEP)
        for number, row in enumerate(rows)
        for place, room in enumerate(row)
    }
    lines = [
        f'<path d="M{at[room][0]:.0f} {at[room][1] + BOX_HIGH / 2:.0f} L{at[one][0]:.0f} {at[one][1] - BOX_HIGH / 2 - 3:.0f}" '
        f'stroke="{LINE}" fill="none" marker-end="url(#tip)"/>'
        for room, below in sorted(shortest(of).items())
        for one in sorted(below)
    ]
    boxes = [
        f'<rect x="{x - BOX_WIDE / 2:.0f}" y="{y - BOX_HIGH / 2:.0f}" width="{BOX_WIDE}" height="{BOX_HIGH}" rx="3" '
        f'fill="{PAPER}" stroke="{FRAME}"/><text x="{x:.0f}" y="{y + 5:.0f}" text-anchor="middle">{room}</text>'
        for room, (x, y) in sorted(at.items())
    ]
    return [*lines, *boxes], len(rows) * STEP


def rooms_of_house() -> list[str]:
    """The rooms that the contracts speak of, and the one that may import all."""
    named = {
        str(name).split(".")[1]
        for contract in contracts()
        for key in ("source_modules", "modules")
        for name in contract.get(key, ())  # type: ignore[attr-defined]
        if str(name).startswith("pinchbolt.")
    }
    return sorted({*named, "serving"})


def rooms_of_workshop() -> list[str]:
    """The rooms that the contract of floors names."""
    layers = [str(layer) for contract in contracts() for layer in contract.get("layers", ())]  # type: ignore[attr-defined]
    return sorted(name.strip().rpartition(".")[2] for layer in layers for name in layer.split("|"))


def picture() -> str:
    """The house on the left, its workshop on the right."""
    half = WIDE
    house, high = drawn(arrows("pinchbolt", rooms_of_house()), 0, half, 70)
    hall, higher = drawn(arrows("pinchbolt.workshop", rooms_of_workshop()), half, half, 70)
    tall = 70 + max(high, higher)
    heads = [
        f'<text x="{half / 2:.0f}" y="26" text-anchor="middle" font-weight="bold">pinchbolt</text>',
        f'<text x="{half * 1.5:.0f}" y="26" text-anchor="middle" font-weight="bold">pinchbolt.workshop</text>',
    ]
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {2 * half} {tall}" font-family="sans-serif" '
            f'font-size="15" fill="{INK}">',
            "<title>Rooms of the house and of the workshop: an arrow goes to what a room imports</title>",
            '<defs><marker id="tip" markerWidth="8" markerHeight="8" refX="6" refY="4" orient="auto">'
            f'<path d="M0 0 L8 4 L0 8 z" fill="{LINE}"/></marker></defs>',
            f'<rect width="{2 * half}" height="{tall}" fill="#ffffff"/>',
            *heads,
            *house,
            *hall,
            "</svg>\n",
        )
    )


def main(out: Callable[[str], object] = PICTURE.write_text) -> int:
    """Write the picture."""
    out(picture())
    return 0


if __name__ == "__main__":
    sys.exit(main())
