"""The order in which the bolts of one joint are drawn down: across and across, never round the ring."""

from math import cos, pi, sin

from pinchbolt.drawing.ink import Drawing
from pinchbolt.drawing.lettering import width_of
from pinchbolt.errors import InputRefused

_FEWEST, _MOST = 3, 12


def star_order(count: int) -> tuple[int, ...]:
    """Return in which turn each bolt of a ring is drawn down, from the top clockwise, counted from 1.

    The next bolt is the one farthest from all that are done, the one across first: 4 bolts by a cross, 6 by opposite pairs.

    Args:
        count: Bolts of the ring. [-]

    Returns:
        Turn of each bolt. [-]

    Raises:
        InputRefused: Fewer than 3 bolts, or more than 12.

    Source: Common practice, no source.
    """
    if not _FEWEST <= count <= _MOST:
        raise InputRefused(f"{count} bolts: {_FEWEST} to {_MOST} stand in a ring. Tighten fewer by turns.")
    done = [0]
    while len(done) < count:
        left = [bolt for bolt in range(count) if bolt not in done]
        done.append(max(left, key=lambda bolt: (*_room(bolt, done, count), -bolt)))
    turns = {bolt: turn for turn, bolt in enumerate(done, start=1)}
    return tuple(turns[bolt] for bolt in range(count))


def _room(bolt: int, done: list[int], count: int) -> tuple[int, int]:
    """How far a bolt is from the last that was done, and from the nearest of all that are."""
    away = [min((bolt - other) % count, (other - bolt) % count) for other in done]
    return away[-1], min(away)


def bolt_order(
    count: int, *, title: str, width: float = 120.0, size: float = 13.0, paper: bool = False
) -> str:
    """Return a ring of bolts with the turn of each as SVG.

    Args:
        count: Bolts of the joint. [-]
        title: What a screen reader says first: the joint. [-]
        width: Width of the drawing. [px on screen, pt on paper]
        size: Size of its figures. [px on screen, pt on paper]
        paper: Own colours and font for print. [-]

    Returns:
        One `<svg>` element. [-]

    Raises:
        InputRefused: Fewer than 3 bolts, or more than 12.
    """
    turns = star_order(count)
    sheet = Drawing(width, size, paper=paper)
    middle, ring, bolt = width / 2, width / 2 - 1.3 * size, 0.95 * size
    # Four bolts stand in a square, as on a stem; others with one at the top.
    start = -pi / 2 + (pi / 4 if count == 4 else 0.0)
    for at, turn in enumerate(turns):
        angle = start + 2 * pi * at / count
        x, y = middle + ring * cos(angle), middle + ring * sin(angle)
        sheet.box("read", x - bolt, y - bolt, 2 * bolt, 2 * bolt, round_by=bolt)
        sheet.words("figure", x - width_of(str(turn), size) / 2, y + 0.36 * size, str(turn))
    spoken = ", ".join(str(turns.index(turn) + 1) for turn in range(1, count + 1))
    return sheet.finished(
        width, title, f"from the top clockwise the bolts are drawn down in this order: {spoken}."
    )
