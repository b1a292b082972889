"""A name from anywhere gets its sheets: with its letters where a face has them, with a box and a word about it where none has."""

from io import BytesIO
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from pypdf import PdfReader

from pinchbolt.drawing import FONTS, STANDS_IN, letters
from pinchbolt.paper import SHEETS, hang_tag, render
from pinchbolt.records.models import Bike
from tests.paper.reading import fonts, words
from tests.story import NOW, Story

# Invented people; each name holds a letter that the first face lacks.
PRINTED = (
    "Łukasz Dąbrowski",
    "Jiří Ďurčo",
    "Ștefan Țurcanu",
    "Ğülşah Işık",
    "Nguyễn Thị Hằng",
    "Ŵyn Ŷnyr",
    "Āris Bērziņš",
    "GROẞ",
    "Ελένη Παππά",
    "Оксана Їжак",
)
BOXED = ("李小龍", "さくら", "김민수", "Ada 🧜")


def named(at: Story, name: str) -> Story:
    """The owner of the bike is called this."""
    owner = Bike.objects.get(tag=at.tag).owner
    owner.name = name
    owner.save()
    return at


@pytest.mark.parametrize("name", PRINTED)
def test_a_name_of_europe_or_viet_nam_is_printed_letter_by_letter(name: str, asked_for: Story) -> None:
    """Read back from the sheet, both faces in the file and no word about a missing letter."""
    pdf = render("estimate", named(asked_for, name).job, NOW)
    assert name in words(pdf) and STANDS_IN not in words(pdf)
    assert {face.partition("-")[0] for face in fonts(pdf)} == {"B612", "DejaVuSans"}


@pytest.mark.parametrize("name", ["רות כהן", "ليلى حداد"])
def test_a_name_that_is_written_from_the_right_has_its_letters(name: str, asked_for: Story) -> None:
    """How a reader of PDF puts them in order is its own affair: no box stands for any of them."""
    pdf = render("estimate", named(asked_for, name).job, NOW)
    assert STANDS_IN not in words(pdf)


@pytest.mark.parametrize("name", BOXED)
def test_a_letter_that_no_face_has_is_a_box_and_is_told(name: str, asked_for: Story) -> None:
    """The sheet is pressed all the same, and says which sign stands for what it lacks."""
    pdf = render("estimate", named(asked_for, name).job, NOW)
    lacking = sum(letter not in letters() for letter in name)
    told = f"Letters that this paper lacks stand as {STANDS_IN}: the screen has them."
    assert told.replace(" ", "") in words(pdf).replace(" ", "") or lacking == 0
    assert words(pdf, 0).count(STANDS_IN) == (lacking + 1 if lacking else 0)


def test_every_sheet_of_a_job_is_pressed_for_any_name(left_unsafe: Story) -> None:
    """The one that warns most of all."""
    at = named(left_unsafe, "Łukasz 李")
    for sheet in SHEETS:
        assert PdfReader(BytesIO(render(sheet, at.job, NOW))).pages, sheet
    Bike.objects.filter(tag=at.tag).update(words="单车 of Ђорђе")
    assert "Ђорђе" in words(hang_tag(at.tag, "http://192.168.1.20:8010"))


def test_the_list_of_letters_is_that_of_the_faces() -> None:
    """Each letter in every weight of one face, read by another library from the files themselves."""
    faces: dict[str, list[set[int]]] = {}
    for path in [*Path(FONTS).glob("*.otf"), *Path(FONTS).glob("*.ttf")]:
        faces.setdefault(path.stem.partition("-")[0], []).append(set(TTFont(path).getBestCmap()))
    assert set(faces) == {"B612", "DejaVuSans"}
    had = set.union(*(set.intersection(*weights) for weights in faces.values()))
    assert letters() == {chr(code) for code in had} | {"\n", "\t"}


def test_letters_written_in_two_pieces_are_put_together(asked_for: Story) -> None:
    """A name typed on another machine comes as letter and mark; it is the same name."""
    pdf = render("estimate", named(asked_for, "Jir\u030ci\u0301").job, NOW)
    assert "Jiří" in words(pdf)
