"""The use cases on PostgreSQL: a server of our own on loopback, the same tests as on SQLite, and the server is gone again."""

import sys

import launch
from tests.harm.postgres_server import NotInstalled, serving

# A test takes all its rows back. Autovacuum then writes down that the tables hold a row at most, and the next test's questions are
# planned for that: three loops, one in the other, over all events. Seen in the plans: 1 to 2 s a question after 185 events; without
# it, none took 0.4 s.
SETTINGS = ("autovacuum=off",)
TESTS = ["tests/workshop", "tests/records", "tests/harm/test_postgresql.py"]


def main(arguments: list[str]) -> int:
    """Run them; arguments go to pytest. Where there is no PostgreSQL that is said."""
    try:
        with serving(*SETTINGS) as url:
            asked = launch.python("-m", "pytest", "-q", "-n", "2", *(arguments or TESTS))
            return launch.call(asked, PINCHBOLT_DATABASE=url)
    except NotInstalled as missing:
        launch.say(f"Not asked on PostgreSQL: {missing}")
        return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
