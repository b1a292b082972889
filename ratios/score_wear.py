"""Score the law of wear on drawn chains, through the command line, each figure beside its bar: `make score-wear`.

Chains, readings and workshops are drawn (`ratios/wear_lives.py`, every number there is an assumption). They go into files, one
chain a line; `pinchbolt wear learn` learns from some, `pinchbolt wear batch` forecasts others of the same workshops. A closing is
what a workshop knows: found by its gauge, or measured at the bench between two visits; never the kilometre at which it passed.
The straight line through 0 takes the true distance, which nobody knows; `as stated` is the line that a mechanic could draw.
"""

import argparse
import io
import json
import sys
import time
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import fields, replace
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear import INSTRUMENTS, ChainLines, LearnedChains, forecast_chains, gauges_doubted
from ratios.wear import (
    LEVELS,
    TAUS,
    area_under_curve,
    chain_lines,
    cover,
    crps_ratio,
    errors,
    reliability,
    safety_calls,
    sound_so_far,
)
from ratios.wear_lives import ODD, READING_SD, Array, Lives, along, as_shown, lives, workshops
from ratios.wear_parts import PARTS, part_score

USES = ("road-dry", "mixed", "mud", "e-bike", "indoor")
LEARNED_COVER, UNTAUGHT_COVER, ODD_COVER = (77.0, 83.0), (75.0, 86.0), (76.0, 84.0)
# 80 % covers by gauge closings where drift and bend can't be told from wear.
BY_GAUGE = {"bent and wet": (74.0, 84.0), "drift": (70.0, 84.0)}
# Error over that of a flat 3,000 km, after 1, 2 and 4 readings: what was reached with every true passing km told.
BEST = {1: 0.637, 2: 0.581, 4: 0.510}
ALL_LEVELS = np.unique(np.concatenate([LEVELS, TAUS]))
MOST_SHOWN = 8.0  # percent
missed: list[str] = []
# Chances of being past the limit and whether it was, of all tables by how chains were closed.
told: dict[str, list[tuple[Array, Array]]] = {"gauge": [], "bench": []}


