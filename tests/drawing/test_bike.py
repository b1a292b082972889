"""The side view of a bike: every kind can be drawn, the geometry closes, and each place can be tapped."""

import re
from math import cos, hypot, radians, sin
from xml.etree import ElementTree

import pytest

from pinchbolt.drawing import PLACES, Spot, bike_drawing, stand_drawing
from pinchbolt.drawing.bike_shape import SHAPES, points_of
from pinchbolt.values import Verdict

ALL_PARTS = (
    "rotor", "rim pads", "rear derailleur", "rear shock", "battery", "motor", "mudguards", "carrier", "lights", "kickstand",
)  # fmt: skip


@pytest.mark.parametrize("kind", [*SHAPES, "unicycle"])
@pytest.mark.parametrize("parts", [None, (), ALL_PARTS])
def test_every_kind_is_a_sound_drawing_with_any_parts(kind: str, parts: tuple[str, ...] | None) -> None:
    """Well-formed SVG with numbers that are numbers; a kind that nobody foresaw is drawn too."""
    for text in (bike_drawing(kind, parts), stand_drawing(kind, parts)):
        ElementTree.fromstring(text)
        assert "nan" not in text
        assert "inf" not in re.sub(r"inside", "", text)


@pytest.mark.parametrize("kind", list(SHAPES))
def test_the_front_wheel_stands_on_the_ground_on_its_own_steering_axis(kind: str) -> None:
    """The axle is a wheel's radius above the ground and its rake away from the steering axis: plain geometry."""
    shape, at = SHAPES[kind], points_of(SHAPES[kind])
    assert at.front[1] == pytest.approx(-shape.wheel_front, abs=1e-9)
    along = (cos(radians(shape.head_angle)), sin(radians(shape.head_angle)))
    away = (at.front[0] - at.head_low[0], at.front[1] - at.head_low[1])
    assert away[0] * along[1] - away[1] * along[0] == pytest.approx(shape.rake, abs=1e-9)
    assert hypot(at.bottom_bracket[0] - at.rear[0], at.bottom_bracket[1] - at.rear[1]) == pytest.approx(
        shape.chainstay
    )


@pytest.mark.parametrize("kind", list(SHAPES))
def test_wheels_do_not_run_into_each_other_or_the_cranks(kind: str) -> None:
    """A drawing that could be a bike: a gap between the wheels, the bottom bracket behind the front wheel."""
    shape, at = SHAPES[kind], points_of(SHAPES[kind])
    assert at.front[0] - at.rear[0] > shape.wheel_front + shape.wheel_rear
    assert at.front[0] - at.bottom_bracket[0] > shape.wheel_front


def test_each_place_is_one_link_with_its_words_and_its_verdict() -> None:
    """Twelve places, twelve links; the words are shown as text whatever they hold."""
    spots = [Spot(place, f"<{place}>", "n & n", f"#{place}", Verdict.UNSAFE.value) for place in PLACES]
    tree = ElementTree.fromstring(bike_drawing("road", None, spots, labelled=True))
    links = [one for one in tree.iter() if one.tag.endswith("}a")]
    assert [one.attrib["href"] for one in links] == [f"#{place}" for place in PLACES]
    words = ["".join(text.itertext()) for one in links for text in one.iter() if text.tag.endswith("}text")]
    assert words == [said for place in PLACES for said in (f"<{place}>", "n & n")]


@pytest.mark.parametrize("kind", list(SHAPES))
def test_labels_keep_a_thumb_apart_and_stay_on_the_sheet(kind: str) -> None:
    """On a tablet's 1,130 px each label is 15 mm high and 8 mm from the next (at 96 px an inch), and none is cut off."""
    spots = [Spot(place, place, "", "#") for place in PLACES]
    tree = ElementTree.fromstring(bike_drawing(kind, None, spots, labelled=True))
    x0, y0, width, height = (float(n) for n in tree.attrib["viewBox"].split())
    boxes = [
        tuple(float(one.attrib[name]) for name in ("x", "y", "width", "height"))
        for one in tree.iter()
        if one.attrib.get("class") == "bike-label"
    ]
    assert len(boxes) == len(PLACES)
    for x, y, w, h in boxes:
        assert x0 <= x
        assert x + w <= x0 + width
        assert y0 <= y
        assert y + h <= y0 + height
        assert h * 1130 / width >= 15 / 25.4 * 96
    for n, (ax, ay, aw, ah) in enumerate(boxes):
        for bx, by, bw, bh in boxes[n + 1 :]:
            apart = max(bx - (ax + aw), ax - (bx + bw), by - (ay + ah), ay - (by + bh))
            assert apart * 1130 / width >= 8 / 25.4 * 96 - 0.5


def test_what_is_not_on_the_build_sheet_is_not_drawn() -> None:
    """A bike without a derailleur shows no jockey wheels, one without rotors no discs."""
    bare, full = bike_drawing("road", ()), bike_drawing("road", ("rotor", "rear derailleur"))
    assert full.count("<circle") - bare.count("<circle") >= 10
