"""The short tests on every Python that pinchbolt fits and that this machine has, each in an environment of its own.

Short: every module loads, the tables are read, and a bike goes through the workshop. The whole run is made by `test`
on the Python that the launcher was started with; what changes between versions shows when modules load and in that main job.
"""

import os
import subprocess
import sys
import time

import launch

# Folders, so that a test that is added there runs here too.
SHORT = [
    "tests/house/test_every_module_loads.py",
    "tests/values",
    "tests/records",
    "tests/reference",
    "tests/workshop/leaving",
]


def wanted() -> list[str]:
    """Every version that fits, such as 3.11."""
    return [f"3.{minor}" for minor in range(launch.OLDEST[1], launch.TOO_NEW[1])]


def run_on(version: str, command: list[str]) -> bool:
    """Make the environment of this Python and run the short tests in it."""
    started = time.monotonic()
    surroundings = {**os.environ, "PINCHBOLT_VENV": f".venv-{version}"}
    # What this run takes from its own environment is not for the other one.
    surroundings.pop("PYTHONPATH", None)
    launcher = [*command, str(launch.ROOT / "launch.py")]
    made = subprocess.call([*launcher, "install", "dev"], env=surroundings, cwd=launch.ROOT) == 0
    installed = time.monotonic()
    well = made and subprocess.call([*launcher, "test", "-q", *SHORT], env=surroundings, cwd=launch.ROOT) == 0
    done = time.monotonic()
    launch.say(
        f"Python {version}: {'passed' if well else 'FAILED'} (environment {installed - started:.0f} s, tests {done - installed:.0f} s)"
    )
    return well


def main() -> int:
    """Run on each Python but this one; a version that is not here is named, and is no failure."""
    here, own = launch.pythons(), f"3.{sys.version_info[1]}"
    failed = []
    for version in wanted():
        if version == own:
            launch.say(f"Python {version}: the whole run is made on it (make test).")
        elif version not in here:
            launch.say(f"Python {version}: NOT TRIED, this machine does not have it.")
        elif not run_on(version, here[version]):
            failed.append(version)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
