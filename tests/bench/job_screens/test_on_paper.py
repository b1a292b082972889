"""Sheets opened from the tablet: the same figures as on the screen, for those who work here."""

from io import BytesIO

import pytest
from django.test import Client
from pypdf import PdfReader

from pinchbolt.values.money import money_text
from pinchbolt.workshop.stays.price import estimate
from tests.bench.job_screens.conftest import started
from tests.story import Story


def text_of(pdf: bytes) -> str:
    """The words of a PDF, blanks made one."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages).split())


@pytest.mark.parametrize("sheet", ["estimate", "job-card", "handover"])
def test_a_sheet_names_the_bike_and_its_owner(sheet: str, arrived: Story, ines: Client) -> None:
    """Each sheet opens as a PDF under its own name."""
    started(arrived)
    answer = ines.get(f"/paper/job/{arrived.job}/{sheet}.pdf")
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    assert sheet in answer["Content-Disposition"]
    assert arrived.tag in text_of(answer.content)


def test_the_estimate_on_paper_says_the_sums_of_the_screen(arrived: Story, ines: Client) -> None:
    """The total that the owner reads is the total on the tablet."""
    started(arrived)
    total = money_text(estimate(arrived.record).priced.total, "GBP")
    assert total in ines.get(f"/job/{arrived.job}/estimate/").content.decode()
    assert total in text_of(ines.get(f"/paper/job/{arrived.job}/estimate.pdf").content)


def test_a_hang_tag_carries_the_tag(arrived: Story, ines: Client) -> None:
    """The label is printed from the bike's page, in any case of letters."""
    assert arrived.tag in text_of(ines.get(f"/paper/tag/{arrived.tag.lower()}.pdf").content)


def test_what_is_not_there_is_said(arrived: Story, ines: Client) -> None:
    """Unknown sheet, job and tag are plain sentences; nobody prints signed out."""
    for address in (
        f"/paper/job/{arrived.job}/poem.pdf",
        "/paper/job/987654/estimate.pdf",
        "/paper/tag/ZZ-999.pdf",
    ):
        assert ines.get(address).status_code == 404, address
    assert Client().get(f"/paper/job/{arrived.job}/estimate.pdf").status_code == 302
    assert ines.post(f"/paper/job/{arrived.job}/estimate.pdf").status_code == 405
