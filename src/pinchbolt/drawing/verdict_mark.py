"""The mark of a verdict: a shape of its own for each of the five words, so that none needs a colour."""

from pinchbolt.values import Verdict

_LINE = 'fill="none" stroke="{ink}" stroke-width="2.6" stroke-linejoin="round" stroke-linecap="round"'
_SHAPES: dict[Verdict, str] = {
    Verdict.SOUND: f'<path {_LINE} d="M4 13l5 5L20 6"/>',
    Verdict.WATCH: f'<path {_LINE} d="M2 12c5-8 15-8 20 0c-5 8-15 8-20 0z"/><circle fill="{{ink}}" cx="12" cy="12" r="3.4"/>',
    Verdict.NEXT_VISIT: f'<path {_LINE} d="M4 4v16M4 12h14M13 6l6 6-6 6"/>',
    Verdict.BEFORE_IT_LEAVES: '<path fill="{ink}" d="M12 1.5l10.5 10.5-10.5 10.5L1.5 12z"/>',
    Verdict.UNSAFE: '<path fill="{ink}" d="M7 1.5h10l5.5 5.5v10l-5.5 5.5H7L1.5 17V7z"/>'
    '<path fill="none" stroke="#ffffff" stroke-width="2.8" stroke-linecap="round" d="M7.5 7.5l9 9M16.5 7.5l-9 9"/>',
}


def verdict_mark(verdict: str, ink: str = "#14181b") -> str:
    """Return the mark of a verdict as SVG: tick, eye, arrow, diamond, stop.

    Args:
        verdict: One of the five words. [-]
        ink: Its colour. [-]

    Returns:
        One `<svg>` element, 24 by 24. [-]
    """
    shape = _SHAPES[Verdict(verdict)].format(ink=ink)
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 24 24" width="24" height="24">{shape}</svg>'
