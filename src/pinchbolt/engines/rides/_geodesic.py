"""Distance between positions on the WGS 84 ellipsoid, many at once."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

Floats = NDArray[np.float64]

_MAJOR = 6378137.0
_FLATTENING = 1 / 298.257223563
_MINOR = _MAJOR * (1 - _FLATTENING)
_MOST_STEPS = 60
_CLOSE = 1e-12


def distance_on_ellipsoid(latitude: Sequence[float], longitude: Sequence[float]) -> tuple[float, ...]:
    """Return the shortest distance from each position to the next.

    Vincenty's inverse formula: the difference in longitude on the auxiliary sphere is iterated until it moves by less
    than 1e-12 rad, then ``s = b * A * (sigma - delta_sigma)``.

    Args:
        latitude: Of each position, north positive. [°]
        longitude: Of each position, east positive. [°]

    Returns:
        One distance fewer than there are positions. [m]

    Raises:
        InputRefused: Not as many longitudes as latitudes, a latitude beyond 90, a longitude beyond 540, a value that is
            not a number, or two positions almost opposite each other on the earth, where the iteration has no end.

    Valid for: Any two positions that are not within about half a degree of opposite; better than 1 mm.

    Example:
        >>> [round(one, 3) for one in distance_on_ellipsoid([50.06632, 58.64402], [-5.71475, -3.07009])]
        [969954.166]

    Source: T. Vincenty, Direct and inverse solutions of geodesics on the ellipsoid, Survey Review XXIII 176 (1975);
        WGS 84: a = 6378137 m, 1/f = 298.257223563.
    """
    found = metres_between(*_checked(latitude, longitude))
    if np.isnan(found).any():
        sentence = worded(
            "two positions lie opposite each other on the earth: no ride goes there. Leave one of them out."
        )
        raise InputRefused(sentence, errors={"latitude": sentence})
    return tuple(float(one) for one in found)


def metres_between(latitude: Floats, longitude: Floats) -> Floats:
    """Return the distance from each position to the next [m]; NaN where they are almost opposite."""
    if latitude.size < 2:
        return np.empty(0)
    reduced = np.arctan((1 - _FLATTENING) * np.tan(np.radians(latitude)))
    u1, u2 = reduced[:-1], reduced[1:]
    apart = np.remainder(np.radians(np.diff(longitude)) + np.pi, 2 * np.pi) - np.pi
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        return _vincenty(np.sin(u1), np.cos(u1), np.sin(u2), np.cos(u2), apart)


def _vincenty(sin_u1: Floats, cos_u1: Floats, sin_u2: Floats, cos_u2: Floats, apart: Floats) -> Floats:
    lam = apart.copy()
    for _ in range(_MOST_STEPS):
        sin_lam, cos_lam = np.sin(lam), np.cos(lam)
        sin_sigma = np.hypot(cos_u2 * sin_lam, cos_u1 * sin_u2 - sin_u1 * cos_u2 * cos_lam)
        cos_sigma = sin_u1 * sin_u2 + cos_u1 * cos_u2 * cos_lam
        sigma = np.arctan2(sin_sigma, cos_sigma)
        sin_alpha = np.where(sin_sigma > 0, cos_u1 * cos_u2 * sin_lam / sin_sigma, 0.0)
        cos2_alpha = 1 - sin_alpha**2
        # On the equator the geodesic has no highest point; its term vanishes with cos2_alpha.
        cos_2m = np.where(cos2_alpha > 1e-15, cos_sigma - 2 * sin_u1 * sin_u2 / cos2_alpha, 0.0)
        c = _FLATTENING / 16 * cos2_alpha * (4 + _FLATTENING * (4 - 3 * cos2_alpha))
        before = lam
        lam = apart + (1 - c) * _FLATTENING * sin_alpha * (
            sigma + c * sin_sigma * (cos_2m + c * cos_sigma * (2 * cos_2m**2 - 1))
        )
        moved = np.abs(lam - before)
        if not (moved > _CLOSE).any():
            break
    u_sq = cos2_alpha * (_MAJOR**2 - _MINOR**2) / _MINOR**2
    a = 1 + u_sq / 16384 * (4096 + u_sq * (-768 + u_sq * (320 - 175 * u_sq)))
    b = u_sq / 1024 * (256 + u_sq * (-128 + u_sq * (74 - 47 * u_sq)))
    less = (
        b
        * sin_sigma
        * (
            cos_2m
            + b
            / 4
            * (
                cos_sigma * (2 * cos_2m**2 - 1)
                - b / 6 * cos_2m * (4 * sin_sigma**2 - 3) * (4 * cos_2m**2 - 3)
            )
        )
    )
    opposite = (moved > _CLOSE) | (np.abs(lam) > np.pi)
    return np.where(opposite, np.nan, _MINOR * a * (sigma - less))


def _checked(latitude: Sequence[float], longitude: Sequence[float]) -> tuple[Floats, Floats]:
    north, east = np.asarray(latitude, dtype=float), np.asarray(longitude, dtype=float)
    if north.shape != east.shape or north.ndim != 1:
        sentence = worded(
            "{size} latitudes and {east_size} longitudes: each position has one of both. Pair them.",
            size=north.size,
            east_size=east.size,
        )
        raise InputRefused(sentence, errors={"longitude": sentence})
    for field, values, most in (("latitude", north, 90.0), ("longitude", east, 540.0)):
        wrong = values[~(np.abs(values) <= most)]
        if wrong.size:
            sentence = worded(
                "{field} is {wrong:g}: from {least:g} to {most:g} degrees is possible. Correct it.",
                field=field,
                wrong=wrong[0],
                least=-most,
                most=most,
            )
            raise InputRefused(sentence, errors={field: sentence})
    return north, east
