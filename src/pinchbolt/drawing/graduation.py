"""Graduations: steps that people read easily, and figures with just the decimals that the step needs."""

from math import ceil, floor, isfinite, log10

from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

STEPS = (1.0, 2.0, 5.0)


def easy_step(span: float, most: int) -> float:
    """Return the smallest of 1, 2, 5 times a power of ten that divides *span* into at most *most* pieces."""
    rough = span / max(1, most)
    power = 10.0 ** floor(log10(rough))
    return next((power * step for step in (*STEPS, 10.0) if power * step >= rough * (1 - 1e-9)), power * 10)


def graduations(low: float, high: float, step: float) -> list[float]:
    """Return the multiples of *step* from *low* to *high*, both ends kept."""
    first, last = ceil(low / step - 1e-9), floor(high / step + 1e-9)
    return [n * step for n in range(first, last + 1)]


def figure(value: float, step: float) -> str:
    """Return a graduation's figure with the decimals of its step."""
    decimals = max(0, -floor(log10(step) + 1e-9))
    return figure_text(0.0 if abs(value) < step / 10 else value, decimals)


def amount(value: float) -> str:
    """Return a number to about three figures, with a comma in the thousands."""
    if not isfinite(value):
        return worded("any amount")
    if abs(value) >= 1000:
        return f"{figure_text(round(value, -1), 0)}"
    if abs(value) >= 100:
        return f"{value:.0f}"
    return f"{value:.3g}"
