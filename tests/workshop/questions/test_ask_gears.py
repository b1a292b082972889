"""Gears before and after a swap, by hand: development = circumference x ring / sprocket (Sutherland's tables agree to the printed digit)."""

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.workshop.questions.ask_gears import GearsRequest, gears_of

ASKED = {"rings": "50/34", "sprockets": "11-28", "circumference_mm": 2100.0}


def developments(shown: object) -> list[float]:
    """Every gear's way a turn, in m, the lowest first."""
    return sorted(round(gear.development_m, 3) for gear in shown.gears)  # type: ignore[attr-defined]


def test_only_what_is_swapped_changes() -> None:
    """New rings keep the sprockets, new sprockets keep the rings; each gear by hand."""
    rings = gears_of(GearsRequest(**ASKED, after_rings="46/30"))
    assert rings.after is not None
    assert developments(rings.after) == [2.25, 3.45, 5.727, 8.782]  # 2.1 x 30/28, 46/28, 30/11, 46/11
    sprockets = gears_of(GearsRequest(**ASKED, after_sprockets="11-34"))
    assert sprockets.after is not None
    assert developments(sprockets.after) == [2.1, 3.088, 6.491, 9.545]  # 2.1 x 34/34, 50/34, 34/11, 50/11
    assert sprockets.circumference_after_m == pytest.approx(2.1)


def test_nothing_swapped_nothing_after() -> None:
    """No second table where nothing changes."""
    shown = gears_of(GearsRequest(**ASKED))
    assert shown.after is None and developments(shown.now) == [2.55, 3.75, 6.491, 9.545]


def test_rings_after_that_are_none_are_refused_at_their_field() -> None:
    """The sentence names the rings after, not those before."""
    with pytest.raises(InputRefused, match="The chainrings after") as refused:
        gears_of(GearsRequest(**ASKED, after_rings="many"))
    assert list(refused.value.errors) == ["after_rings"]
