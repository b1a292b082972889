"""Presses a sheet: a template and plain values in, a tagged PDF out. Nothing is fetched, and no sheet touches the disk."""

import atexit
import json
from collections.abc import Mapping
from datetime import datetime
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Lock
from unicodedata import category, normalize

import typst

from pinchbolt.drawing import FACES, FONTS, STANDS_IN, letters
from pinchbolt.values.sheet_words import reworded_sheet
from pinchbolt.values.wording import speaks_english, worded

_HERE = Path(__file__).parent
# One compiler used by two threads at once fails; a sheet takes some tens of milliseconds, so they queue.
_ONE_AT_A_TIME = Lock()


@cache
def _compiler(template: str) -> typst.Compiler:
    ours_only = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(FONTS)])
    return typst.Compiler(str(_sheets() / template), root=str(_sheets()), font_paths=ours_only)


@cache
def _sheets() -> Path:
    """Where the templates lie: beside this file, or said in another language in a folder that goes with this process."""
    if speaks_english():
        return _HERE
    folder = Path(_kept(TemporaryDirectory(prefix="pinchbolt-sheets-")))
    for sheet in _HERE.rglob("*.typ"):
        said = folder / sheet.relative_to(_HERE)
        said.parent.mkdir(parents=True, exist_ok=True)
        said.write_text(
            reworded_sheet(sheet.read_text(encoding="utf-8"), lambda text, _: worded(text)), encoding="utf-8"
        )
    return folder


def _kept(folder: TemporaryDirectory[str]) -> str:
    atexit.register(folder.cleanup)
    return folder.name


def pressed(template: str, values: Mapping[str, object], now: datetime) -> bytes:
    """Return the PDF of a template with its values; the same values and time give the same bytes."""
    data = _that_prints(values)
    with _ONE_AT_A_TIME:
        # PDF/UA-1 for readers who listen, PDF/A-2a so that a sheet opens in twenty years.
        made = _compiler(template).compile(
            format="pdf",
            sys_inputs={"data": data},
            pdf_standards=["ua-1", "a-2a"],
            timestamp=int(now.timestamp()),
        )
    if not isinstance(made, bytes):
        raise TypeError(f"{template} gave no single file")
    return made


def _that_prints(values: Mapping[str, object]) -> str:
    """The values as JSON in letters that the faces have: others stand as a box, and the sheet says that they do.

    A sheet without a name's right letter is a sheet; one that is not pressed is none.
    """
    data = normalize("NFC", json.dumps({**values, "faces": FACES, "lacking": ""}, ensure_ascii=False))
    lacking = set(data) - letters()
    if not lacking:
        return data
    # Marks that only join or vary the letter before them are left out without a box.
    boxes = {ord(one): "" if category(one) in ("Cf", "Mn", "Me") else STANDS_IN for one in lacking}
    told = worded(
        "Letters that this paper lacks stand as {stands_in}: the screen has them.", stands_in=STANDS_IN
    )
    return json.dumps({**json.loads(data.translate(boxes)), "lacking": told}, ensure_ascii=False)
