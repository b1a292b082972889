"""Score the promises on drawn shops, each figure beside its bar: `make score-day`.

Shops, hours and seasons are drawn (`ratios/day_bench.py`, every number there is an assumption): what is shown is what the method
reaches on a truth of that shape, not what it reaches in a workshop. The engine's days are played compiled, as a server plays them.
"""

import argparse
import itertools
import sys
from time import perf_counter

import numpy as np

from pinchbolt.engines.day import DAY, make_quick, promise_odds
from ratios.day_bench import (
    CLOSED,
    CLOSES,
    OPENS,
    PEOPLE,
    Job,
    Promises,
    Shop,
    day_on,
    hours_ahead,
    in_season,
    open_days,
    season,
)

CHOSEN, OVERALL, BAND, WORST, FEWEST, WITHIN = 0.8, 0.04, 0.08, 0.8, 60, 0.01
# Where there is room, next to no bike may be sent away: a bar must not hold because the hard ones are not promised.
ROOM, SENT_AWAY = 0.9, 0.02
LOADS = (0.70, 0.82, 0.92)
RULES = ((1.5, 0), (2.5, 0), (4.0, 0), (1.5, 1), (1.5, 2), (1.5, 3), (1.5, 4), (2.5, 2), (2.5, 3), (1.5, 6))
BANDS = (0.0, 0.8, 0.85, 0.9, 0.95, 0.98, 1.01)
missed: list[str] = []


