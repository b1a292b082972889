"""Where a FIT file ends by a byte more or less, and what is said of it.

Source: FIT protocol, file structure: header, data of the length that the header tells, two bytes of checksum.
"""

import pytest

from pinchbolt.engines.rides import RecordedRide, read_ride_file
from tests.engines.rides.fit_writer import fit_file, ride_messages
from tests.engines.rides.test_fit_files import START, STEADY

WHOLE = fit_file(ride_messages(START, STEADY))


def ride(data: bytes) -> RecordedRide:
    """The one ride of a file."""
    (found,) = read_ride_file("ride.fit", data).rides
    return found


@pytest.mark.parametrize(
    ("cut", "said"),
    [
        (0, ()),
        (1, ("cut short: its checksum is missing",)),
        (2, ("cut short: its checksum is missing",)),
        (3, (f"cut short: {len(WHOLE) - 17:,} of {len(WHOLE) - 16:,} bytes are there",)),
    ],
)
def test_the_end_of_a_file_is_said_to_the_byte(cut: int, said: tuple[str, ...]) -> None:
    """All data is there until the third byte from the end goes: only then is something of the ride missing."""
    found = ride(WHOLE[: len(WHOLE) - cut])
    assert found.damaged[: len(said)] == said and (said or not found.damaged)
    assert found.distance_m == pytest.approx(4800.0, abs=10.0)
