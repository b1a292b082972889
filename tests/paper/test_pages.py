"""How many pages each sheet is, on five jobs; that no word runs over another or off the paper; what is final is printed again as it was."""

import re
import subprocess
from collections import Counter
from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal
from functools import cache
from io import BytesIO
from math import ceil, hypot
from pathlib import Path

import pytest
from django.conf import settings
from django.db import transaction
from PIL import Image
from pypdf import PdfReader
from pytest_django import DjangoDbBlocker

from pinchbolt.paper import SHEETS, render
from pinchbolt.paper.render import bill_sheet, hang_tag
from pinchbolt.records.models import Workshop
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.leaving.bill import bills_of
from pinchbolt.workshop.leaving.print_sheet import print_sheet
from pinchbolt.workshop.stays.price import estimate
from pinchbolt.workshop.torque.torque_sheet import torque_sheet
from tests.paper.five_jobs import five_jobs
from tests.paper.reading import words
from tests.story import NOW, TODAY, Story

JOBS = ("one line", "thirty lines", "long names", "nothing known", "unsafe e-bike")
PAPERS = ("a4", "letter")
# The pages that each sheet of each job has at most. Job card: one a four lines that were agreed, two at least (27 of the
# thirty are agreed); torque sheet: one a fourteen joints (33 on the thirty lines); the rest is what was asked for.
ONE_LEAF = {
    "estimate": 1,
    "job-card": 2,
    "torque-sheet": 1,
    "handover": 2,
    "not-safe": 1,
    "bill": 1,
    "bill strip": 1,
    "tag": 1,
}
PAGES = {
    "one line": ONE_LEAF,
    "thirty lines": {**ONE_LEAF, "estimate": 2, "job-card": 7, "torque-sheet": 3},
    "long names": ONE_LEAF,
    "nothing known": ONE_LEAF,
    "unsafe e-bike": ONE_LEAF,
}
# Always so many, not only at most: a leaf has two sides, and the rest one.
ALWAYS = ("handover", "not-safe", "bill", "bill strip", "tag")