def say(text: str) -> None:
    """One line, at once."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def held(what: str, shown: str, bar: str, good: bool) -> None:
    """One figure beside its bar."""
    say(f"  {what:<74} {shown:<14} {bar:<10} {'held' if good else 'MISSED'}")
    if not good:
        missed.append(what)


def by_odds(take_all: bool) -> Promises:
    """The first day at the chosen odds; where there is none the bike is sent away, as the screens advise.

    `take_all`: it gets the likeliest day all the same, as in a shop that does not listen.
    """

    def promise(shop: Shop, job: Job) -> tuple[float, float] | None:
        day = int(job.came // DAY)
        ahead, own = shop.ahead(job.came), shop.as_ahead(job, job.came)
        found = promise_odds(ahead, own, hours_ahead(job.came), CHOSEN)
        told = found.best or (found.days[0] if take_all else None)
        return None if told is None else (told.at + day * DAY, told.odds)

    return promise


def by_table(factor: float, slack: int, away: frozenset[str]) -> Promises:
    """The trade's rule: its minutes and those promised before it times a factor on the free hours, a day after its part, a night to cure.

    `slack`: open days that are put on top, as somebody does who was late too often. `away`: bikes that the odds sent away, so that both
    promise the same ones.
    """

    def promise(shop: Shop, job: Job) -> tuple[float, float] | None:
        if job.id in away:
            return None
        day = int(job.came // DAY)
        ahead = hours_ahead(job.came)
        earliest = job.came - day * DAY
        if job.supplier:
            # The day after the part's usual day, by what that supplier took so far.
            wait = int(np.median(shop.parts.get(job.supplier) or [2.0])) + 1
            earliest = (day_on(day, wait) - day) * DAY + OPENS
        for hour in ahead:
            room = sum(
                max(0.0, min(hour, n * DAY + CLOSES) - max(job.came - day * DAY, n * DAY + OPENS))
                for n in range(int(hour // DAY) + 1)
                if (day + n) % 7 not in CLOSED
            )
            before = sum(
                max(one.usual - (one.used or 0.0), 5.0)
                for one in shop.open
                if one.promise <= hour + day * DAY
            )
            if (before + job.usual) * factor <= room * len(PEOPLE) and hour - job.nights * DAY >= earliest:
                later = day_on(day + int(hour // DAY), slack)
                return later * DAY + hour % DAY, 0.0
        return ahead[-1] + day * DAY, 0.0

    return promise


def kept(jobs: list[Job]) -> float:
    """The share of promises that were kept."""
    return float(np.mean([job.ready is not None and job.ready <= job.promise for job in jobs]))


def length(jobs: list[Job]) -> float:
    """Open days from coming in to the promise, in the middle of all."""
    return float(
        np.mean(
            [
                open_days(int(job.came // DAY), int(job.promise // DAY))
                + (job.promise % DAY - job.came % DAY) / 510.0
                for job in jobs
            ]
        )
    )


def sent_away(load: float, seasons: list[list[Job]]) -> None:
    """How many bikes there was no day for, by bikes and by minutes of work."""
    bikes = [float(np.mean([not job.promise for job in one])) for one in seasons]
    everyone = [job for one in seasons for job in one]
    share = float(np.mean([not job.promise for job in everyone]))
    work = sum(job.usual for job in everyone if not job.promise) / sum(job.usual for job in everyone)
    say(
        f"  {len(everyone)} bikes, sent away {share:.3f} (by season {' '.join(f'{one:.2f}' for one in bikes)}), "
        f"of the minutes {work:.3f}"
    )
    if load < ROOM:
        held("bikes sent away where there is room", f"{share:.3f}", f"<= {SENT_AWAY}", share <= SENT_AWAY)


def reliability(jobs: list[Job]) -> None:
    """Stated odds beside what came of them."""
    told = np.array([job.told for job in jobs])
    came = np.array([job.ready is not None and job.ready <= job.promise for job in jobs])
    off = float(told.mean() - came.mean())
    say(f" {len(jobs)} promises; odds told {told.mean():.3f}, kept {came.mean():.3f}")
    held("odds told less promises kept, all", f"{off:+.3f}", f"+-{OVERALL}", abs(off) <= OVERALL)
    for low, high in itertools.pairwise(BANDS):
        inside = (told >= low) & (told < high)
        if inside.sum() < FEWEST:
            say(f"  odds {low:.2f} to {high:.2f}: {inside.sum()} promises, fewer than {FEWEST}: not judged")
            continue
        off = float(told[inside].mean() - came[inside].mean())
        name = f"odds {low:.2f} to {min(high, 1):.2f}: {inside.sum()} promises, told {told[inside].mean():.3f}, kept {came[inside].mean():.3f}"
        held(name, f"{off:+.3f}", f"+-{BAND}", abs(off) <= BAND)


def main() -> int:
    """Play all seasons."""
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("--seeds", type=int, nargs="*", default=(0, 1, 2, 3))
    reader.add_argument("--alone", action="store_true", help="without the trade's rule beside it")
    reader.add_argument(
        "--take-all", action="store_true", help="promise the likeliest day where none is at the odds"
    )
    reader.add_argument("--days", type=int, default=150)
    reader.add_argument("--loads", type=float, nargs="*", default=LOADS)
    asked = reader.parse_args()
    make_quick()
    everything: list[Job] = []
    worst, began = 1.0, perf_counter()
    for load in asked.loads:
        say(f"load {load:.2f} of what two people can do")
        came = {seed: season(seed, load, by_odds(asked.take_all), asked.days) for seed in asked.seeds}
        # Bikes sent away in the first weeks are away for the rule too.
        away = {seed: frozenset(job.id for job in one if not job.promise) for seed, one in came.items()}
        scored = {seed: in_season(one, asked.days) for seed, one in came.items()}
        seasons = [[job for job in one if job.promise] for one in scored.values()]
        ours = [job for one in seasons for job in one]
        sent_away(load, list(scored.values()))
        everything += ours
        shares = [kept(one) for one in seasons]
        worst = min(worst, *shares)
        say(f"  promised by the odds: told {np.mean([job.told for job in ours]):.3f}, kept {kept(ours):.3f}")
        say(f"  (by season {' '.join(f'{one:.2f}' for one in shares)}), {length(ours):.2f} days")
        table = []
        for factor, slack in () if asked.alone else RULES:
            rule = [
                job
                for seed in asked.seeds
                for job in in_season(
                    season(seed, load, by_table(factor, slack, away[seed]), asked.days), asked.days
                )
                if job.promise
            ]
            table.append((kept(rule), length(rule)))
            say(f"  minutes x {factor:g} and {slack} days: kept {table[-1][0]:.3f}, {table[-1][1]:.2f} days")
        if asked.alone:
            continue
        needs = min((days for share, days in table if share >= kept(ours) - WITHIN), default=np.inf)
        shown = f"{length(ours):.2f}, {needs:.2f}"
        held(
            "days promised, and what the rule needs to keep as many",
            shown,
            "no longer",
            length(ours) <= needs,
        )
    say("all loads")
    reliability(everything)
    held("worst season, promises kept", f"{worst:.3f}", f">= {WORST}", worst >= WORST)
    say(f"{perf_counter() - began:.0f} s")
    say("missed: " + "; ".join(missed) if missed else "all bars held")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
