"""The order in which the bolts of one joint are drawn down, and in how many passes: across and across, never round the ring."""

from collections.abc import Mapping
from math import cos, pi, sin

from pinchbolt.drawing.ink import Drawing
from pinchbolt.drawing.lettering import width_of
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

_FEWEST, _MOST = 2, 12
_PASSES: Mapping[int, tuple[str, ...]] = {1: (), 2: ("half", "full"), 3: ("snug", "half", "full")}
"""How far each pass goes. Common practice, no source."""


def star_order(count: int) -> tuple[int, ...]:
    """Return in which turn each bolt of a ring is drawn down, from the top clockwise, counted from 1.

    The next bolt is the one farthest from all that are done, the one across first: 4 bolts by a cross, 6 by opposite pairs.
    Two are done by turns.

    Args:
        count: Bolts of the ring. [-]

    Returns:
        Turn of each bolt. [-]

    Raises:
        InputRefused: Fewer than 2 bolts, or more than 12.

    Source: Common practice, no source.
    """
    if not _FEWEST <= count <= _MOST:
        raise InputRefused(
            worded(
                "{count} bolts: {fewest} to {most} are drawn down together. One has no order.",
                count=count,
                fewest=_FEWEST,
                most=_MOST,
            )
        )
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
    count: int,
    *,
    title: str,
    passes: int = 1,
    width: float = 120.0,
    size: float = 13.0,
    paper: bool = False,
) -> str:
    """Return a ring of bolts with the turn of each as SVG; beside it a step for each pass, where there are several.

    Args:
        count: Bolts of the joint. [-]
        title: What a screen reader says first: the joint. [-]
        passes: How often all are gone round, 1 to 3. [-]
        width: Width of the ring. [px on screen, pt on paper]
        size: Size of its figures. [px on screen, pt on paper]
        paper: Own colours and font for print. [-]

    Returns:
        One `<svg>` element. [-]

    Raises:
        InputRefused: Fewer than 2 bolts, more than 12, or no such number of passes.
    """
    if passes not in _PASSES:
        raise InputRefused(
            worded(
                "{passes} passes: 1 to {most} are drawn. Correct the row of the joint.",
                passes=passes,
                most=max(_PASSES),
            )
        )
    turns, steps = star_order(count), _PASSES[passes]
    sheet = Drawing(width * 1.9 if steps else width, size, paper=paper)
    middle, ring, bolt = width / 2, width / 2 - 1.3 * size, 0.95 * size
    # Two stand side by side, four in a square, as on a stem; others with one at the top.
    start = {2: pi, 4: -pi / 4}.get(count, -pi / 2)
    for at, turn in enumerate(turns):
        angle = start + 2 * pi * at / count
        x, y = middle + ring * cos(angle), middle + ring * sin(angle)
        sheet.box("read", x - bolt, y - bolt, 2 * bolt, 2 * bolt, round_by=bolt)
        sheet.words("figure", x - width_of(str(turn), size) / 2, y + 0.36 * size, str(turn))
    _draw_steps(sheet, steps, width)
    spoken = ", ".join(str(turns.index(turn) + 1) for turn in range(1, count + 1))
    often = (
        worded(" {count} times round: {steps}.", count=len(steps), steps=worded(", then ").join(steps))
        if steps
        else ""
    )
    where = worded("from left to right") if count == _FEWEST else worded("from the top clockwise")
    return sheet.finished(
        width,
        title,
        worded(
            "{where} the bolts are drawn down in this order: {spoken}.{often}",
            where=where,
            spoken=spoken,
            often=often,
        ),
    )


def _draw_steps(sheet: Drawing, steps: tuple[str, ...], width: float) -> None:
    """A bar for each pass, each higher than the one before; on paper a number under it, where a word has no room."""
    room, small = 0.9 * width, (1.0 if sheet.paper else 0.8) * sheet.size
    foot = width - 1.6 * sheet.size
    for at, word in enumerate(steps, start=1):
        left, wide = width + room * (at - 1) / len(steps), room / len(steps)
        tall = (foot - 0.1 * width) * at / len(steps)
        sheet.box("safe", left + 0.2 * wide, foot - tall, 0.6 * wide, tall)
        label = str(at) if sheet.paper else word
        sheet.words("word", left + (wide - width_of(label, small)) / 2, foot + 1.2 * sheet.size, label, small)
