"""Torque as it is printed on parts and typed at the bench: units, decimal commas, ranges."""

import re
from collections.abc import Mapping

from pinchbolt.engines.torque.torque_types import TorqueMarking
from pinchbolt.errors import InputRefused
from pinchbolt.values.units import n_m_per_kgf_cm, n_m_per_kgf_m, n_m_per_lbf_ft, n_m_per_lbf_in
from pinchbolt.values.wording import worded

# How the unit is written on parts, letters only and in lower case, and what one of it is in N·m.
_UNITS: Mapping[str, float] = {
    **dict.fromkeys("nm n newtonmetre newtonmetres newtonmeter newtonmeters".split(), 1.0),
    **dict.fromkeys("ncm".split(), 0.01),
    **dict.fromkeys("lbfin inlbf lbin inlb lbsin inlbs inchpound inchpounds".split(), n_m_per_lbf_in),
    **dict.fromkeys("lbfft ftlbf lbft ftlb lbsft ftlbs footpound footpounds".split(), n_m_per_lbf_ft),
    **dict.fromkeys("kgfcm kgcm cmkg cmkgf kpcm".split(), n_m_per_kgf_cm),
    **dict.fromkeys("kgfm kgm mkg mkgf kpm".split(), n_m_per_kgf_m),
}
_NAMES: Mapping[str, float] = {
    "N·m": 1.0,
    "lbf·in": n_m_per_lbf_in,
    "lbf·ft": n_m_per_lbf_ft,
    "kgf·cm": n_m_per_kgf_cm,
}
_NUMBER = r"\d+(?:[.,]\d+)?"
_TORQUE = re.compile(rf"^\s*({_NUMBER})\s*(\D*?)\s*$")
_RANGE = re.compile(rf"^\s*({_NUMBER})\s*(?:-|–|to|bis|\.\.\.|…)\s*({_NUMBER})\s*(\D*?)\s*$", re.IGNORECASE)
_MOST = re.compile(r"^\s*(?:max(?:imum|\.)?|≤|<=?|up to|at most)\s*|\s*max(?:imum|\.)?\s*$", re.IGNORECASE)
_HOW = worded('write it as "5 N·m", "44 lbf·in", "4 lbf·ft" or "50 kgf·cm"')


def parse_torque(text: str) -> float:
    """Return a torque written with its unit, in N·m; a number alone is N·m.

    Args:
        text: As printed or typed: "5,5 Nm", "44 lbf in", "44 in-lb", "50 kgf·cm". [-]

    Returns:
        The torque. [N·m]

    Raises:
        InputRefused: No number, an unknown unit, nought, or a comma that may be a decimal or a thousand.

    Valid for: The four units that are printed on bicycle parts.

    Example:
        >>> round(parse_torque("44 lbf in"), 4)
        4.9713

    Source: NIST SP 811 (2008), Appendix B.8.
    """
    found = _TORQUE.match(text)
    if found is None:
        raise InputRefused(
            worded('torque is "{text}": {how}. Read it off the part again.', text=text.strip()[:40], how=_HOW)
        )
    return _number(found[1]) * _factor(found[2], text)


def parse_marking(part: str, text: str) -> TorqueMarking:
    """Return what is printed on a part as a marking; a lone value is a greatest value.

    Args:
        part: The part it is printed on. [-]
        text: As printed: "max 5 Nm", "4-6 N·m", "6 to 8", "60 kgf·cm". [-]

    Returns:
        The marking. [N·m]

    Raises:
        InputRefused: As for `parse_torque`, or a range upside down.

    Valid for: As for `parse_torque`.

    Example:
        >>> parse_marking("stem", "4-6 Nm")
        TorqueMarking(part='stem', greatest=6.0, least=4.0, means='greatest')

    Source: NIST SP 811 (2008), Appendix B.8; 'a lone value is a greatest value' is common practice, no source.
    """
    found = _RANGE.match(text)
    if found is None:
        return TorqueMarking(part, parse_torque(_MOST.sub("", text)))
    factor = _factor(found[3], text)
    least, greatest = _number(found[1]) * factor, _number(found[2]) * factor
    if least > greatest:
        raise InputRefused(
            worded(
                'the {part}\'s marking is "{text}": the lower value comes first. Read it again.',
                part=part,
                text=text.strip(),
            )
        )
    return TorqueMarking(part, greatest, least)


def torque_in(torque: float, unit: str) -> float:
    """Return a torque in another unit, for a wrench with another scale.

    Args:
        torque: The torque. [N·m]
        unit: "N·m", "lbf·in", "lbf·ft" or "kgf·cm". [-]

    Returns:
        The same torque in *unit*. [unit]

    Raises:
        InputRefused: Another unit.

    Valid for: Any torque; not rounded, so that a limit stays a limit.

    Example:
        >>> round(torque_in(5.0, "lbf·in"), 2)
        44.25

    Source: NIST SP 811 (2008), Appendix B.8.
    """
    if unit not in _NAMES:
        raise _no_such_unit(unit)
    return torque / _NAMES[unit]


def unit_named(written: str) -> str:
    """Return the unit of a scale as the program names it, however it is written on the wrench.

    Args:
        written: "in-lb", "inlb", "ft-lb", "lbf in", "Nm", "kgf-cm" ... [-]

    Returns:
        "N·m", "lbf·in", "lbf·ft" or "kgf·cm". [-]

    Raises:
        InputRefused: Another unit.

    Valid for: The four units that torque tools for bicycles are graduated in.

    Example:
        >>> unit_named("in-lb")
        'lbf·in'

    Source: Spellings as met on tools, common practice, no source.
    """
    factor = _UNITS.get(_letters(written))
    for name, known in _NAMES.items():
        if factor == known:
            return name
    raise _no_such_unit(written)


def _no_such_unit(unit: str) -> InputRefused:
    return InputRefused(
        worded('torque unit is "{unit}": it is {names}. Choose one.', unit=unit[:20], names=", ".join(_NAMES))
    )


def _letters(written: str) -> str:
    """Its letters alone; dots, dashes, crosses and spaces between them do not matter."""
    return re.sub(r"[\s.·•*×⋅\-/]", "", written).casefold()


def _number(written: str) -> float:
    if re.search(r",\d{3}$", written):
        raise InputRefused(
            worded(
                'torque is "{written}": a comma before three digits may be a decimal or a thousand. '
                "Use a point.",
                written=written,
            )
        )
    value = float(written.replace(",", "."))
    if value <= 0:
        raise InputRefused(
            worded('torque is "{written}": a torque is above 0. Read it again.', written=written)
        )
    return value


def _factor(written: str, text: str) -> float:
    """N·m per unit as written."""
    letters = _letters(written)
    if not letters:
        return 1.0
    if letters not in _UNITS:
        raise InputRefused(
            worded(
                'torque unit in "{text}" is not known: {how}. Read it off the part again.',
                text=text.strip()[:40],
                how=_HOW,
            )
        )
    return _UNITS[letters]
