"""`make fuzz-requests`: 20,000 requests of every kind to the JSON door, made by chance from its own description, and every form of
every page filled in a hundred times with what breaks programs: no fault of ours.

Each operation is asked as often as the next; `--requests` says another number. What it finds is printed with the request.
"""

import argparse
import os
import sys

import launch


def main(arguments: list[str]) -> int:
    """Ask them, by chance."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--requests", type=int, default=20_000)
    asked.add_argument("--seed", type=int, default=8131, help="of the forms")
    told = asked.parse_args(arguments)
    os.environ["PINCHBOLT_REQUESTS"] = str(told.requests)
    os.environ["PINCHBOLT_FORMS"] = str(max(2, told.requests // 200))
    os.environ["PINCHBOLT_SEED"] = str(told.seed)
    tests = ["tests/api/test_any_request.py", "tests/bench/test_any_form.py"]
    words = ["-m", "pytest", "-q", "--hypothesis-profile=search", *tests]
    return launch.call(launch.python(*words))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
