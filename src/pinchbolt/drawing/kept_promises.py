"""Promises kept against the odds that were told, as SVG: a mark on the line is right, below it too much was promised."""

from collections.abc import Sequence

from pinchbolt.values.about import percent
from pinchbolt.values.wording import worded

_WIDE, _HIGH, _LEFT, _FOOT = 320.0, 240.0, 44.0, 34.0


def kept_promises(bands: Sequence[tuple[float, float, float, float, int]], ink: str = "currentColor") -> str:
    """Return a picture of kept promises.

    Args:
        bands: Odds told, share kept, its least and most, how many; one a band. [-]
        ink: Its colour. [-]

    Returns:
        One `<svg>` element. [-]
    """

    def across(share: float) -> float:
        return _LEFT + share * (_WIDE - _LEFT - 8)

    def up(share: float) -> float:
        return _HIGH - _FOOT - share * (_HIGH - _FOOT - 8)

    pieces = [
        f'<path fill="none" stroke="{ink}" stroke-opacity="0.5" d="M{across(0):.1f} {up(1):.1f}V{up(0):.1f}H{across(1):.1f}"/>',
        f'<path fill="none" stroke="{ink}" stroke-dasharray="4 4" d="M{across(0):.1f} {up(0):.1f}L{across(1):.1f} {up(1):.1f}"/>',
    ]
    for tenth in (0, 5, 10):
        share = tenth / 10
        pieces += [
            f'<text x="{across(share):.1f}" y="{_HIGH - 16:.1f}" font-size="12" text-anchor="middle" fill="{ink}">{tenth}</text>',
            f'<text x="{_LEFT - 6:.1f}" y="{up(share) + 4:.1f}" font-size="12" text-anchor="end" fill="{ink}">{tenth}</text>',
        ]
    pieces += [
        f'<text x="{across(0.5):.1f}" y="{_HIGH - 2:.1f}" font-size="12" text-anchor="middle" fill="{ink}">told, of 10</text>',
        f'<text x="{_LEFT + 6:.1f}" y="{up(1) + 10:.1f}" font-size="12" fill="{ink}">kept, of 10</text>',
    ]
    for told, kept, least, most, count in bands:
        size = 3.0 + min(count, 100) ** 0.5 / 2
        pieces += [
            f'<path stroke="{ink}" stroke-width="2" d="M{across(told):.1f} {up(least):.1f}V{up(most):.1f}"/>',
            f'<circle fill="{ink}" cx="{across(told):.1f}" cy="{up(kept):.1f}" r="{size:.1f}"/>',
        ]
    words = "; ".join(
        worded("told {told}, kept {kept} of {count}", told=percent(told), kept=percent(kept), count=count)
        for told, kept, _, _, count in bands
    )
    words = words or worded("nothing yet")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDE:.0f} {_HIGH:.0f}" role="img" aria-label="{words}">'
        f"{''.join(pieces)}</svg>"
    )
