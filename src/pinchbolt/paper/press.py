"""Presses a sheet: a template and plain values in, a tagged PDF out. Nothing is fetched and nothing touches the disk."""

import json
from collections.abc import Mapping
from datetime import datetime
from functools import cache
from pathlib import Path
from threading import Lock

import typst

from pinchbolt.drawing import FONTS

_HERE = Path(__file__).parent
# One compiler used by two threads at once fails; a sheet takes some tens of milliseconds, so they queue.
_ONE_AT_A_TIME = Lock()


@cache
def _compiler(template: str) -> typst.Compiler:
    ours_only = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(FONTS)])
    return typst.Compiler(str(_HERE / template), root=str(_HERE), font_paths=ours_only)


def pressed(template: str, values: Mapping[str, object], now: datetime) -> bytes:
    """Return the PDF of a template with its values; the same values and time give the same bytes."""
    data = json.dumps(values, ensure_ascii=False)
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
