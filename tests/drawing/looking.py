"""Reads a drawing back: where each word stands, and where each shape."""

import re
from dataclasses import dataclass
from xml.etree import ElementTree

SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True, slots=True)
class Word:
    """A text with the room that it declares."""

    text: str
    left: float
    right: float
    top: float
    bottom: float


def tree(svg: str) -> ElementTree.Element:
    """The drawing as a tree; a drawing that is no sound XML fails here."""
    return ElementTree.fromstring(svg)


def size(svg: str) -> tuple[float, float]:
    """Width and height of the drawing."""
    _, _, width, height = (float(n) for n in tree(svg).attrib["viewBox"].split())
    return width, height


def words(svg: str) -> list[Word]:
    """Every text, its box by the room it declares and the height of its face (0.75 up, 0.2 down)."""
    found = []
    for one in tree(svg).iter(f"{SVG}text"):
        x, y, face = (float(one.attrib[name]) for name in ("x", "y", "font-size"))
        room = float(one.attrib["data-room"])
        found.append(Word(one.text or "", x, x + room, y - 0.75 * face, y + 0.2 * face))
    return found


def shapes(svg: str, ink: str) -> list[list[float]]:
    """The numbers of every piece of one kind, as they stand in the drawing."""
    names = ("x", "y", "width", "height", "x1", "y1", "x2", "y2")
    return [
        [float(n) for n in re.split("[ ,]", one.attrib["points"])]
        if "points" in one.attrib
        else [float(one.attrib[name]) for name in names if name in one.attrib]
        for one in tree(svg).iter()
        if one.attrib.get("class") == f"wr-{ink}"
    ]


def told(svg: str) -> str:
    """What a screen reader says after the title."""
    desc = tree(svg).find(f"{SVG}desc")
    assert desc is not None
    return desc.text or ""
