"""Figures of the FIT protocol: checksum, epoch, scales.

Header example of the protocol's description (0E 10 98 00 28 00 00 00 2E 46 49 54 has the checksum 0xACE7); ASCII 123456789 is
the catalogue check of the same polynomial (0xBB3D); epoch 1989-12-31T00:00:00Z. All exact.
"""

from datetime import UTC, datetime

import numpy as np
import pytest

from pinchbolt.engines.rides import fit_checksum, read_ride_file
from tests.engines.rides.fit_writer import (
    EPOCH,
    FILE_ID,
    RECORD,
    definition,
    fit_file,
    plain_checksum,
    values,
)


@pytest.mark.parametrize(
    ("data", "crc"),
    [(bytes.fromhex("0E1098002800") + bytes.fromhex("00002E464954"), 0xACE7), (b"123456789", 0xBB3D)],
)
def test_the_published_checksums(data, crc):
    """Both published values."""
    assert fit_checksum(data) == crc


@pytest.mark.parametrize("length", [0, 1, 2047, 2048, 2049, 5000, 131072])
def test_many_bytes_at_once_check_as_one_by_one(length):
    """The quick way over long files gives what the bit-by-bit description gives."""
    data = np.random.default_rng(length).integers(0, 256, length, dtype=np.uint8).tobytes()
    assert fit_checksum(data) == plain_checksum(data)


def test_seconds_count_from_the_last_day_of_1989():
    """723842606 is 2012-12-07T19:23:26Z, and raw altitude 2876 is 75.2 m: the protocol's own figures."""
    assert datetime(1989, 12, 31, tzinfo=UTC).timestamp() == EPOCH
    messages = [
        definition(0, 0, FILE_ID),
        values(0, FILE_ID, (4, 255, 1, 7, 723842606)),
        definition(1, 20, RECORD),
    ]
    messages += [
        values(1, RECORD, (723842606 + n, 521521093, -946874053, 2876 + 5 * n, n * 500)) for n in range(200)
    ]
    (ride,) = read_ride_file("a.fit", fit_file(messages)).rides
    assert ride.start == datetime(2012, 12, 7, 19, 23, 26, tzinfo=UTC)
    # 199 steps of 5 raw units are 199 m of climb.
    assert ride.ascent_m == pytest.approx(199.0, abs=1e-9)
