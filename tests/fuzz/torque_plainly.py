"""Every mark of every scale tried for as many joints and questions as one likes; stops at the first that differs.

Run: python -m tests.fuzz.torque_plainly [joints] [seed]
"""

import sys
import time

from tests.second_way.test_torque_second_way import joints, questions


def main() -> None:
    """Ask and count."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    began = time.perf_counter()
    for name, ask in (("joints", joints), ("questions", questions)):
        print(f"{count} {name}, seed {seed}: {dict(ask(count, seed))}; none unsafe, none refused wrongly")
    print(f"{time.perf_counter() - began:.0f} s")


if __name__ == "__main__":
    main()
