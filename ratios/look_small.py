"""The chooser against the best possible order on small drawn cases, by dynamic programming over every set of answers."""

from functools import lru_cache

import numpy as np

from pinchbolt.engines.look import (
    Look,
    LookBelief,
    LookFault,
    LookSheet,
    LookStation,
    Opening,
    answered,
    believed,
    chances_now,
    plan_looks,
)

LOOKS, ENTRY, STATION, FIND = 6, 2.0, 3.0, 20.0
SHARES = (0.35, 0.5, 0.7)
Answers = tuple[int, ...]  # of each look: -1 not taken, 0 sound, 1 found


def against_the_best(cases: int, seed: int) -> tuple[float, float, float]:
    """Return the chooser's expected worth as a share of the best: mean, worst tenth, worst."""
    shares = sorted(
        _Case(np.random.default_rng([seed, case]), SHARES[case % len(SHARES)]).share()
        for case in range(cases)
    )
    return float(np.mean(shares)), shares[max(cases // 10 - 1, 0)], shares[0]


class _Case:
    def __init__(self, rng: np.random.Generator, share: float) -> None:
        shared = int(rng.integers(2, LOOKS))
        faults = tuple(
            LookFault(
                f"f{n}",
                "",
                float(rng.uniform(0.02, 0.35)),
                0.0,
                float(rng.lognormal(4, 1)),
                {"neglect": float(rng.uniform(0, 1))},
            )
            for n in range(LOOKS)
        )
        looks = tuple(
            Look(
                f"l{n}", "", "here", float(rng.uniform(20, 90)), {f"f{n}": float(rng.uniform(0.6, 0.98))}, 0.02,
                ("door",) if n < shared else (),
            )
            for n in range(LOOKS)
        )  # fmt: skip
        door = float(rng.uniform(30, 150))
        self.sheet = LookSheet((LookStation("here", "", False),), looks, faults, (Opening("door", "", door),))
        self.door = door
        whole = STATION + door + sum(look.seconds + ENTRY for look in looks)
        self.most = max(share * whole, 121.0)
        self.start = believed(self.sheet)
        self.best = lru_cache(maxsize=None)(self._best)
        self.beliefs: dict[Answers, LookBelief] = {}

    def share(self) -> float:
        """Of the best."""
        nothing: Answers = (-1,) * LOOKS
        return self._chosen(nothing) / self.best(nothing)

    def _belief(self, answers: Answers) -> LookBelief:
        if answers not in self.beliefs:
            belief = self.start
            for number, answer in enumerate(answers):
                if answer >= 0:
                    belief = answered(belief, f"l{number}", bool(answer))
            self.beliefs[answers] = belief
        return self.beliefs[answers]

    def _left(self, answers: Answers) -> float:
        taken = [number for number, answer in enumerate(answers) if answer >= 0]
        spent = sum(self.sheet.looks[n].seconds + ENTRY + FIND * (answers[n] == 1) for n in taken)
        spent += self.door * any(self.sheet.looks[n].access for n in taken)
        return self.most - spent - (STATION if taken else 0.0)

    def _cost(self, answers: Answers, number: int) -> float:
        look = self.sheet.looks[number]
        is_open = any(self.sheet.looks[n].access for n, answer in enumerate(answers) if answer >= 0)
        first = all(answer < 0 for answer in answers)
        return look.seconds + ENTRY + STATION * first + self.door * (bool(look.access) and not is_open)

    def _after(self, answers: Answers, number: int, *, chosen: bool) -> float:
        """Expected worth of taking a look and going on: true finds count, false alarms cost their time."""
        look, fault = self.sheet.looks[number], self.sheet.faults[number]
        p = float(chances_now(self._belief(answers)).fault[number])
        seen = look.sees[fault.id]
        found = p * seen + (1 - p) * look.false_alarm
        go_on = self._chosen if chosen else self.best
        worth = p * seen * fault.money
        for answer, chance in ((1, found), (0, 1 - found)):
            worth += chance * go_on((*answers[:number], answer, *answers[number + 1 :]))
        return worth

    def _best(self, answers: Answers) -> float:
        left = self._left(answers)
        can = [n for n in range(LOOKS) if answers[n] < 0 and self._cost(answers, n) <= left]
        return max((self._after(answers, n, chosen=False) for n in can), default=0.0)

    def _chosen(self, answers: Answers) -> float:
        left = self._left(answers)
        taken = frozenset(f"l{n}" for n in range(LOOKS) if answers[n] >= 0)
        opened = (
            frozenset(["door"])
            if any(self.sheet.looks[int(n[1:])].access for n in taken)
            else frozenset[str]()
        )
        plan = plan_looks(
            self._belief(answers), left / 60, taken=taken, opened=opened, at="here" if taken else ""
        )
        can = [self.sheet.look_at[one.look.id] for one in sorted(plan.looks, key=lambda one: one.turn)]
        can = [n for n in can if self._cost(answers, n) <= left]
        return self._after(answers, can[0], chosen=True) if can else 0.0
