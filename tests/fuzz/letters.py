"""`make fuzz-letters`: ten thousand owners drawn by chance, each with a bike that is due: none without a yes is written to.

`--owners` and `--seed` say others; the seed is printed, so that a run can be made again.
"""

import argparse
import os
import secrets
import sys

import launch


def main(arguments: list[str]) -> int:
    """Ask of them, by chance."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--owners", type=int, default=10_000)
    asked.add_argument("--seed", type=int, default=secrets.randbelow(10**6))
    told = asked.parse_args(arguments)
    print(f"seed {told.seed}")
    os.environ["PINCHBOLT_OWNERS"] = str(told.owners)
    os.environ["PINCHBOLT_SEED"] = str(told.seed)
    words = ["-m", "pytest", "-q", "tests/workshop/asking_back/test_letters.py", "-k", "thousands"]
    return launch.call(launch.python(*words))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
