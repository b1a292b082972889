"""A QR code as SVG, for hang tags and for the address that a tablet opens."""

import segno

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

_QUIET = 4
_MOST = 300


def qr_code(text: str, *, title: str, level: str = "q", dark: str = "#000000") -> str:
    """Return a QR code as SVG, one unit a module, with its quiet zone.

    The text is put in capitals: a code of capitals and figures is one size smaller, and addresses here are read
    case-blind.
    Never a small code of the other kind (M1 to M4), which most phones can't read.

    Args:
        text: What the code says. [-]
        title: What a screen reader says. [-]
        level: How much of it may be lost: l 7 %, m 15 %, q 25 %, h 30 %. [-]
        dark: Colour of the modules. [-]

    Returns:
        One `<svg>` element. [-]

    Raises:
        InputRefused: Empty, or too long for a tag.

    Source: ISO/IEC 18004 (QR code; quiet zone of four modules).
    """
    if not 1 <= len(text) <= _MOST:
        raise InputRefused(
            worded(
                "The QR code holds {text} characters: 1 to {most} are allowed. Shorten the address.",
                text=len(text),
                most=_MOST,
            )
        )
    code = segno.make(text.upper(), micro=False, error=level, boost_error=False)
    drawn: str = code.svg_inline(border=_QUIET, dark=dark, light="#ffffff", title=title, omitsize=True)
    return drawn.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" role="img" ', 1)
