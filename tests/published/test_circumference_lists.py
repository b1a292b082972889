"""Two public lists of rolling circumferences for bike computers, on every seat that they name.

FITTED: a list by ISO 5775 marking in a permissively licensed wireless-sensor library (sizes that it gives twice are kept twice).
COMPUTER: the list that makers of bike computers print, by inch and letter sizes, as a public program of tyre sizes holds it; the
marking beside each is ISO 5775's usual one for that name.
A 24 x 1-3/8 in is listed as 34-540 and sold as 37-540: typed as sold. Both were read once and typed here; they differ by up to 2.2 % from one
another, so that no formula can hold both closely. Bounds: every value inside what we give, and the spread against the nominal
figure as the docstring and the method page state it, to a tenth of a percent.
"""

import pytest

from pinchbolt.engines.tyres import TyreSize, circumference

FITTED = [
    (2340, 60, 622), (2284, 50, 622), (2268, 47, 622), (2224, 44, 622), (2265, 40, 635), (2224, 40, 622), (2180, 38, 622),
    (2205, 37, 622), (2168, 35, 622), (2199, 32, 630), (2174, 32, 622), (2155, 32, 622), (2149, 28, 622), (2146, 60, 559),
    (2136, 28, 622), (2146, 25, 622), (2105, 25, 622), (2133, 23, 622), (2114, 20, 622), (2102, 18, 622), (2169, 35, 630),
    (2161, 32, 630), (2155, 28, 630), (2133, 57, 559), (2114, 54, 559), (2105, 37, 590), (2097, 23, 622), (2089, 50, 559),
    (2086, 20, 622), (2070, 47, 559), (2068, 35, 590), (2055, 47, 559), (2051, 44, 559), (2026, 40, 559), (1973, 23, 571),
    (1954, 20, 571), (1953, 32, 559), (1952, 25, 571), (1948, 37, 540), (1910, 50, 507), (1907, 47, 507), (1618, 28, 451),
    (1593, 50, 406), (1590, 47, 406), (1325, 28, 369), (1282, 35, 349), (1272, 47, 305),
]  # fmt: skip
COMPUTER = [
    (935, 47, 203), (1020, 40, 254), (1055, 47, 254), (1185, 40, 305), (1195, 47, 305), (1245, 50, 305), (1300, 37, 349),
    (1340, 40, 355), (1350, 47, 355), (1450, 32, 406), (1460, 35, 406), (1490, 40, 406), (1515, 47, 406), (1565, 50, 406),
    (1545, 28, 451), (1615, 37, 451), (1770, 37, 501), (1753, 25, 520), (1795, 28, 520), (1890, 47, 507), (1925, 50, 507),
    (1965, 57, 507), (1950, 32, 559), (2005, 37, 559), (2010, 40, 559), (2023, 47, 559), (2050, 50, 559), (2055, 50, 559),
    (2068, 54, 559), (2070, 54, 559), (2083, 60, 559), (2170, 75, 559), (1952, 25, 571), (1944, 23, 571), (1938, 20, 571),
    (2068, 37, 590), (2090, 37, 590), (2125, 40, 590), (2105, 40, 584), (2079, 40, 584), (2090, 50, 584), (2148, 54, 584),
    (2182, 57, 584), (2145, 25, 630), (2155, 28, 630), (2161, 32, 630), (2169, 37, 630), (2070, 18, 622), (2080, 19, 622),
    (2086, 20, 622), (2096, 23, 622), (2105, 25, 622), (2136, 28, 622), (2146, 30, 622), (2155, 32, 622), (2168, 35, 622),
    (2180, 38, 622), (2200, 40, 622), (2235, 44, 622), (2242, 45, 622), (2268, 47, 622), (2288, 54, 622), (2298, 56, 622),
    (2281, 57, 622), (2326, 58, 622),
]  # fmt: skip


@pytest.mark.parametrize(("listed", "width", "seat"), [*FITTED, *COMPUTER])
def test_what_a_list_says_is_inside_what_we_say(listed: int, width: int, seat: int) -> None:
    """All seats, not the easy one: the interval under a rider holds both lists."""
    rolling = circumference(TyreSize(width, seat)).rolling
    assert rolling.low <= listed / 1000 <= rolling.high


def test_how_far_the_lists_stand_from_the_nominal_figure() -> None:
    """The true interval: it is what the method page says, and wider than half a percent."""
    shares = [
        listed / 1000 / circumference(TyreSize(width, seat)).nominal - 1
        for listed, width, seat in (*FITTED, *COMPUTER)
    ]
    assert len(shares) == 112
    assert (round(min(shares) * 100, 1), round(max(shares) * 100, 1)) == (-4.7, 1.8)


def test_the_interval_is_no_wider_than_the_lists_ask_for() -> None:
    """Both ends are met to within a percent and a half by some list, for narrow tyres and for wide ones."""
    narrow = [
        (listed, circumference(TyreSize(width, seat)).rolling)
        for listed, width, seat in (*FITTED, *COMPUTER)
        if width <= 32
    ]
    wide = [
        (listed, circumference(TyreSize(width, seat)).rolling)
        for listed, width, seat in (*FITTED, *COMPUTER)
        if width > 44
    ]
    for some in (narrow, wide):
        assert min(listed / 1000 / rolling.low - 1 for listed, rolling in some) < 0.02
        assert min(rolling.high / (listed / 1000) - 1 for listed, rolling in some) < 0.005
