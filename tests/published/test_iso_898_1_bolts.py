"""ISO 898-1 coarse threads: stress areas and proof loads, as two independent reprints of its tables agree."""

import pytest

from pinchbolt.engines.torque import preload_by_nut_factor, share_of_proof, stress_area
from pinchbolt.errors import InputRefused
from pinchbolt.reference import tables
from pinchbolt.values import Interval

# d, P, printed area, half of its last digit, printed proof loads of 8.8, 10.9, 12.9 in N, half of the last digit.
PRINTED = [
    (3.0, 0.5, 5.03, 0.005, ((2920, 5), (4180, 5), (4880, 5))),
    (4.0, 0.7, 8.78, 0.005, ((5100, 50), (7290, 5), (8520, 5))),
    (5.0, 0.8, 14.2, 0.05, ((8230, 5), (11800, 50), (13800, 50))),
    (6.0, 1.0, 20.1, 0.05, ((11600, 50), (16700, 50), (19500, 50))),
    (8.0, 1.25, 36.6, 0.05, ((21200, 50), (30400, 50), (35500, 50))),
    (10.0, 1.5, 58.0, 0.05, ((33700, 50), (48100, 50), (56300, 50))),
]
CLASSES = ("8.8", "10.9", "12.9")


@pytest.mark.parametrize(("d", "pitch", "area", "half", "loads"), PRINTED)
def test_stress_areas_round_to_the_printed_ones(
    d: float, pitch: float, area: float, half: float, loads: tuple[tuple[int, int], ...]
) -> None:
    """pi / 4 (d - 0.9382 P)^2 to the printed digits."""
    assert stress_area(d, pitch) == pytest.approx(area, abs=half)


@pytest.mark.parametrize(("d", "pitch", "area", "half", "loads"), PRINTED)
def test_the_printed_proof_load_is_one_of_proof(
    d: float, pitch: float, area: float, half: float, loads: tuple[tuple[int, int], ...]
) -> None:
    """Printed load over that of our table's class is 1 within the rounding of load and of the area it was printed from."""
    for name, (load, half_load) in zip(CLASSES, loads, strict=True):
        proof_stress = tables().property_classes[name].proof
        share = share_of_proof(Interval(load, load), stress_area(d, pitch), proof_stress)
        assert share.high == pytest.approx(1.0, abs=half_load / load + half / area)


# Nut factor, preload of an M5 and an M6 of class 8.8 at 75 % of proof, torque: check values worked from T = K d F.
WORKED = [
    (5.0, 6172.5, 0.12, 3.7035),
    (5.0, 6172.5, 0.18, 5.55525),
    (5.0, 6172.5, 0.20, 6.1725),
    (5.0, 6172.5, 0.30, 9.25875),
    (6.0, 8700.0, 0.12, 6.264),
    (6.0, 8700.0, 0.18, 9.396),
    (6.0, 8700.0, 0.20, 10.44),
    (6.0, 8700.0, 0.30, 15.66),
]


@pytest.mark.parametrize(("d", "preload", "k", "torque"), WORKED)
def test_the_short_form_gives_the_worked_preloads(d: float, preload: float, k: float, torque: float) -> None:
    """T = K d F, turned round; own arithmetic to 1e-12."""
    got = preload_by_nut_factor(Interval(torque, torque), d, Interval(k, k))
    assert got.low == pytest.approx(preload, rel=1e-12)
    assert got.high == pytest.approx(preload, rel=1e-12)


def test_a_textbook_bolt_of_25_kip_asks_for_3750_lbf_in() -> None:
    """Machine design textbook, 9th ed., Example 8-3: 3/4 in, 25 kip, K 0.2: 3750 lbf·in."""
    inch, lbf = 25.4, 4.4482216152605
    torque = 3750 * lbf * inch / 1000
    got = preload_by_nut_factor(Interval(torque, torque), 0.75 * inch, Interval(0.2, 0.2))
    assert got.low == pytest.approx(25_000 * lbf, rel=1e-12)


def test_the_preload_keeps_the_doubt_of_torque_and_friction() -> None:
    """Least torque with most friction to most torque with least friction: 4.5 / (0.2 x 5 mm), 5.5 / (0.15 x 5 mm)."""
    got = preload_by_nut_factor(Interval(4.5, 5.5), 5.0, Interval(0.15, 0.20))
    assert got.low == pytest.approx(4500.0, rel=1e-12)
    assert got.high == pytest.approx(5.5 / (0.15 * 0.005), rel=1e-12)


@pytest.mark.parametrize(("d", "pitch"), [(0.0, 0.8), (5.0, 0.0), (5.0, 5.0), (float("nan"), 1.0)])
def test_a_thread_that_cannot_be_is_refused(d: float, pitch: float) -> None:
    """No core left, or no thread at all."""
    with pytest.raises(InputRefused, match="thread is M"):
        stress_area(d, pitch)


def test_a_nut_factor_of_nought_is_refused() -> None:
    """Without friction no preload could be told."""
    with pytest.raises(InputRefused, match="all are above 0"):
        preload_by_nut_factor(Interval(5.0, 5.0), 5.0, Interval(0.0, 0.2))
    with pytest.raises(InputRefused, match="both are above 0"):
        share_of_proof(Interval(1.0, 1.0), 0.0, 580.0)
