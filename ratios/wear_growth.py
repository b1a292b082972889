"""How the bulk forecast grows: 1,000 to 100,000 chains of six readings, guard and all.

`python -m ratios.wear_growth` prints a table and draws docs/pictures/wear-growth.svg. Processor seconds are those of both
threads together, which other work on the machine disturbs least. Memory is the peak of what the forecast itself asks for,
answers included, in a second run. Each size has a process of its own.
"""

import json
import subprocess
import sys
import time
import tracemalloc
from pathlib import Path

import numpy as np

from pinchbolt.engines.wear import ChainLines, LearnedChains, forecast_chains, trade_chains
from pinchbolt.reference.loader import tables
from ratios.wear import chain_lines
from ratios.wear_lives import lives, workshops

SIZES = (1_000, 3_000, 10_000, 30_000, 100_000)
DRAWN = 10_000  # chains that are drawn; larger sets repeat them
PICTURE = Path(__file__).resolve().parents[1] / "docs/pictures/wear-growth.svg"
WIDE, HIGH, EDGE = 640, 320, 60
GREY, BLUE, BROWN = "#777777", "#1f6fb2", "#b8731a"


def one_size(n: int) -> dict[str, float]:
    """Seconds and megabytes for *n* chains."""
    g = np.random.default_rng(5)
    few = chain_lines(lives(workshops(DRAWN, g), g))
    lines, known = few.take(np.arange(n) % DRAWN), trade_chains(tables().wear_priors)
    # What is compiled is loaded before the clock runs.
    _forecast(few.take(np.arange(100)), known)
    begin, busy = time.perf_counter(), time.process_time()
    _forecast(lines, known)
    took, busy = time.perf_counter() - begin, time.process_time() - busy
    tracemalloc.start()
    _forecast(lines, known)
    more = tracemalloc.get_traced_memory()[1] / 2**20
    given = sum(getattr(lines, name).nbytes for name in ("km", "days", "gauge", "low", "high")) / 2**20
    return {"chains": n, "seconds": took, "busy": busy, "megabytes": more, "given_megabytes": given}


def _forecast(lines: ChainLines, known: LearnedChains) -> None:
    forecast_chains(lines, tuple(map(str, range(int(lines.shop.max()) + 1))), known)


def drawn(rows: list[dict[str, float]]) -> str:
    """The picture: seconds and memory against chains, both scales by powers of ten."""

    def to_x(n: float) -> float:
        return float(EDGE + np.log10(n / 1e3) / 2 * (WIDE - 2 * EDGE))

    def to_y(v: float) -> float:
        return float(HIGH - EDGE - (np.log10(max(v, 0.01)) + 2) / 5 * (HIGH - 1.5 * EDGE))

    def words(x: float, y: float, what: str, colour: str = GREY, anchor: str = "middle") -> str:
        return (
            f'<text x="{x:.1f}" y="{y:.1f}" fill="{colour}" text-anchor="{anchor}" font-family="sans-serif" '
            f'font-size="13">{what}</text>'
        )

    parts = []
    for k in range(3):
        x = to_x(10.0 ** (3 + k))
        parts.append(
            f'<line x1="{x:.1f}" y1="20" x2="{x:.1f}" y2="{HIGH - EDGE}" stroke="{GREY}" stroke-opacity="0.25"/>'
        )
        parts.append(words(x, HIGH - EDGE + 18, f"{10 ** (3 + k):,}"))
    for k in range(-2, 4):
        y = to_y(10.0**k)
        parts.append(
            f'<line x1="{EDGE}" y1="{y:.1f}" x2="{WIDE - EDGE}" y2="{y:.1f}" stroke="{GREY}" stroke-opacity="0.25"/>'
        )
        parts.append(words(EDGE - 8, y + 4, f"{10.0**k:g}", anchor="end"))
    for name, colour, label in (("busy", BLUE, "processor seconds"), ("megabytes", BROWN, "megabytes")):
        points = " ".join(f"{to_x(r['chains']):.1f},{to_y(r[name]):.1f}" for r in rows)
        parts.append(f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="2"/>')
        parts.append(words(WIDE - EDGE + 4, to_y(rows[-1][name]) - 8, label, colour, "end"))
    parts.append(words(WIDE / 2, HIGH - 14, "chains"))
    title = "Seconds and memory of the bulk forecast by the number of chains"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {HIGH}" role="img" aria-label="{title}">\n'
        f"<title>{title}</title>\n" + "\n".join(parts) + "\n</svg>\n"
    )


def main() -> None:
    """Run every size in its own process, print the table, draw the picture."""
    if len(sys.argv) > 1:
        sys.stdout.write(json.dumps(one_size(int(sys.argv[1]))) + "\n")
        return
    rows = []
    sys.stdout.write("   chains   seconds   processor s   microseconds a chain   peak MB   MB of readings\n")
    for n in SIZES:
        ran = subprocess.run(
            [sys.executable, "-m", "ratios.wear_growth", str(n)], check=True, capture_output=True, text=True
        )
        r = json.loads(ran.stdout)
        rows.append(r)
        sys.stdout.write(
            f"{r['chains']:>9,.0f} {r['seconds']:>9.3f} {r['busy']:>13.3f} {1e6 * r['busy'] / r['chains']:>22.1f} "
            f"{r['megabytes']:>9.0f} {r['given_megabytes']:>16.0f}\n"
        )
        sys.stdout.flush()
    PICTURE.write_text(drawn(rows), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
