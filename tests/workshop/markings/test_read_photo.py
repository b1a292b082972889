"""A photo of a marking through the use case: read, or said why not, and typed."""

import csv
import sys
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image, ImageDraw, ImageFont

import pinchbolt
from pinchbolt.engines.markings import MarkingContext, MarkingKind, Sureness
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.eye import Eye, EyeAway, installed
from pinchbolt.workshop.markings import read_photo as here
from pinchbolt.workshop.markings.ask_marking import MarkingQuestion, marking_view
from pinchbolt.workshop.markings.read_photo import crop_of, read_photo
from pinchbolt.workshop.markings.score_folder import score_folder

FACE = Path(pinchbolt.__file__).parent / "drawing" / "fonts" / "B612-Regular.otf"
READER = pytest.mark.skipif(
    not installed(), reason="the text reader (extra 'markings') is not installed here"
)
STEM = MarkingContext(2.0, 12.0)


def photo_of(text: str, turned: int = 0, kind: str = "JPEG") -> bytes:
    """A plain drawing of a marking: light on dark."""
    image = Image.new("RGB", (640, 360), (44, 44, 48))
    ImageDraw.Draw(image).text((120, 140), text, font=ImageFont.truetype(str(FACE), 44), fill=(150, 150, 150))
    into = BytesIO()
    image.rotate(turned, fillcolor=(44, 44, 48)).save(into, kind)
    return into.getvalue()


class _Says(Eye):
    """An eye that says what a test gives it."""

    def __init__(self, program: str, seconds: float = 20.0) -> None:
        super().__init__(seconds, (sys.executable, "-c", program))


@READER
@pytest.mark.parametrize(
    ("text", "turned", "words"), [("MAX 5 N·m", 0, "MAX 5 N·m"), ("4-6 Nm", 12, "4 to 6 N·m")]
)
def test_a_plain_marking_is_read(text, turned, words):
    """The real reader, on a drawing that anybody could read."""
    found = read_photo(photo_of(text, turned), MarkingKind.TORQUE, STEM)
    assert (found.sureness, found.candidates[0].words) == (Sureness.SURE, words)
    left, top, right, bottom = found.candidates[0].box
    assert 0 < left < 0.35 and 0.4 < right < 1 and 0.2 < top < bottom < 0.8


@READER
def test_a_part_without_a_marking_offers_nothing():
    """The real reader, on a bare dark part."""
    assert read_photo(photo_of(""), MarkingKind.TORQUE, STEM).sureness is Sureness.CANNOT


@pytest.mark.parametrize(
    ("program", "seconds", "said"),
    [
        ("import sys; sys.exit(1)", 20.0, "stopped in the middle"),
        ("import time; time.sleep(60)", 0.3, "took more than 0.3 s"),
    ],
)
def test_a_reader_that_crashes_or_hangs_leaves_the_keypad(program, seconds, said):
    """An answer like any other: cannot read it, why, and type it."""
    found = read_photo(photo_of("5 Nm"), MarkingKind.TORQUE, STEM, _Says(program, seconds))
    assert (found.sureness, found.candidates) == (Sureness.CANNOT, ())
    assert said in found.words and "Type it" in found.words


def test_without_the_reader_the_keypad_is_left(monkeypatch):
    """A shop without the extra gets the sentence, and no fault."""

    def gone(_self: Eye, _photo: bytes) -> tuple[()]:
        raise EyeAway("The text reader is not installed here.")

    monkeypatch.setattr(Eye, "texts", gone)
    found = read_photo(photo_of("5 Nm"), MarkingKind.TORQUE)
    assert found.words == f"The text reader is not installed here. {here.TYPE_IT}"


@pytest.mark.parametrize(
    ("sent", "said"), [(b"", "no photo"), (b"%PDF-1.7 x", "no photo"), (photo_of("5")[:900], "damaged")]
)
def test_what_is_no_photo_is_refused_before_anything_reads_it(sent, said):
    """The eye is not begun for it."""
    with pytest.raises(InputRefused, match=said):
        read_photo(sent, MarkingKind.TORQUE, STEM, _Says("raise SystemExit"))


