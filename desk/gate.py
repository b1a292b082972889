"""All that a submission must pass, one step after another: each is a command that works at any desk."""

import sys
import time
from collections.abc import Callable, Mapping

import launch

INSTALL = "--install-missing"
# The rooms in which most is written; `make postgresql` by itself asks every use case.
ON_POSTGRESQL = [
    "tests/workshop/acts",
    "tests/workshop/stays",
    "tests/workshop/leaving",
    "tests/harm/test_postgresql.py",
]


def steps(arguments: list[str]) -> Mapping[str, Callable[[], int]]:
    """The steps by name, the quickest to find a fault first."""
    return {
        "check": lambda: launch.check([]),
        "test": lambda: launch.test(arguments),
        "postgresql": lambda: launch.COMMANDS["postgresql"](ON_POSTGRESQL),
        "package": lambda: launch.COMMANDS["package"]([]),
        "pythons": lambda: launch.COMMANDS["pythons"]([]),
    }


def main(arguments: list[str]) -> int:
    """Take every step, also after one that failed, and say at the end which failed and how long each took."""
    if set(arguments) - {INSTALL}:
        raise launch.Refused(
            f"gate: takes {INSTALL} and nothing else. For some of the tests: make test ARGS=..."
        )
    failed, times = [], []
    for name, step in steps(arguments).items():
        launch.say(f"=== {name}")
        started = time.monotonic()
        try:
            well = step() == 0
        except launch.Refused as refusal:
            launch.say(str(refusal))
            well = False
        failed += [] if well else [name]
        times.append(f"{name} {time.monotonic() - started:.0f} s")
    launch.say(f"gate: {', '.join(times)}")
    launch.say(f"gate: failed: {', '.join(failed)}" if failed else f"gate: all {len(times)} steps passed")
    return 1 if failed else 0


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except launch.Refused as refusal:
        sys.exit(str(refusal))
