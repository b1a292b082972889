"""The side view of a bike: every shape can be drawn, the geometry closes, and each place can be tapped."""

import re
from math import cos, hypot, radians, sin
from xml.etree import ElementTree

import pytest

from pinchbolt.drawing import PIECES, PLACES, Spot, bike_drawing, stand_drawing
from pinchbolt.drawing.bike_shape import BOX_IN_FRONT, FULLY_SPRUNG, SHAPES, Shape, points_of
from pinchbolt.drawing.lettering import width_of
from pinchbolt.values import Verdict

ENDS = ("", " front", " rear")
FORMS = {**SHAPES, "box in front": BOX_IN_FRONT, "fully sprung": FULLY_SPRUNG}


def drawn(text: str) -> int:
    """How many strokes a drawing has."""
    return len(list(ElementTree.fromstring(text).iter())) - 1


@pytest.mark.parametrize("shape", [*SHAPES, "unicycle"])
@pytest.mark.parametrize(
    "pieces", [(), [f"{one}{end}" for one in PIECES for end in ENDS], ("no such piece", "disc middle")]
)
def test_every_shape_is_a_sound_drawing_with_any_pieces(shape: str, pieces: tuple[str, ...]) -> None:
    """Well-formed SVG with numbers that are numbers; a shape or piece that nobody foresaw does no harm."""
    for text in (bike_drawing(shape, pieces), stand_drawing(shape, pieces)):
        ElementTree.fromstring(text)
        assert "nan" not in text
        assert "inf" not in re.sub(r"inside", "", text)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("piece", sorted(PIECES))
def test_every_piece_shows_on_every_shape(shape: str, piece: str) -> None:
    """A part with a piece of the drawing is seen there, whatever the bike."""
    assert bike_drawing(shape, (piece,)) != bike_drawing(shape)


@pytest.mark.parametrize("piece", ["disc", "rim-brake", "hub-motor", "carrier", "child-seat"])
def test_a_piece_of_one_end_is_drawn_at_that_end(piece: str) -> None:
    """A track bike with a brake in front has none behind; both ends differ from either."""
    front, rear = (bike_drawing("road", (f"{piece} {end}",)) for end in ("front", "rear"))
    both = bike_drawing("road", tuple(f"{piece} {end}" for end in ("front", "rear")))
    bare = bike_drawing("road")
    assert len({bare, front, rear, both}) == 4
    assert drawn(both) == drawn(front) + drawn(rear) - drawn(bare)


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
def test_the_front_wheel_stands_on_the_ground_on_its_own_steering_axis(form: Shape) -> None:
    """The axle is a wheel's radius above the ground and its rake away from the steering axis: plain geometry."""
    at = points_of(form)
    assert at.front[1] == pytest.approx(-form.wheel_front, abs=1e-9)
    along = (cos(radians(form.head_angle)), sin(radians(form.head_angle)))
    away = (at.front[0] - at.head_low[0], at.front[1] - at.head_low[1])
    assert away[0] * along[1] - away[1] * along[0] == pytest.approx(form.rake, abs=1e-9)
    assert hypot(at.bottom_bracket[0] - at.rear[0], at.bottom_bracket[1] - at.rear[1]) == pytest.approx(
        form.chainstay
    )


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
def test_wheels_do_not_run_into_each_other_or_the_cranks(form: Shape) -> None:
    """A drawing that could be a bike: a gap between the wheels; crank and foot (165 and 90 mm) pass the front wheel."""
    at = points_of(form)
    assert at.front[0] - at.rear[0] > form.wheel_front + form.wheel_rear
    if form.layout == "recumbent":
        # Its cranks are ahead of the wheel and above it.
        assert at.captain[0] > at.front[0]
        assert hypot(at.captain[0] - at.front[0], at.captain[1] - at.front[1]) > form.wheel_front + 165 + 90
    else:
        assert at.front[0] - at.captain[0] > form.wheel_front
    # Both riders of a tandem sit at their own cranks, a crank's turn apart.
    if form.layout == "tandem":
        assert at.captain[0] - at.bottom_bracket[0] > 2 * 165


def test_each_place_is_one_link_with_its_words_and_its_verdict() -> None:
    """Twelve places, twelve links; the words are shown as text whatever they hold."""
    spots = [Spot(place, f"<{place}>", "n & n", f"#{place}", Verdict.UNSAFE.value) for place in PLACES]
    tree = ElementTree.fromstring(bike_drawing("road", (), spots, labelled=True))
    links = [one for one in tree.iter() if one.tag.endswith("}a")]
    assert [one.attrib["href"] for one in links] == [f"#{place}" for place in PLACES]
    words = ["".join(text.itertext()) for one in links for text in one.iter() if text.tag.endswith("}text")]
    assert words == [said for place in PLACES for said in (f"<{place}>", "n & n")]


@pytest.mark.parametrize("pieces", [(), ("box", "child-seat rear", "carrier rear")])
@pytest.mark.parametrize("shape", SHAPES)
def test_labels_keep_a_thumb_apart_and_stay_on_the_sheet(shape: str, pieces: tuple[str, ...]) -> None:
    """On a tablet's 1,130 px each label is 15 mm high and 8 mm from the next (at 96 px an inch), and none is cut off."""
    spots = [Spot(place, place, "", "#") for place in PLACES]
    tree = ElementTree.fromstring(bike_drawing(shape, pieces, spots, labelled=True))
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


@pytest.mark.parametrize("shape", SHAPES)
def test_words_of_a_label_stay_in_its_box(shape: str) -> None:
    """Words that a workshop made long are written smaller, not over the edge (widths by the face's own measures)."""
    spots = [
        Spot(
            place, "bar, levers, bell and basket " * 2, "12 of 15 read, 3 questions", "#", Verdict.SOUND.value
        )
        for place in PLACES
    ]
    tree = ElementTree.fromstring(bike_drawing(shape, (), spots, labelled=True))
    links = [one for one in tree.iter() if one.tag.endswith("}a")]
    assert len(links) == len(PLACES)
    for link in links:
        box = next(one for one in link.iter() if one.attrib.get("class") == "bike-label")
        edge = float(box.attrib["x"]) + float(box.attrib["width"])
        for text in (one for one in link.iter() if one.tag.endswith("}text")):
            end = float(text.attrib["x"]) + width_of(text.text or "", float(text.attrib["font-size"]))
            assert end <= edge


def test_what_is_not_on_the_build_sheet_is_not_drawn() -> None:
    """A bike without a derailleur shows no jockey wheels, one without rotors no discs."""
    bare, full = bike_drawing("road"), bike_drawing("road", ("disc front", "disc rear", "derailleur"))
    assert full.count("<circle") - bare.count("<circle") >= 10


def test_a_belt_has_no_links_and_no_teeth() -> None:
    """A belt is a band; the chain's links are dashes."""
    assert bike_drawing("city").count("dasharray") == 4
    assert "dasharray" not in bike_drawing("city", ("belt",))