def test_a_crop_shows_the_marking_with_room_around_it():
    """Small, and from the place that the box names; a box at the edge is cut at the edge."""
    crop = Image.open(BytesIO(crop_of(photo_of("MAX 5 N·m", kind="PNG"), (0.18, 0.38, 0.6, 0.52))))
    assert 200 < crop.width <= 640 and 50 < crop.height < 360
    assert crop.convert("L").getextrema()[1] > 120
    assert Image.open(BytesIO(crop_of(photo_of("5"), (0.9, 0.9, 1.0, 1.0)))).width > 10


def test_bounds_out_of_any_sense_and_unknown_kinds_are_refused():
    """With what is allowed."""
    with pytest.raises(InputRefused, match="Choose one"):
        marking_view(photo_of("5"), MarkingQuestion("colour"))
    with pytest.raises(InputRefused, match="is possible"):
        marking_view(photo_of("5"), MarkingQuestion("torque", 2.0, float("nan")))
    with pytest.raises(InputRefused, match="has no least"):
        marking_view(photo_of("5"), MarkingQuestion("bolt-class", 2.0, 8.0))


def folder_with(tmp_path: Path, rows: list[tuple[str, ...]]) -> Path:
    """A folder with two photos and a list."""
    for name, text in (("stem.jpg", "MAX 5 N·m"), ("bare.jpg", "")):
        (tmp_path / name).write_bytes(photo_of(text))
    with (tmp_path / "marked.csv").open("w", newline="", encoding="utf-8") as into:
        csv.writer(into).writerows([("file", "kind", "marked", "least", "greatest"), *rows])
    return tmp_path


@READER
def test_a_shop_scores_its_own_photos(tmp_path):
    """One right, one without a marking on which nothing is offered, one confirmed otherwise: wrong is said."""
    folder = folder_with(
        tmp_path,
        [
            ("stem.jpg", "torque", "MAX 5 Nm", "2", "12"),
            ("bare.jpg", "torque", "", "2", "12"),
            ("stem.jpg", "torque", "6 Nm", "2", "12"),
        ],
    )
    found = score_folder(folder)
    assert [one.verdict for one in found.photos] == ["right", "right", "wrong"]
    assert (found.sure, found.sure_wrong, found.marked, found.empty_offered) == (2, 1, 2, 0)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (("gone.jpg", "torque", "5 Nm", "", ""), "line 2: there is no photo"),
        (("../stem.jpg", "torque", "5 Nm", "", ""), "line 2: there is no photo"),
        (("stem.jpg", "colour", "5 Nm", "", ""), "line 2: Marking of kind"),
        (("stem.jpg", "torque", "tight", "", ""), 'line 2: Marked "tight"'),
        (("stem.jpg", "torque", "5 Nm", "two", ""), "line 2: least and greatest are figures"),
    ],
)
def test_a_list_with_a_slip_is_refused_with_its_line(tmp_path, monkeypatch, row, said):
    """Before anything is scored."""
    monkeypatch.setattr("pinchbolt.workshop.markings.score_folder.installed", lambda: True)
    with pytest.raises(InputRefused, match=said):
        score_folder(folder_with(tmp_path, [row]))


def test_a_folder_without_a_list_is_refused(tmp_path):
    """It says which file is wanted."""
    with pytest.raises(InputRefused, match=r"marked\.csv"):
        score_folder(tmp_path)


def test_nothing_is_scored_without_the_reader(tmp_path, monkeypatch):
    """A score of nothing but 'cannot read it' would be a lie."""
    monkeypatch.setattr("pinchbolt.workshop.markings.score_folder.installed", lambda: False)
    with pytest.raises(NotPossibleNow, match="not installed"):
        score_folder(folder_with(tmp_path, [("stem.jpg", "torque", "5 Nm", "", "")]))
