"""Reads a sheet back: its words, its fonts, its pages as pixels."""

import subprocess
from functools import cache
from io import BytesIO
from pathlib import Path

from PIL import Image
from pypdf import PdfReader


@cache
def words(pdf: bytes, *pages: int) -> str:
    """Text of the sheet (all pages, or those named from 0), its lines joined by single blanks."""
    read = PdfReader(BytesIO(pdf)).pages
    chosen = [read[page] for page in pages] if pages else list(read)
    return " ".join(" ".join(page.extract_text() for page in chosen).split())


def fonts(pdf: bytes) -> set[str]:
    """Names of the fonts in the file, without their subset marks."""
    found = set()
    for page in PdfReader(BytesIO(pdf)).pages:
        for font in page["/Resources"].get("/Font", {}).values():  # type: ignore[attr-defined]
            found.add(str(font.get_object()["/BaseFont"]).split("+")[-1])
    return found


def picture(pdf: bytes, folder: Path, dpi: int = 150) -> Image.Image:
    """The first page as it prints."""
    path = folder / "sheet.pdf"
    path.write_bytes(pdf)
    subprocess.run(
        ["pdftoppm", "-r", str(dpi), "-png", "-singlefile", str(path), str(folder / "sheet")],
        check=True,
        capture_output=True,
    )
    return Image.open(folder / "sheet.png")
