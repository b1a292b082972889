"""Damaged ride files by the thousand: each is read or refused with a sentence, none ends the program. Prints counts and time.

Run: PYTHONPATH=src:. python tests/fuzz/ride_files.py [files] [seed]
"""

import sys
import time
from collections import Counter

from pinchbolt.engines.rides import read_ride_file
from pinchbolt.errors import InputRefused
from tests.engines.rides.damage import damaged_files


def main(words: list[str]) -> int:
    """Read them all; 1 where one broke the reader or told what can't be."""
    many, seed = (int(word) for word in [*words, *("20000", "1")[len(words) :]][:2])
    counts: Counter[str] = Counter()
    start = time.perf_counter()
    for name, data in damaged_files(many, seed):
        try:
            rides = read_ride_file(name, data).rides
        except InputRefused as refusal:
            counts["refused" if name in refusal.sentence else "refused without its name"] += 1
            continue
        except Exception as fault:
            counts[f"broke: {type(fault).__name__}"] += 1
            print(name, repr(fault))
            continue
        sane = all(
            0 <= ride.distance_m <= 3_000_000 and 0 <= ride.elapsed_s <= 14 * 86400 + 1 for ride in rides
        )
        counts["read, damage said" if any(ride.damaged for ride in rides) else "read"] += 1
        counts["told what can't be"] += not sane
    print(f"{many:,} damaged files, seed {seed}: {time.perf_counter() - start:.1f} s")
    for what, count in sorted(counts.items()):
        print(f"  {what}: {count:,}")
    return int(
        any(what.startswith(("broke", "told", "refused w")) and count for what, count in counts.items())
    )


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
