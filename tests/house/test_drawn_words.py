"""Words that the tables use for the drawing are words that it knows, and the other way round."""

from pinchbolt.drawing import PIECES, PLACES
from pinchbolt.drawing.bike_shape import SHAPES
from pinchbolt.reference import tables


def test_every_piece_that_a_kind_of_part_brings_can_be_drawn_and_every_piece_is_brought() -> None:
    """A kind whose piece nobody draws would be missing from the picture; a piece of no kind is dead."""
    assert {kind.drawn for kind in tables().kinds.values()} - {""} == PIECES


def test_places_of_the_drawing_are_the_corners_of_the_bike() -> None:
    """In the same order: what is labelled on the drawing is what is confirmed together."""
    assert tuple(tables().corners) == PLACES


def test_every_kind_of_bike_has_a_shape_and_every_shape_a_kind() -> None:
    """A kind without a shape would be drawn as a road bike."""
    assert {kind.shape for kind in tables().bike_kinds.values()} == set(SHAPES)
