"""How wide words are and how labels stand."""

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.drawing import FONTS
from pinchbolt.drawing.lettering import side_by_side, width_of, wrapped

PRINTED = [chr(n) for n in range(32, 127)] + list("·×–…°½“”’£€")


@pytest.mark.parametrize("face", ["Regular", "Bold", "Italic"])
def test_no_letter_is_wider_than_it_is_counted(face: str) -> None:
    """Source: advance widths in the font files themselves."""
    font = TTFont(FONTS / f"B612-{face}.otf")
    cmap, metrics, em = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
    wider = [letter for letter in PRINTED if metrics[cmap[ord(letter)]][0] / em > width_of(letter, 1.0)]
    assert wider == []


def test_the_face_has_every_sign_that_we_print() -> None:
    """A missing sign would print as an empty box."""
    cmap = TTFont(FONTS / "B612-Regular.otf").getBestCmap()
    assert [letter for letter in PRINTED + list("µ≥≤⁻³²") if ord(letter) not in cmap] == []


def test_figures_stand_under_one_another() -> None:
    """Tabular figures: every figure has one width."""
    assert len({width_of(figure, 10.0) for figure in "0123456789"}) == 1


@given(st.text(st.characters(min_codepoint=32, max_codepoint=0x24F), max_size=200), st.floats(60.0, 600.0))
def test_no_line_is_longer_than_its_room(text: str, room: float) -> None:
    """Lines break at blanks; a word that is too long is cut."""
    lines = wrapped(text, 12.0, room)
    assert all(width_of(line, 12.0) <= room + 1e-9 for line in lines)


@given(st.text("abc ", max_size=120))
def test_breaking_lines_loses_no_word(text: str) -> None:
    """Words come back in order."""
    room = width_of("c", 12.0) * 200
    assert " ".join(wrapped(text, 12.0, room)).split() == text.split()


@given(
    st.lists(st.tuples(st.floats(0.0, 400.0), st.floats(5.0, 150.0)), min_size=1, max_size=7),
)
def test_labels_in_a_row_never_touch_and_never_leave_the_sheet(marks: list[tuple[float, float]]) -> None:
    """Whatever stands under them."""
    anchors, widths = [x for x, _ in marks], [w for _, w in marks]
    placed = side_by_side(anchors, widths, 0.0, 400.0, 6.0)
    for n, (start, row) in enumerate(placed):
        assert -1e-9 <= start <= 400.0 - widths[n] + 1e-9
        for m, (other, other_row) in enumerate(placed[:n]):
            if row == other_row:
                assert start >= other + widths[m] + 6.0 - 1e-6 or other >= start + widths[n] + 6.0 - 1e-6


def test_three_labels_with_room_stand_over_their_marks() -> None:
    """Nobody moves without need."""
    assert side_by_side([50.0, 200.0, 350.0], [40.0, 40.0, 40.0], 0.0, 400.0, 6.0) == [
        (30.0, 0),
        (180.0, 0),
        (330.0, 0),
    ]


def test_two_labels_at_the_edge_share_a_row_where_they_can() -> None:
    """The second makes room to the right before anybody takes a row of its own."""
    assert side_by_side([5.0, 60.0], [40.0, 40.0], 0.0, 400.0, 6.0) == [(0.0, 0), (46.0, 0)]