def say(text: str) -> None:
    """One line, at once."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def held(what: str, shown: str, bar: str, good: bool) -> None:
    """One figure beside its bar."""
    say(f"  {what:<52} {shown:<24} {bar:<22} {'held' if good else 'MISSED'}")
    if not good:
        missed.append(what)


def some(life: Lives, rows: NDArray[np.int64] | slice) -> Lives:
    """Part of the drawn lives."""
    one_a_bike = ("shop", "use_class", "family", "bike", "km_a_day", "words_share", "source", "main_gauge")
    of = replace(life.of, **{name: getattr(life.of, name)[rows] for name in one_a_bike})
    return Lives(of, **{f.name: getattr(life, f.name)[rows] for f in fields(life) if f.name != "of"})


def written(path: Path, lines: ChainLines) -> Path:
    """The chains as a file, one a line."""

    def known(value: float) -> float | None:
        return round(float(value), 4) if np.isfinite(value) else None

    # A chain that was ridden on for years would show more than any gauge does.
    lines = replace(
        lines,
        low=np.where(np.isfinite(lines.low), np.minimum(lines.low, MOST_SHOWN), lines.low),
        high=np.where(np.isfinite(lines.high), np.minimum(lines.high, MOST_SHOWN), lines.high),
    )

    with path.open("w", encoding="utf-8") as file:
        for i in range(len(lines)):
            readings = [
                {
                    "km": known(lines.km[i, j]), "days": known(lines.days[i, j]),
                    "instrument": INSTRUMENTS[lines.gauge[i, j]],
                    **(
                        {"value": known(lines.low[i, j])}
                        if lines.low[i, j] == lines.high[i, j]
                        else {"low": known(lines.low[i, j]), "high": known(lines.high[i, j])}
                    ),
                }
                for j in range(lines.readings[i])
            ]  # fmt: skip
            chain = {
                "id": i, "workshop": str(lines.shop[i]), "use": USES[lines.use[i]], "limit": float(lines.limit[i]),
                "readings": readings, "closed_km": known(lines.closed[i]), "passed_after_km": known(lines.passed_after[i]),
                "closed_how": "bench" if lines.bench[i] else "gauge",
            }  # fmt: skip
            file.write(json.dumps(chain) + "\n")
    return path


def command(*words: object) -> None:
    """`pinchbolt wear ...`, in this process."""
    from pinchbolt.cli import main  # noqa: PLC0415

    quiet = io.StringIO()
    with redirect_stdout(quiet), redirect_stderr(quiet):
        try:
            code = main(["wear", *map(str, words)])
        except SystemExit as end:
            code = int(end.code or 0)
    if code:
        raise RuntimeError(quiet.getvalue())


def learned(folder: Path, lines: ChainLines) -> Path:
    """What the chains teach, by the command line."""
    command("learn", written(folder / "taught.ndjson", lines), "--save", folder / "learned.json")
    return folder / "learned.json"


def foretold(folder: Path, lines: ChainLines, known: Path | None) -> tuple[Array, Array, Array]:
    """Quantiles at ALL_LEVELS, chance of being past, log odds (nan: none), by the command line."""
    at = ",".join(f"{level:g}" for level in ALL_LEVELS)
    words = ["--learned", known] if known else []
    command("batch", written(folder / "in.ndjson", lines), folder / "out.ndjson", "--at", at, *words)
    rows = [json.loads(text) for text in (folder / "out.ndjson").read_text("utf-8").splitlines()]
    km = np.array([[row["to_limit_km"][f"{level:g}"] for level in ALL_LEVELS] for row in rows])
    odds = np.array([np.log(row["odds_same"]) if row["odds_same"] else np.nan for row in rows])
    return km, np.array([row["chance_past_limit"] for row in rows]), odds


class Table:
    """Cover, error and CRPS at 1, 2 and 4 readings of one set of chains under one belief."""

    def __init__(self, folder: Path, life: Lives, known: Path | None) -> None:
        self.cover: dict[int, list[float]] = {}
        self.flat: dict[int, float] = {}
        self.crps: dict[int, float] = {}
        self.line: dict[int, tuple[float, float]] = {}
        self.said, self.seen = np.zeros(0), np.zeros(0)
        for seen in (1, 2, 4):
            rows = sound_so_far(life, seen)
            km, past, _ = foretold(folder, chain_lines(life, seen).take(rows), known)
            quantiles = km[:, np.searchsorted(ALL_LEVELS, LEVELS)]
            self.cover[seen] = [100 * c for c in cover(life, seen, quantiles)]
            err = errors(life, seen, quantiles[:, 3])
            self.flat[seen], self.line[seen] = err["flat"], (err["line"], err["stated line"])
            self.crps[seen] = crps_ratio(life, seen, km[:, np.searchsorted(ALL_LEVELS, TAUS)])
            self.said = np.concatenate([self.said, past])
            self.seen = np.concatenate([self.seen, (life.wear[rows, seen - 1] >= 0.75).astype(float)])

    def tell(self, title: str, bar: tuple[float, float], best: float = 0.0) -> None:
        """Print it beside its bars; *best*: how much worse than the best error it may be, as a factor."""
        say(f"\n{title}")
        for seen, share in self.cover.items():
            shown = "/".join(f"{c:.1f}" for c in share)
            held(
                f"{title}: {seen} readings, 50/80/95 %",
                shown,
                f"80 %: {bar[0]:g}-{bar[1]:g}",
                bar[0] <= share[1] <= bar[1],
            )
            allowed = f"at most {BEST[seen] * best:.3f}" if best else ""
            good = not best or self.flat[seen] <= BEST[seen] * best
            held("  error / flat 3,000 km", f"{self.flat[seen]:.3f}", allowed, good)
            line, stated = self.line[seen]
            say(
                f"    CRPS / flat {self.crps[seen]:.3f}; error / line through 0 {line:.3f}, as stated {stated:.3f}"
            )


def chances(closing: str) -> None:
    """Chances of being past the limit beside what was seen, in bands of at least 300 chains; all draws together."""
    said, seen = (np.concatenate(part) for part in zip(*told[closing], strict=True))
    worst, shown = 0.0, []
    for low, high in ((0, 0.02), (0.02, 0.05), (0.05, 0.1), (0.1, 0.2), (0.2, 0.3), (0.3, 0.5)):
        here = (said >= low) & (said < high)
        if here.sum() >= 300:
            worst = max(worst, abs(float(said[here].mean() - seen[here].mean())))
            shown.append(f"{said[here].mean():.3f}/{seen[here].mean():.3f}")
    held(
        f"chance of being past, said/seen, {closing} closings", " ".join(shown), "within .035", worst <= 0.035
    )


def same_chain_odds(
    life: Lives, shops: tuple[str, ...], known: LearnedChains, g: np.random.Generator, *, half: bool
) -> tuple[Array, NDArray[np.bool_], Array]:
    """Log odds at the third visit, whether it is the chain on record, wear read before; a half or a tenth changed."""
    lines, changed, worn = swapped(life, g, 0.5 if half else 0.1)
    return np.log(forecast_chains(lines, shops, known).odds_same), ~changed, worn


def swapped(life: Lives, g: np.random.Generator, share: float) -> tuple[ChainLines, NDArray[np.bool_], Array]:
    """Three readings; a *share* of the chains was changed in silence before the third."""
    n, seen = len(life.at), 3
    changed = g.random(n) < share
    fresh = lives(life.of, g)
    ridden = life.at[:, seen - 1] - life.at[:, seen - 2]
    new_wear = along(fresh.path, (ridden * g.random(n))[:, None])[:, 0]
    gauge = life.gauge[:, seen - 1]
    value = new_wear + life.of.bias[life.of.shop.astype(int), gauge] + READING_SD[gauge] * g.normal(size=n)
    low, high = as_shown(value[:, None], gauge[:, None])
    lines = chain_lines(life, seen)
    lines.low[changed, seen - 1], lines.high[changed, seen - 1] = low[changed, 0], high[changed, 0]
    return lines, changed, life.wear[:, seen - 2]


def open_truth(folder: Path, seed: int, chains: int) -> None:
    """The open generator: nothing learned, learned by gauge closings, by bench closings; the same part."""
    g = np.random.default_rng(seed)
    life = lives(workshops(4000 + chains, g, a_workshop=500), g)
    before, after = some(life, slice(0, 4000)), some(life, slice(4000, None))
    Table(folder, after, None).tell(f"seed {seed}, nothing learned", UNTAUGHT_COVER)
    for closing, best in (("gauge", 1.02), ("bench", 1.01)):
        known = learned(folder, chain_lines(before, closing=closing))
        table = Table(folder, after, known)
        table.tell(f"seed {seed}, {closing} closings", LEARNED_COVER, best)
        told[closing].append((table.said, table.seen))
    lines, changed, _ = swapped(after, g, 0.1)
    odds = foretold(folder, lines, known)[2]
    auc = area_under_curve(odds, ~changed)
    held("same part, a tenth changed: area under the curve", f"{auc:.3f}", "at least 0.92", auc >= 0.92)
    worst = reliability(odds + np.log(9.0), ~changed)
    held("  worst difference of chance and share", f"{worst:.3f}", "at most 0.06", worst <= 0.06)


def small_shops(folder: Path, seed: int) -> None:
    """Eight workshops of thirty chains each, tested on their other bikes."""
    g = np.random.default_rng(seed + 50)
    life = lives(workshops(4000, g, a_workshop=500), g)
    first = np.concatenate([np.flatnonzero(life.of.shop == s)[:30] for s in range(8)])
    rest = np.setdiff1d(np.arange(len(life.at)), first)
    after = some(life, rest)
    known = learned(folder, chain_lines(some(life, first), closing="gauge"))
    plain, taught = Table(folder, after, None), Table(folder, after, known)
    taught.tell(f"8 workshops of 30 chains, seed {seed}", ODD_COVER)
    gain = 1 - taught.flat[4] / plain.flat[4]
    held("  error below nothing learned, 4 readings", f"{gain:.1%}", "at least 3 %", gain >= 0.03)


def odd_truths(folder: Path, seed: int, chains: int, truths: list[str]) -> None:
    """One thing bent at a time: 1,000 chains learned, others forecast."""
    for k, (odd, words) in enumerate(ODD.items()):
        if odd not in truths:
            continue
        g = np.random.default_rng(seed + 200 + k)
        life = lives(workshops(1000 + chains, g, a_workshop=max(50, (1000 + chains) // 16)), g, odd=odd)
        before, after = some(life, slice(0, 1000)), some(life, slice(1000, None))
        for closing in ("gauge", "bench") if odd in BY_GAUGE else ("gauge",):
            bar = BY_GAUGE.get(odd, ODD_COVER) if closing == "gauge" else ODD_COVER
            known = learned(folder, chain_lines(before, closing=closing))
            table = Table(folder, after, known)
            table.tell(f"{words}, {closing}", bar)
            told[closing].append((table.said, table.seen))
            if odd == "drift" and closing == "gauge":
                named = gauges_doubted(LearnedChains.from_plain(json.loads(known.read_text("utf-8"))))
                held(
                    "  gauges of which 'check the gauge' is said",
                    str(len(named)),
                    "at least 5",
                    len(named) >= 5,
                )


def speed(folder: Path, chains: int, parts: int, rounds: int = 5) -> None:
    """`wear batch`, file to file, against the plain reference part by part, turn by turn; of each the quickest turn."""
    from pinchbolt.engines.wear import trade_chains  # noqa: PLC0415
    from pinchbolt.engines.wear._batch import THREADS  # noqa: PLC0415
    from pinchbolt.reference.loader import tables  # noqa: PLC0415
    from tests.second_way.wear_from_batch import part_of, plain_chains  # noqa: PLC0415
    from tests.second_way.wear_one_part import quantiles  # noqa: PLC0415

    g = np.random.default_rng(5)
    life = lives(workshops(chains, g), g)
    source, known = written(folder / "many.ndjson", chain_lines(life, 4)), trade_chains(tables().wear_priors)
    batch = plain_chains(life, 4, known, np.arange(parts))
    some_parts = [part_of(batch, i) for i in range(parts)]
    lines, shops = chain_lines(life, 4).take(np.arange(parts)), tuple(map(str, range(len(life.of.bias))))

    def in_bulk() -> None:
        command("batch", source, folder / "out.ndjson")

    def by_reference() -> None:
        quantiles(some_parts, [float(v) for v in LEVELS])

    def one_by_one() -> None:
        # The whole law, part by part, by the plain functions that judge one part.
        for i in range(parts):
            forecast_chains(lines.take(np.array([i])), shops, known)

    def busy(work: Callable[[], None]) -> tuple[float, float]:
        began, at = time.process_time(), time.perf_counter()
        work()
        return time.process_time() - began, time.perf_counter() - at

    in_bulk()  # what is compiled is loaded
    turns = [[busy(work) for work in (in_bulk, by_reference, one_by_one)] for _ in range(rounds)]
    bulk, slow, whole = (min(turn[k][0] for turn in turns) for k in range(3))
    slow, whole = slow / parts, whole / parts
    took = min(turn[0][1] for turn in turns)
    say(
        f"\n{chains:,} chains of four readings, file to file: {took:.2f} s, {1e6 * bulk / chains:.0f} microseconds of processor"
    )
    say(
        f"plain reference: {1000 * slow:.1f} ms a part (one story of start and gauge, no guard, seven chances)"
    )
    say(f"the whole law by its plain functions, part by part: {1000 * whole:.1f} ms a part")
    for what, each in (("plain reference", slow), ("whole law part by part", whole)):
        times = each * chains / (bulk / THREADS)
        bar = "at least 1,000" if each == slow else ""
        held(
            f"wear batch on two quiet cores, times the {what}", f"{times:,.0f}", bar, not bar or times >= 1000
        )


def rates(chains: int, many: int = 121) -> None:
    """Chances, roads and odds by the rates in use beside those by *many*: drawn chains, and wild ones that fit nothing before."""
    from pinchbolt.engines.wear import trade_chains  # noqa: PLC0415
    from pinchbolt.engines.wear._batch import over  # noqa: PLC0415
    from pinchbolt.engines.wear._chain_batch import chain_batch  # noqa: PLC0415
    from pinchbolt.engines.wear._compiled import compiled  # noqa: PLC0415
    from pinchbolt.engines.wear._forecast_chains import LEAST_OF_ROAD, NODES, PRECISION, stories  # noqa: PLC0415
    from pinchbolt.engines.wear._guard import LEAST_OF_NODE  # noqa: PLC0415
    from pinchbolt.reference.loader import tables  # noqa: PLC0415

    g, known, ask = np.random.default_rng(5), trade_chains(tables().wear_priors), compiled()[0]
    life = lives(workshops(chains, g), g)
    shops = tuple(map(str, range(len(life.of.bias))))
    some_chains = {f"{seen} readings": chain_lines(life, seen) for seen in (1, 2, 4)}
    some_chains["measured at the bench"] = chain_lines(life, closing="bench")
    some_chains["wild"] = wild(chains, np.random.default_rng(1))

    def asked(
        lines: ChainLines, nodes: int, least: float = LEAST_OF_NODE, precision: float = 1e-8
    ) -> tuple[Array, Array]:
        batch = chain_batch(lines, known, known.tuning, stories(lines, shops, known)).batch
        road, figures = np.zeros((chains, len(LEVELS))), np.zeros((chains, 4))
        over(chains, lambda a, b: ask(batch, a, b, nodes, LEVELS, least, precision, road, figures))
        return road * np.exp(batch.mu)[:, None], figures

    say(f"\n{NODES} rates beside {many}: of {chains:,} chains each, off by at most in 99 of 100, and at most")
    for name, lines in some_chains.items():
        (road, figures), (fine, best) = asked(lines, NODES), asked(lines, many)
        for what, off in (
            ("chance of being past", np.abs(figures - best)[:, 0]),
            ("road that half reach, lives", np.abs(road - fine)[:, 3]),
            ("road that one in ten exceeds, lives", np.abs(road - fine)[:, 5]),
        ):
            say(f"  {name}, {what}: {np.quantile(off, 0.99):.4f} {off.max():.4f}")
        off = np.abs(asked(lines, NODES, LEAST_OF_ROAD, PRECISION)[0] - road)
        for what, some_off in (("half reach", off[:, 3]), ("any level", off)):
            say(
                f"  {name}, roads as told in bulk beside a search without end, {what}: {np.quantile(some_off, 0.99):.4f} {some_off.max():.4f}"
            )


def wild(n: int, g: np.random.Generator, looks: int = 4) -> ChainLines:
    """Chains of which each reading is drawn without the others."""
    off = np.arange(looks)[None] >= g.integers(1, looks + 1, n)[:, None]
    gauge, value = g.integers(0, 4, (n, looks)), g.uniform(-0.2, 2.0, (n, looks))
    low, high = as_shown(value, np.where(gauge < 2, gauge, 2))
    return ChainLines(
        shop=np.zeros(n, int), use=g.integers(0, 5, n), limit=g.choice([0.5, 0.75], n), closed=np.full(n, np.nan),
        km=np.where(off, np.nan, np.exp(g.normal(6.3, 1.2, (n, looks)))), days=np.where(off, np.nan, 60.0),
        gauge=np.where(off, -1, gauge), low=np.where(off, -np.inf, low), high=np.where(off, np.inf, high),
        passed_after=np.full(n, np.nan), bench=np.zeros(n, bool), hub=np.zeros(n, bool), start=g.integers(0, 4, n),
    )  # fmt: skip


def other_parts(chains: int) -> None:
    """Rows of other parts, by their own lives."""
    say("\nother parts")
    for row in PARTS:
        part = part_score(row, chains)
        wide, late = 100 * part.wide, 100 * part.late
        held(f"{row}: cover of 80 %", f"{wide:.1f}", "77-84", 77 <= wide <= 84)
        if part.safety:
            held("  called at the 5 % point, past on arrival", f"{late:.1f} %", "at most 6.5 %", late <= 6.5)
    late = 100 * safety_calls(6, chains)
    held("rotor whose gauge has a bias: past on arrival", f"{late:.1f} %", "at most 6.5 %", late <= 6.5)


def keep(folder: Path, name: str) -> None:
    """Put down the chances of this run, so that those of several can be told together."""
    folder.mkdir(parents=True, exist_ok=True)
    for closing, found in told.items():
        if found:
            said, seen = (np.concatenate(part) for part in zip(*found, strict=True))
            np.savez_compressed(folder / f"{closing}-{name}.npz", said=said, seen=seen)


def kept(folder: Path) -> None:
    """Take up the chances of all runs that were put down in *folder*."""
    for path in sorted(folder.glob("*.npz")):
        with np.load(path) as held:
            told[path.name.split("-")[0]].append((held["said"], held["seen"]))


def main() -> int:
    """Print all figures and return how many bars were missed."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--chains", type=int, default=8000)
    ask.add_argument("--seeds", type=int, nargs="+", default=[1, 2])
    ask.add_argument(
        "--only", choices=["open", "small", "odd", "parts", "speed", "rates", "chances"], nargs="+"
    )
    ask.add_argument("--truths", choices=list(ODD), nargs="+", default=list(ODD), help="Of the odd ones.")
    ask.add_argument(
        "--keep",
        type=Path,
        help="Folder for the chances of runs in pieces; --only chances tells all of them together.",
    )
    asked = ask.parse_args()
    only = asked.only or ["open", "small", "odd", "parts", "speed"]
    with TemporaryDirectory() as name:
        folder = Path(name)
        for seed in asked.seeds:
            if "open" in only:
                open_truth(folder, seed, asked.chains)
            if "small" in only:
                small_shops(folder, seed)
            if "odd" in only:
                odd_truths(folder, seed, asked.chains // 2, asked.truths)
        if asked.keep and only != ["chances"]:
            pieces = [*only, *map(str, asked.seeds), *(asked.truths if "odd" in only else [])]
            keep(asked.keep, "-".join(pieces).replace(" ", "-"))
        elif asked.keep:
            kept(asked.keep)
        for closing, found in told.items():
            if found:
                chances(closing)
        if "parts" in only:
            other_parts(asked.chains)
        if "speed" in only:
            speed(folder, 50000, 12)
        if "rates" in only:
            rates(min(asked.chains, 1500))
    say(f"\n{len(missed)} bars missed{': ' + '; '.join(missed) if missed else ''}")
    return len(missed)


if __name__ == "__main__":
    sys.exit(min(main(), 1))
