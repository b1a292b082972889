"""Draws docs/pictures/sheet-*.png: each sheet of five jobs (tests/paper/five_jobs.py), a row a job. Run by `make pictures`.

The jobs are made in a home of their own, which goes again; the pages are drawn by pdftoppm.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

HERE = Path(__file__).resolve().parent
DPI, GAP, MOST_PAGES, EDGE = 42, 10, 4, 90


def pages_of(pdf: bytes, folder: Path) -> list[Image.Image]:
    """The first pages of a sheet, in grey; of a long one no more than a row holds."""
    (folder / "sheet.pdf").write_bytes(pdf)
    for old in folder.glob("page*.png"):
        old.unlink()
    command = ["pdftoppm", "-r", str(DPI), "-gray", "-png", "-l", str(MOST_PAGES), "sheet.pdf", "page"]
    subprocess.run(command, cwd=folder, check=True, capture_output=True)
    found = []
    for path in sorted(folder.glob("page*.png")):
        with Image.open(path) as page:
            found.append(page.convert("L"))
    return found


def in_rows(rows: list[list[Image.Image]]) -> Image.Image:
    """All pages on one grey table, a row a job."""
    width = max(sum(page.width + GAP for page in row) for row in rows) + GAP
    whole = Image.new("L", (width, sum(max(page.height for page in row) + GAP for row in rows) + GAP), EDGE)
    y = GAP
    for row in rows:
        x = GAP
        for page in row:
            whole.paste(page, (x, y))
            x += page.width + GAP
        y += max(page.height for page in row) + GAP
    return whole.quantize(16)


def main() -> int:
    """Make the jobs, press their sheets, draw them."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"PINCHBOLT_HOME": folder, "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings"}
        import django

        django.setup()
        from pinchbolt.serving.migrating import migrate
        from tests.paper.five_jobs import five_jobs
        from tests.paper.test_pages import every_sheet

        migrate()
        made = every_sheet(five_jobs())
        for sheet in dict.fromkeys(name for _, name in made):
            rows = [pages_of(pdf, Path(folder)) for (_, name), pdf in made.items() if name == sheet]
            path = HERE / f"sheet-{sheet.replace(' ', '-')}.png"
            in_rows(rows).save(path, optimize=True)
            sys.stdout.write(f"{path.name}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
