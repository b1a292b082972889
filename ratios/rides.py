"""Ride files: how many times faster than the reference parser, and whether memory stays flat over ten years of rides.

Writes 3,000 FIT files of 40 minutes each into a temporary folder. Reads a sample of them by ours and by fitdecode (records and
sessions, nothing else), both in this run; then reads 300, 1,000 and all of them in processes of their own, whose peak memory is
asked of the system; then takes all of them in for a bike of a new workshop. Run: `python -m ratios.rides`, or with a number of
files.
"""

import os
import resource
import struct
import subprocess
import sys
import tempfile
import time
from importlib import import_module
from pathlib import Path

import django
import fitdecode
import numpy as np

from pinchbolt.cli import main as command
from pinchbolt.engines.rides import fit_checksum, read_ride_file
from pinchbolt.workshop.rides.ride_files import files_at, read_files
from tests.engines.rides.fit_writer import FILE_ID, RECORD, SESSION, definition, values

FILES, RECORDS, SAMPLE = 3000, 2400, 24
YEARS_S = 10 * 365 * 86400
_START = 800_000_000  # seconds of FIT: 8 May 2015
_ROW = np.dtype(
    [("head", "u1"), ("time", "<u4"), ("north", "<i4"), ("east", "<i4"), ("high", "<u2"), ("far", "<u4")]
)


def ride(number: int, files: int) -> bytes:
    """One ride of 40 minutes, with hills and lights; the ten years are shared out evenly."""
    luck = np.random.default_rng(number)
    began = _START + number * (YEARS_S // files)
    speed = np.clip(luck.normal(7.5, 2.0, RECORDS), 0, 18) * (luck.random(RECORDS) > 0.05)
    far = np.cumsum(speed)
    rows = np.zeros(RECORDS, dtype=_ROW)
    rows["head"] = 1
    rows["time"] = began + np.arange(RECORDS)
    rows["north"] = int(50.0 * 2**31 / 180)
    rows["east"] = ((8.0 + far / 71_695.8) * 2**31 / 180).astype(np.int64)
    rows["high"] = ((200 + 80 * np.sin(far / 3000) + 500) * 5).astype(np.int64)
    rows["far"] = np.rint(far * 100)
    long = (RECORDS - 1) * 1000
    body = b"".join(
        (
            definition(0, 0, FILE_ID),
            values(0, FILE_ID, (4, 255, 1, 77, began)),
            definition(1, 20, RECORD),
            rows.tobytes(),
            definition(2, 18, SESSION),
            values(2, SESSION, (began + RECORDS, began, long, long, int(rows["far"][-1]), 2, 0, 300)),
        )
    )
    head = struct.pack("<BBHI", 14, 0x20, 2140, len(body)) + b".FIT\0\0"
    return head + body + struct.pack("<H", fit_checksum(head + body))


def by_reference(data: bytes) -> tuple[float, int]:
    """Distance of the session and the number of records, by fitdecode."""
    distance, records = 0.0, 0
    with fitdecode.FitReader(data) as frames:
        for frame in frames:
            if frame.frame_type != fitdecode.FIT_FRAME_DATA:
                continue
            if frame.name == "record":
                records += 1
            elif frame.name == "session":
                distance = frame.get_value("total_distance")
    return distance, records


def ratio(paths: list[Path]) -> None:
    """Print files a second of both parsers on the same files, and their ratio."""
    sample = [path.read_bytes() for path in paths[:: max(len(paths) // SAMPLE, 1)][:SAMPLE]]
    read_ride_file("warm.fit", sample[0])
    start = time.perf_counter()
    ours = [read_ride_file("a.fit", data).rides[0].distance_m for data in sample]
    mine = time.perf_counter() - start
    start = time.perf_counter()
    theirs = [by_reference(data)[0] for data in sample]
    reference = time.perf_counter() - start
    assert ours == theirs, "the two parsers differ"
    print(f"{len(sample)} files of {RECORDS:,} records, both agree on every distance")
    print(f"  ours       {len(sample) / mine:8.1f} files/s")
    print(f"  reference  {len(sample) / reference:8.1f} files/s")
    print(f"  ratio      {reference / mine:8.1f}")


def child(words: list[str], home: Path) -> str:
    """What a process of its own printed."""
    told = subprocess.run(
        [sys.executable, "-m", "ratios.rides", *words],
        env={**os.environ, "PINCHBOLT_HOME": str(home), "PINCHBOLT_AS": "ines"},
        check=True,
        capture_output=True,
        text=True,
    )
    return told.stdout.rstrip()


def _peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def read_many(folder: Path, many: int) -> None:
    """Read so many files of a folder as an import does, and print seconds and peak memory."""
    before, start, km = _peak_mb(), time.perf_counter(), 0.0
    kept = []
    for number, one in enumerate(read_files(files_at(folder))):
        if number == many:
            break
        kept.append(one)
        km += sum(ride.distance_m for ride in one.read.rides) / 1000 if one.read else 0.0
    took = time.perf_counter() - start
    print(
        f"  {len(kept):5,} files, {km:9,.0f} km: {took:6.1f} s, {len(kept) / took:6.0f} files/s, peak {_peak_mb():5.0f} MB, "
        f"{_peak_mb() - before:5.1f} MB above the start"
    )


def take_in(folder: Path) -> None:
    """Take all files of a folder in for a bike of a new workshop, and print seconds and peak memory."""
    os.environ["DJANGO_SETTINGS_MODULE"] = "pinchbolt.serving.settings"
    django.setup()
    import_module("pinchbolt.serving.migrating").migrate()
    tag = import_module("tests.story").checked_in().tag
    start = time.perf_counter()
    command(["rides", "import", str(folder), "--bike", tag])
    print(f"  all of it in {time.perf_counter() - start:.1f} s, peak {_peak_mb():.0f} MB")


def main(words: list[str]) -> None:
    """Run the whole, or one of its parts in a process of its own."""
    if words[:1] == ["--read"]:
        read_many(Path(words[1]), int(words[2]))
        return
    if words[:1] == ["--take-in"]:
        take_in(Path(words[1]))
        return
    files = int(words[0]) if words else FILES
    with tempfile.TemporaryDirectory(prefix="pinchbolt-rides-") as made:
        folder, home = Path(made) / "rides", Path(made) / "home"
        folder.mkdir()
        home.mkdir()
        for number in range(files):
            (folder / f"{number:05d}.fit").write_bytes(ride(number, files))
        paths = sorted(folder.iterdir())
        ratio(paths)
        print("Reading, each in a process of its own:")
        for many in sorted({max(files // 10, 1), max(files // 3, 1), files}):
            print(child(["--read", str(folder), str(many)], home))
        print("Taking all of them in for a bike:")
        print(child(["--take-in", str(folder)], home))


if __name__ == "__main__":
    main(sys.argv[1:])
