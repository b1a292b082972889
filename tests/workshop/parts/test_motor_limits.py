"""What the motor of an e-bike allows is met by a build: rings by its maker's sheet, and the wheel that its drive is set to."""

from pinchbolt.engines.fit import FitWord, check_build
from pinchbolt.workshop.common.trade_tables import fit_tables


def said(build: dict[str, object]) -> dict[str, tuple[FitWord, str]]:
    """What each rule says."""
    return {check.rule: (check.verdict, check.because) for check in check_build(build, fit_tables()).checks}


def test_a_ring_that_the_motor_does_not_take_is_a_misfit_of_the_bike() -> None:
    """44 at most; nobody need know the least for it."""
    word, because = said({"motor": "A gen 3", "ring_big": 46, "motor_ring_most": 44})["motor-ring"]
    assert word is FitWord.DOES_NOT_FIT and "44 at most" in because


def test_what_the_motor_allows_is_asked_for_and_never_taken_for_granted() -> None:
    """A ring on an e-bike of which nobody read the sheet."""
    word, because = said({"motor": "A gen 3", "ring_big": 42})["motor-ring"]
    assert word is FitWord.CANNOT_TELL and "the motor's maker allows" in because


def test_a_bike_without_a_motor_is_asked_nothing_of_one() -> None:
    """No such doubt on any other bike."""
    assert not {"motor-ring", "motor-wheel"} & said({"ring_big": 46, "tyre_rear": "60-584"}).keys()


def test_another_wheel_helps_up_to_another_speed() -> None:
    """584 and 60 in place of 622 and 60: 5.1 % less, by hand 25 x 704 / 742 = 23.7 km/h; the other way round 26.3."""
    smaller = {"motor": "A gen 3", "drive_seat": 622, "drive_tyre": 60, "tyre_rear": "60-584"}
    word, because = said(smaller)["motor-wheel"]
    assert word is FitWord.FITS_WITH and "23.7 km/h" in because
    bigger = {"motor": "A gen 3", "drive_seat": 584, "drive_tyre": 60, "tyre_rear": "60-622"}
    word, because = said(bigger)["motor-wheel"]
    assert word is FitWord.FITS_WITH and "26.3 km/h" in because
