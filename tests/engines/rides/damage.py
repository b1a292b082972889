"""Ways in which a file goes wrong: cut, bits turned, pieces of two files spliced, bytes lost, doubled or overwritten."""

from collections.abc import Iterator

import numpy as np

from tests.engines.rides.fit_writer import fit_file, ride_messages
from tests.engines.rides.reference import SAMPLES

START = 1_780_000_000


def sound_files() -> dict[str, bytes]:
    """The real samples, and a written ride with compressed company."""
    found = {path.name: path.read_bytes() for path in sorted(SAMPLES.iterdir()) if path.suffix != ".md"}
    found["written.fit"] = fit_file(ride_messages(START, [7.0] * 300))
    found["table.csv"] = b"start,distance_km,indoor\n" + b"2026-05-01T08:00:00Z,42.5,no\n" * 30
    # Enough of the long ones to hold many points, so that two thousand are read in seconds.
    for name in ("short-ride.gpx", "short-ride.tcx"):
        found[name] = found[name][:20000]
    return found


def damaged_files(many: int, seed: int) -> Iterator[tuple[str, bytes]]:
    """Return *many* damaged files, the same for one seed."""
    luck = np.random.default_rng(seed)
    files = sound_files()
    names = sorted(files)
    for number in range(many):
        name = names[int(luck.integers(len(names)))]
        data = files[name]
        other = files[names[int(luck.integers(len(names)))]]
        yield f"{number}-{name}", _damaged(luck, data, other, number % 6)


def _damaged(luck: np.random.Generator, data: bytes, other: bytes, how: int) -> bytes:
    at, to = sorted(int(one) for one in luck.integers(0, len(data), 2))
    if how == 0:
        return data[:at]
    if how == 1:
        turned = bytearray(data)
        for _ in range(int(luck.integers(1, 40))):
            turned[int(luck.integers(len(data)))] ^= 1 << int(luck.integers(8))
        return bytes(turned)
    if how == 2:
        return data[:at] + other[int(luck.integers(len(other))) :]
    if how == 3:
        return data[:at] + data[to:]
    if how == 4:
        return data[:to] + data[at:]
    return data[:at] + luck.integers(0, 256, to - at, dtype=np.uint8).tobytes() + data[to:]
