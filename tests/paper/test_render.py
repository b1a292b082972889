"""What holds for every sheet."""

from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from pathlib import Path

import pytest
import zxingcpp
from pypdf import PdfReader

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.paper import SHEETS, hang_tag, render
from pinchbolt.paper.press import pressed
from tests.paper.reading import fonts, picture
from tests.story import NOW, Story

ADDRESS = "http://192.168.1.20:8010"


@pytest.mark.parametrize("sheet", [sheet for sheet in SHEETS if sheet != "not-safe"])
def test_the_same_records_and_time_give_the_same_bytes(sheet: str, gone: Story) -> None:
    """A sheet printed twice is one sheet."""
    assert render(sheet, gone.job, NOW) == render(sheet, gone.job, NOW)


@pytest.mark.parametrize("sheet", SHEETS)
def test_a_sheet_is_a4_tagged_titled_and_carries_its_own_face(sheet: str, left_unsafe: Story) -> None:
    """PDF/UA asks for tags, title and language; no font of the machine gets in."""
    pdf = render(sheet, left_unsafe.job, NOW)
    read = PdfReader(BytesIO(pdf))
    root = read.trailer["/Root"]
    box = read.pages[0].mediabox
    assert (round(float(box.width)), round(float(box.height))) == (595, 842)
    assert root["/MarkInfo"]["/Marked"] and root["/Lang"] == "en-GB" and "/StructTreeRoot" in root  # type: ignore[index,operator]
    assert read.metadata is not None and left_unsafe.tag in str(read.metadata.title)
    assert fonts(pdf) and all(name.startswith("B612-") for name in fonts(pdf))


def test_a_sheet_that_does_not_exist_is_not_found(asked_for: Story) -> None:
    """The sentence lists those that do."""
    with pytest.raises(
        NotFound,
        match=r'There is no sheet "bill": estimate, job-card, torque-sheet, handover, not-safe, workings\. Choose one\.',
    ):
        render("bill", asked_for.job, NOW)


def test_a_job_that_does_not_exist_is_not_found(asked_for: Story) -> None:
    """Not an empty sheet."""
    with pytest.raises(NotFound, match="There is no job 77"):
        render("estimate", 77, NOW)


def test_a_sound_bike_gets_no_not_safe_sheet(gone: Story) -> None:
    """The sheet must mean something."""
    with pytest.raises(NotPossibleNow, match=f"Nothing found on {gone.tag} is unsafe to ride"):
        render("not-safe", gone.job, NOW)


def test_sheets_pressed_at_once_wait_for_one_another(asked_for: Story) -> None:
    """Four tablets print at the same moment; one compiler used twice at once would raise."""
    from pinchbolt.paper.hang_tag.hang_tag_paper import hang_tag_values

    values = hang_tag_values(asked_for.tag, ADDRESS)
    with ThreadPoolExecutor(4) as four:
        made = list(four.map(lambda _: pressed("hang_tag/hang_tag.typ", values, NOW), range(12)))
    assert len(set(made)) == 1


def test_the_hang_tag_is_62_mm_wide_and_its_code_opens_the_bike(asked_for: Story, tmp_path: Path) -> None:
    """Read back from the printed page at 150 dpi by another library; no owner's name hangs in the shop."""
    pdf = hang_tag(asked_for.tag, ADDRESS)
    page = PdfReader(BytesIO(pdf)).pages[0]
    assert float(page.mediabox.width) == pytest.approx(62 / 25.4 * 72, abs=0.1)
    found = zxingcpp.read_barcodes(picture(pdf, tmp_path))
    assert [code.text for code in found] == [f"HTTP://192.168.1.20:8010/B/{asked_for.tag}"]
    assert asked_for.tag in page.extract_text() and "Ellenby" not in page.extract_text()


def test_a_hang_tag_needs_a_bike_and_an_address_that_a_phone_opens(asked_for: Story) -> None:
    """Refused in sentences."""
    with pytest.raises(NotFound, match='No bike has the tag "PB-999"'):
        hang_tag("PB-999", ADDRESS)
    with pytest.raises(
        InputRefused, match='The address is "javascript:x": it begins with http:// or https://'
    ):
        hang_tag(asked_for.tag, "javascript:x")
