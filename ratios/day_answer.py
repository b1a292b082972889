"""How long an answer at the counter takes, with forty jobs open and six weeks looked at: where a day is near, and in a full shop.

    python -m ratios.day_answer

Processor time of one question, the least of five, as a server answers it (compiled) and as a fresh program does (over arrays). The bar of
0.4 s is the counter's, which asks a server. Ends with 1 where it is missed.
"""

import sys
from dataclasses import replace
from time import process_time

from pinchbolt.engines.day import DAY, ShopAhead, make_quick, promise_odds
from pinchbolt.engines.day._ahead import RUNS
from tests.engines.day.test_day_ahead import full_shop, job

DAYS, JOBS, BAR_S = 44, 40, 0.4
SHOPS = (("a day is near", 4.0, 4000.0), ("the shop is full", 9.0, 9000.0))
HOURS = [n * DAY + hour for n in range(DAYS) if n % 7 not in (5, 6) for hour in (720.0, 1020.0)]


def main() -> int:
    """Ask a fresh program, then one that goes on, and print each beside the bar."""
    # As many runs as a shop is played: the tests' own shop has fewer.
    shops = [
        (what, replace(full_shop(JOBS, behind, a_day, DAYS), runs=RUNS)) for what, a_day, behind in SHOPS
    ]
    fresh = [took(shop) for _, shop in shops]
    make_quick()
    slow = False
    for (what, shop), over_arrays in zip(shops, fresh, strict=True):
        served = took(shop)
        held = served <= BAR_S
        slow |= not held
        is_full = promise_odds(shop, job("new", 60), HOURS, 0.8).is_full
        sys.stdout.write(
            f"{what} (full: {is_full}): {served:.2f} s served, bar {BAR_S} s: {'held' if held else 'MISSED'}; "
            f"{over_arrays:.2f} s asked of a fresh program\n"
        )
    return int(slow)


def took(shop: ShopAhead) -> float:
    """The least of five questions. [s]"""
    found = []
    for _ in range(5):
        began = process_time()
        promise_odds(shop, job("new", 60), HOURS, 0.8)
        found.append(process_time() - began)
    return min(found)


if __name__ == "__main__":
    sys.exit(main())
