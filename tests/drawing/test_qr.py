"""QR codes, read back by another library."""

import re

import numpy as np
import pytest
import zxingcpp

from pinchbolt.drawing import qr_code
from pinchbolt.errors import InputRefused
from tests.drawing.looking import SVG, tree

ADDRESS = "http://192.168.1.20:8010/B/PB-014"


def pixels(svg: str, zoom: int = 6) -> "np.ndarray":
    """The code as grey pixels: its path is runs of dark modules, one row of modules a stroke."""
    side = int(float(tree(svg).attrib["viewBox"].split()[2]))
    grid = np.full((side, side), 255, np.uint8)
    drawn = next(one.attrib["d"] for one in tree(svg).iter(f"{SVG}path") if "stroke" in one.attrib)
    x = y = 0.0
    for kind, numbers in re.findall(r"([Mmh])([-\d. ]+)", drawn):
        values = [float(n) for n in numbers.split()]
        if kind == "h":
            grid[int(y), int(x) : int(x + values[0])] = 0
            x += values[0]
        else:
            x, y = (values[0], values[1]) if kind == "M" else (x + values[0], y + values[1])
    return np.kron(grid, np.ones((zoom, zoom), np.uint8))


def test_a_code_reads_back_as_the_address_in_capitals() -> None:
    """By a decoder that is not the encoder's."""
    found = zxingcpp.read_barcodes(pixels(qr_code(ADDRESS, title="opens PB-014")))
    assert [one.text for one in found] == [ADDRESS.upper()]
    assert found[0].format == zxingcpp.BarcodeFormat.QRCode


def test_a_short_tag_is_a_whole_qr_code_and_no_small_one() -> None:
    """Most phones read no Micro QR."""
    found = zxingcpp.read_barcodes(pixels(qr_code("PB-014", title="tag")))
    assert found[0].text == "PB-014" and found[0].format == zxingcpp.BarcodeFormat.QRCode


def test_capitals_make_the_code_smaller() -> None:
    """Source: ISO/IEC 18004: alphanumeric mode needs 5.5 bits a sign, byte mode 8."""
    import segno

    small = int(tree(qr_code(ADDRESS, title="x")).attrib["viewBox"].split()[2])
    as_typed = segno.make(ADDRESS, micro=False, error="q", boost_error=False).symbol_size(border=4)[0]
    assert small < as_typed


def test_four_modules_of_quiet_surround_the_code() -> None:
    """Source: ISO/IEC 18004, quiet zone of four modules."""
    dark = np.argwhere(pixels(qr_code(ADDRESS, title="x"), zoom=1) == 0)
    side = pixels(qr_code(ADDRESS, title="x"), zoom=1).shape[0]
    assert dark.min() == 4 and dark.max() == side - 5


@pytest.mark.parametrize("text", ["", "X" * 301])
def test_nothing_and_too_much_are_refused(text: str) -> None:
    """The sentence says how much is allowed."""
    with pytest.raises(InputRefused, match=f"The QR code holds {len(text)} characters: 1 to 300 are allowed"):
        qr_code(text, title="x")
