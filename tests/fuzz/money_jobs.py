"""`make fuzz-money`: 2,000 random jobs through the use cases against a plain account, and two tellers killed a hundred times.

The suite plays a few of each. `--jobs`, `--seed` and `--kills` say others; a run of 2,000 jobs takes the better part of an hour.
"""

import argparse
import os
import sys

import launch


def main(arguments: list[str]) -> int:
    """Run both tests with large numbers."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--jobs", type=int, default=2000)
    asked.add_argument("--seed", type=int, default=8131)
    asked.add_argument("--kills", type=int, default=100)
    told = asked.parse_args(arguments)
    os.environ |= {
        "PINCHBOLT_JOBS": str(told.jobs),
        "PINCHBOLT_SEED": str(told.seed),
        "PINCHBOLT_KILLS": str(told.kills),
    }
    tests = ["tests/second_way/test_random_jobs.py", "tests/harm/test_bills_gapless.py"]
    return launch.call(launch.python("-m", "pytest", "-q", *tests))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
