"""Draws the figures of docs/methods/wear.md from the engine: run by `make pictures`, or `python docs/pictures/draw_wear.py`."""

import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

from pinchbolt.engines.wear._money import TIMELY_AT, best_elongation, cost_a_km, damage_power

HERE = Path(__file__).resolve().parent
CHAIN, CASSETTE = 45.0, 225.0
NEW = 0.03
RATE = (0.75 - NEW) / 3000
WIDE, HIGH, EDGE = 640, 360, 56
COLOURS = ("#b8731a", "#1f6fb2", "#5a8f3c")
GREY = "#777777"


def text(x: float, y: float, words: str, *, anchor: str = "middle", colour: str = GREY) -> str:
    """One line of words."""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" fill="{colour}" text-anchor="{anchor}" font-family="sans-serif" '
        f'font-size="13">{words}</text>'
    )


def frame(title: str, parts: Sequence[str]) -> str:
    """A whole picture."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {HIGH}" role="img" aria-label="{title}">\n'
        f"<title>{title}</title>\n" + "\n".join(parts) + "\n</svg>\n"
    )


def axes(
    x_marks: Sequence[tuple[float, str]], y_marks: Sequence[tuple[float, str]], to_x: Callable[[float], float],
    to_y: Callable[[float], float],
) -> list[str]:  # fmt: skip
    """Grid lines with their figures."""
    parts = []
    for at, words in x_marks:
        parts.append(
            f'<line x1="{to_x(at):.1f}" y1="{EDGE / 2}" x2="{to_x(at):.1f}" y2="{HIGH - EDGE}" stroke="{GREY}" '
            'stroke-opacity="0.25"/>'
        )
        parts.append(text(to_x(at), HIGH - EDGE + 18, words))
    for at, words in y_marks:
        parts.append(
            f'<line x1="{EDGE}" y1="{to_y(at):.1f}" x2="{WIDE - EDGE / 2}" y2="{to_y(at):.1f}" stroke="{GREY}" '
            'stroke-opacity="0.25"/>'
        )
        parts.append(text(EDGE - 8, to_y(at) + 4, words, anchor="end"))
    return parts


def curve(xs: Sequence[float], ys: Sequence[float], colour: str) -> str:
    """A line through points of the picture."""
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in zip(xs, ys, strict=True))
    return f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="2"/>'


def change_point() -> str:
    """Cost per 1,000 km by the elongation at which chains are changed: chain 45, cassette 225."""

    def to_x(percent: float) -> float:
        return EDGE + (percent - 0.25) / 0.85 * (WIDE - 1.5 * EDGE)

    def to_y(cost: float) -> float:
        return HIGH - EDGE - (cost - 20.0) / 55.0 * (HIGH - 1.5 * EDGE)

    parts = axes(
        [(p, f"{p:g} %") for p in (0.3, 0.4, 0.5, 0.625, 0.75, 0.9, 1.0)], [(c, f"{c:g}") for c in (20, 30, 40, 50, 60, 70)],
        to_x, to_y,
    )  # fmt: skip
    grid = np.linspace(0.27, 1.0, 120)
    for timely, colour in zip(TIMELY_AT, COLOURS, strict=True):
        p = damage_power(float(timely))
        cost = [1000 * cost_a_km(CHAIN, CASSETTE, p, float(h), RATE, new=NEW) for h in grid]
        best = best_elongation(CHAIN, CASSETTE, p, new=NEW)
        least = 1000 * cost_a_km(CHAIN, CASSETTE, p, best, RATE, new=NEW)
        parts.append(curve([to_x(h) for h in grid], [to_y(c) for c in cost], colour))
        parts.append(f'<circle cx="{to_x(best):.1f}" cy="{to_y(least):.1f}" r="5" fill="{colour}"/>')
        parts.append(
            text(to_x(best), to_y(least) + 20, f"timely = {timely:g} %: best {best:.2f}", colour=colour)
        )
    parts.append(text(WIDE / 2, HIGH - 8, "elongation at which chains are changed"))
    parts.append(text(EDGE, 18, "cost per 1,000 km", anchor="start"))
    return frame("Cost of changing chains by elongation: chain 45, cassette 225, 3,000 km to 0.75 %", parts)


def main() -> None:
    """Write the pictures beside this file."""
    target = HERE / "wear-change-point.svg"
    target.write_text(change_point(), encoding="utf-8", newline="\n")
    sys.stdout.write(f"{target.name}\n")


if __name__ == "__main__":
    main()