@pytest.fixture(scope="module")
def jobs(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[dict[str, Story]]:
    """The five jobs; sheets only read, so all tests share them."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield five_jobs()
        transaction.set_rollback(True)


def every_sheet(jobs: dict[str, Story]) -> dict[tuple[str, str], bytes]:
    """Every sheet of every job that goes by the workshop's paper, by both names."""
    return {(job, sheet): render(sheet, at.job, NOW) for job, at in jobs.items() for sheet in SHEETS}


@pytest.fixture(scope="module")
def of_one_paper(jobs: dict[str, Story], django_db_blocker: DjangoDbBlocker) -> dict[tuple[str, str], bytes]:
    """What has a paper of its own: a bill keeps that of its day, a strip and a tag are as wide as their roll."""
    made = {}
    with django_db_blocker.unblock():
        for job, at in jobs.items():
            number = bills_of(at.record)[0].number
            made[job, "bill"], made[job, "bill strip"] = bill_sheet(number), bill_sheet(number, "strip")
            made[job, "tag"] = hang_tag(at.tag, "http://127.0.0.1:8010")
    return made


@pytest.fixture(scope="module")
def sheets(
    jobs: dict[str, Story],
    of_one_paper: dict[tuple[str, str], bytes],
    django_db_blocker: DjangoDbBlocker,
) -> dict[tuple[str, str], bytes]:
    """Every sheet of every job on A4."""
    with django_db_blocker.unblock():
        return every_sheet(jobs) | of_one_paper


@pytest.fixture(scope="module")
def on_letter(
    jobs: dict[str, Story],
    of_one_paper: dict[tuple[str, str], bytes],
    django_db_blocker: DjangoDbBlocker,
) -> dict[tuple[str, str], bytes]:
    """Every sheet of every job on Letter."""
    with django_db_blocker.unblock():
        Workshop.objects.update(paper="letter")
        made = every_sheet(jobs)
        Workshop.objects.update(paper="a4")
        return made | of_one_paper


def pages(pdf: bytes) -> int:
    """How many pages."""
    return len(PdfReader(BytesIO(pdf)).pages)


@pytest.mark.parametrize("job", JOBS)
def test_the_table_of_pages_is_what_was_asked(jobs: dict[str, Story], job: str, db: None) -> None:
    """Estimate 1 to eight lines, then 2; job card 1 a four lines, usually 2; torque sheet 1 to fourteen joints; handover one leaf."""
    record = job_by_id(jobs[job].job)
    seen, joints = estimate(record), len(torque_sheet(record, TODAY))
    asked = PAGES[job]
    assert asked["estimate"] == (1 if len(seen.lines) <= 8 else 2)
    assert asked["job-card"] == max(2, ceil(len(seen.agreed.lines) / 4))
    assert asked["torque-sheet"] == max(1, ceil(joints / 14))


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("job", JOBS)
def test_each_sheet_has_its_pages(
    sheets: dict[tuple[str, str], bytes], on_letter: dict[tuple[str, str], bytes], job: str, paper: str
) -> None:
    """As the table says, on both papers; Letter is Letter."""
    made = sheets if paper == "a4" else on_letter
    found = {sheet: pages(pdf) for (name, sheet), pdf in made.items() if name == job}
    over = {sheet: found[sheet] for sheet, most in PAGES[job].items() if found[sheet] > most}
    assert not over and all(found[sheet] == PAGES[job][sheet] for sheet in ALWAYS)
    width, height = PdfReader(BytesIO(made[job, "estimate"])).pages[0].mediabox[2:]
    asked = (210, 297) if paper == "a4" else (215.9, 279.4)
    assert (float(width) / 72 * 25.4, float(height) / 72 * 25.4) == pytest.approx(asked, abs=0.1)


def test_a_bill_keeps_the_paper_of_its_day(
    jobs: dict[str, Story], of_one_paper: dict[tuple[str, str], bytes], db: None
) -> None:
    """The workshop changed to Letter since: the bill, its strip and the tag are those of before, byte for byte."""
    Workshop.objects.update(paper="letter")
    at = jobs["one line"]
    number = bills_of(at.record)[0].number
    again = bill_sheet(number), bill_sheet(number, "strip"), hang_tag(at.tag, "http://127.0.0.1:8010")
    assert again == tuple(of_one_paper["one line", sheet] for sheet in ("bill", "bill strip", "tag"))


def test_all_tags_are_one_length(sheets: dict[tuple[str, str], bytes]) -> None:
    """62 by 100 mm, whatever the bike is called."""
    boxes = {tuple(PdfReader(BytesIO(sheets[job, "tag"])).pages[0].mediabox) for job in JOBS}
    (box,) = boxes
    assert [round(float(side) / 72 * 25.4) for side in box[2:]] == [62, 100]


def test_every_strip_is_80_mm_wide_and_as_long_as_it_needs(sheets: dict[tuple[str, str], bytes]) -> None:
    """Thirty lines are one long piece, one line is short."""
    boxes = {
        job: [
            round(float(side) / 72 * 25.4)
            for side in PdfReader(BytesIO(sheets[job, "bill strip"])).pages[0].mediabox[2:]
        ]
        for job in JOBS
    }
    assert {width for width, _ in boxes.values()} == {80}
    assert boxes["thirty lines"][1] > 2 * boxes["one line"][1]


@pytest.mark.parametrize("job", JOBS)
def test_sheets_are_black_only(sheets: dict[tuple[str, str], bytes], tmp_path: Path, job: str) -> None:
    """No pixel of the first two pages has a colour: what is meant is kept by a grey copy and a cheap printer."""
    for (name, sheet), pdf in sheets.items():
        if name != job:
            continue
        (tmp_path / "sheet.pdf").write_bytes(pdf)
        command = ["pdftoppm", "-r", "40", "-l", "2", "-png", "sheet.pdf", sheet.replace(" ", "-")]
        subprocess.run(command, cwd=tmp_path, check=True, capture_output=True)
        for path in tmp_path.glob(f"{sheet.replace(' ', '-')}-*.png"):
            with Image.open(path) as page:
                red, green, blue = page.convert("RGB").split()
            assert red.tobytes() == green.tobytes() == blue.tobytes(), sheet


@cache
def sizes_of(pdf: bytes) -> Counter[float]:
    """How many letters are set in each size [pt]."""
    found: Counter[float] = Counter()

    def see(text: str, around: list[float], own: list[float], font: object, size: float) -> None:
        scale = hypot(*own[:2]) * hypot(*around[:2])
        found[round(size * scale, 1)] += len(text.strip())

    for page in PdfReader(BytesIO(pdf)).pages:
        page.extract_text(visitor_text=see)
    return Counter({size: letters for size, letters in found.items() if letters})


# Signs that are read across the yard, and the figures of drawings: a ring of bolts, the marks of a rule.
SIGNS, IN_DRAWINGS = 30.0, {"job-card": 7.0, "torque-sheet": 7.0, "workings": 8.0}
SMALLEST = 7.8


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("job", JOBS)
def test_a_sheet_has_three_sizes(
    sheets: dict[tuple[str, str], bytes], on_letter: dict[tuple[str, str], bytes], job: str, paper: str
) -> None:
    """What is set in the largest, what it belongs to in the middle one, all else in one, head and foot too.

    The one is 9.5 pt; smaller, never under 7.8 pt, on sheets of words that nobody foresaw and of a job of thirty lines alone.
    """
    for (name, sheet), pdf in (sheets if paper == "a4" else on_letter).items():
        if name != job:
            continue
        drawn = IN_DRAWINGS.get(sheet)
        found = {size for size in sizes_of(pdf) if size < SIGNS}
        if drawn is not None:
            # A drawing is scaled with the page: its few figures lie between its own size and the middle one.
            few = {
                size for size, letters in sizes_of(pdf).items() if letters < 70 and size not in (12.0, 17.0)
            }
            assert not few or min(few) >= drawn, sheet
            found -= few
        small = found - {12.0, 17.0}
        assert len(small) == 1 or sheet in ("not-safe", "tag"), f"{sheet}: {sorted(found)}"
        usual = 8.5 if sheet == "tag" else 9.5
        least = SMALLEST if job in ("thirty lines", "long names") else usual
        assert all(least <= size <= usual for size in small), f"{sheet}: {sorted(small)}"


@cache
def boxes_of(pdf: bytes) -> list[list[tuple[float, float, float, float, str]]]:
    """The boxes of all words, by page, with the page's own size first."""
    told = subprocess.run(
        ["pdftotext", "-bbox", "-", "-"], input=pdf, check=True, capture_output=True
    ).stdout.decode()
    found = []
    for page in re.findall(r"<page .*?</page>", told, re.DOTALL):
        width, height = re.search(r'width="([\d.]+)" height="([\d.]+)"', page).groups()  # type: ignore[union-attr]
        own = [(0.0, 0.0, float(width), float(height), "")]
        for x0, y0, x1, y1, word in re.findall(
            r'xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)<', page
        ):
            own.append((float(x0), float(y0), float(x1), float(y1), word))
        found.append(own)
    return found


def run_over(words_of_page: list[tuple[float, float, float, float, str]]) -> list[str]:
    """Words that lie over another or off the paper; a box is a line high, so only its middle counts."""
    (_, _, width, height, _), *rest = words_of_page
    off = [word for x0, y0, x1, y1, word in rest if x0 < 0 or y0 < 0 or x1 > width or y1 > height]
    low = [(x0, y0 + 0.3 * (y1 - y0), x1, y1 - 0.3 * (y1 - y0), word) for x0, y0, x1, y1, word in rest]
    low.sort(key=lambda one: one[1])
    both = []
    for number, a in enumerate(low):
        for b in low[number + 1 :]:
            if b[1] >= a[3]:
                break
            if min(a[2], b[2]) - max(a[0], b[0]) > 1.0:
                both.append(f"{a[4]} / {b[4]}")
    return off + both


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("job", JOBS)
def test_no_word_runs_over_another_or_off_the_paper(
    sheets: dict[tuple[str, str], bytes],
    on_letter: dict[tuple[str, str], bytes],
    job: str,
    paper: str,
) -> None:
    """Read from the boxes of the words in the file."""
    for (name, sheet), pdf in (sheets if paper == "a4" else on_letter).items():
        if name == job:
            for number, page in enumerate(boxes_of(pdf), start=1):
                assert run_over(page) == [], f"{sheet}, page {number}"


def test_words_that_lie_over_each_other_are_seen() -> None:
    """The test of the boxes can fail."""
    page = [
        (0.0, 0.0, 100.0, 100.0, ""),
        (10, 10, 40, 20, "one"),
        (30, 12, 60, 22, "two"),
        (90, 50, 110, 60, "off"),
    ]
    assert run_over(page) == ["off", "one / two"]


@pytest.mark.parametrize("form", ["bill", "bill strip"])
def test_lines_add_up_by_eye_on_the_bill(
    jobs: dict[str, Story], sheets: dict[tuple[str, str], bytes], db: None, form: str
) -> None:
    """Every price that is printed, read back from the file, adds up to the total that is printed."""
    text = words(sheets["thirty lines", form])
    amounts = [Decimal(one.replace("£", "").replace(",", "")) for one in re.findall(r"-?£[\d,]+\.\d\d", text)]
    bill = bills_of(job_by_id(jobs["thirty lines"].job))[0]
    above = amounts[: len(bill.lines) + len(bill.taken_off)]
    assert sum(above) == amounts[len(above)] == bill.total


def test_what_is_final_is_printed_again_byte_for_byte(jobs: dict[str, Story], db: None) -> None:
    """Whatever the rate, tax and name of the shop are by then, and on another day."""
    at = jobs["one line"]
    first = {sheet: print_sheet(sheet, at.job, NOW) for sheet in ("estimate", "handover", "bill")}
    Workshop.objects.update(labour_an_hour=Decimal("99"), tax_percent=Decimal("7"), name="Another Name")
    again = {sheet: print_sheet(sheet, at.job, NOW + timedelta(days=400)) for sheet in first}
    assert again == first


def nothing_is_pressed(*_: object) -> bytes:
    """A press that must not be asked."""
    raise AssertionError("a sheet that is final was pressed anew")


def test_what_is_final_is_handed_out_without_a_press(
    jobs: dict[str, Story], db: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """So no table, rate, currency, template or font that came later is in it: both forms of a bill, handover and estimate."""
    at = jobs["long names"]
    finals = ("estimate", "handover", "bill", "bill-strip")
    first = {sheet: print_sheet(sheet, at.job, NOW) for sheet in finals}
    for press in ("SHEET_PRESS", "BILL_PRESS"):
        monkeypatch.setattr(settings, press, "tests.paper.test_pages.nothing_is_pressed")
    Workshop.objects.update(currency="EUR", country="DE", paper="letter", labour_an_hour=Decimal("1"))
    assert {sheet: print_sheet(sheet, at.job, NOW + timedelta(days=4000)) for sheet in finals} == first
    with pytest.raises(AssertionError, match="pressed anew"):
        print_sheet("workings", at.job, NOW)
