"""Every real ride file below a folder, by ours and by a plain second reading, side by side. Prints a row a file.

Run: PYTHONPATH=src:. python tests/fuzz/ride_samples.py FOLDER
where FOLDER holds unpacked packages with recordings in them, such as sweat 0.25.0 (MIT), activity-parser 0.12.1 (MIT) or gpxpy
1.6.2 (Apache-2.0), fetched with `pip download --no-deps`. FIT is held against fitdecode, TCX against its laps and GPX against its
points as the standard library's tree gives them.
"""

import sys
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import fitdecode

from pinchbolt.engines.rides import distance_on_ellipsoid, read_ride_file
from pinchbolt.errors import InputRefused
from tests.engines.rides.reference import Session, fit_by_reference, gpx_by_tree, tcx_by_tree


def by_reference(path: Path) -> Session | None:
    """The first session of a file as the reference reads it; None where it tells none, or can't be read by it."""
    try:
        if path.suffix.lower() == ".fit":
            sessions, _ = fit_by_reference(path)
            return sessions[0] if sessions else None
        if path.suffix.lower() == ".tcx":
            return tcx_by_tree(path)
        times, places = gpx_by_tree(path)
        metres = sum(distance_on_ellipsoid([a[0], b[0]], [a[1], b[1]])[0] for a, b in pairwise(places))
        return Session(times[0], (times[-1] - times[0]).total_seconds(), None, metres)
    except (
        fitdecode.FitError,
        ElementTree.ParseError,
        ValueError,
        TypeError,
        IndexError,
        AssertionError,
        KeyError,
    ):
        return None


def row(path: Path) -> tuple[str, bool]:
    """One file in words, and whether both readings agree as far as both tell."""
    theirs = by_reference(path)
    try:
        ours = read_ride_file(path.name, path.read_bytes()).rides[0]
    except InputRefused as refusal:
        return f"refused: {refusal.sentence}", True
    told = f"{ours.start} {ours.elapsed_s:.3f} s {ours.distance_m:.2f} m ({ours.distance_from})"
    if theirs is None:
        return f"{told}; the reference tells nothing; {'; '.join(ours.damaged)}", True
    far = theirs.distance_m is None or abs(theirs.distance_m - ours.distance_m) < 0.01
    long = theirs.elapsed_s is None or abs(theirs.elapsed_s - ours.elapsed_s) < 0.001
    agree = far and long and ours.start == theirs.start
    told += (
        ""
        if agree
        else f"; reference {theirs.start} {theirs.elapsed_s} s {theirs.distance_m} m; {'; '.join(ours.damaged)}"
    )
    return told, agree


def main(words: list[str]) -> int:
    """A row a file; the last line counts."""
    found = sorted(
        path for path in Path(words[0]).rglob("*") if path.suffix.lower() in (".fit", ".gpx", ".tcx")
    )
    differ = 0
    for path in found:
        told, agree = row(path)
        differ += not agree
        print(f"{'     ' if agree else 'DIFF '}{path.name}: {told}")
    print(f"{len(found)} files, {differ} differ")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
