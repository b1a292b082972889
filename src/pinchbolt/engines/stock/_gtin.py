"""Numbers under bar codes: what a scanner typed is believed where its check digit holds, and is scanned again where not."""

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

LENGTHS = (8, 12, 13, 14)


def check_digit(digits: str) -> int:
    """Return the digit that makes a number of a bar code whole: weights 3 and 1 from the right, up to the next ten.

    Args:
        digits: The number without its last digit. [-]

    Returns:
        The check digit. [-]

    Raises:
        InputRefused: Something else than figures.

    Example:
        >>> check_digit("629104150021")
        3

    Source: GS1 General Specifications, check digit calculation for GTIN.
    """
    if not (digits.isascii() and digits.isdigit()):
        raise InputRefused(
            worded(
                '"{digits}" holds more than figures: a bar code of this kind has figures only.',
                digits=digits[:20],
            )
        )
    return -sum(int(one) * (1 if at % 2 else 3) for at, one in enumerate(reversed(digits))) % 10


def gtin_of(scanned: str) -> str:
    """Return a scanned number in the one form of 14 figures, or refuse it so that it is scanned again.

    A check digit finds one wrong figure always, two that changed places only where they do not differ by 5: so a number that
    holds is a number, and the part is known by its words.

    Args:
        scanned: What the scanner typed; blanks and hyphens do not count. [-]

    Returns:
        14 figures, filled up with 0 from the left. [-]

    Raises:
        InputRefused: Not 8, 12, 13 or 14 figures, or the check digit does not hold.

    Example:
        >>> gtin_of("036000 241457")
        '00036000241457'

    Source: GS1 General Specifications: GTIN-8, -12, -13 and -14, and the check digit that they share.
    """
    plain = "".join(scanned.split()).replace("-", "")
    if not (plain.isascii() and plain.isdigit() and len(plain) in LENGTHS):
        sentence = worded(
            '"{scanned}" is no number of a bar code: 8, 12, 13 or 14 figures are. Scan it again, '
            "or type the part's own number.",
            scanned=scanned.strip()[:30],
        )
        raise InputRefused(sentence, {"scanned": sentence})
    if check_digit(plain[:-1]) != int(plain[-1]):
        sentence = worded(
            "{plain}: the last figure does not fit the others, so one was misread. Scan it "
            "again, or type the figures under the bars.",
            plain=plain,
        )
        raise InputRefused(sentence, {"scanned": sentence})
    return plain.zfill(14)
