"""The use cases on PostgreSQL: a server of our own on loopback, the same tests as on SQLite, and the server is gone again."""

import sys

import launch
from tests.harm.postgres_server import NotInstalled, serving

# A long walk of every limit took minutes a bike here. Taken for the cause, not proved: a test takes all its rows back, autovacuum
# writes down tables without a row, and the next test's questions are planned for empty tables. Off, small bikes took seconds.
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
