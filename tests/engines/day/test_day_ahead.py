"""The days ahead: whatever is drawn, nobody is in two places, no part is used before it came, no cure is cut short."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinchbolt.engines.day import (
    DAY,
    AtBikes,
    ComingIn,
    DoneJob,
    Hands,
    JobAhead,
    PastJob,
    ShopAhead,
    ShopTaught,
    StandMinutes,
    Wait,
    _promise,
    is_grown,
    learn_minutes,
    learn_waiting,
    open_odds,
    play,
    promise_odds,
)
from pinchbolt.engines.day._coming_in import draw_later
from pinchbolt.engines.day._drawn import draw
from pinchbolt.engines.day._hours import done_at, hours_of
from pinchbolt.errors import InputRefused

OPENS, CLOSES = 540.0, 1050.0
HOURS = [day * DAY + hour for day in range(20) for hour in (720.0, 1020.0)]
QUIET = ShopTaught(coming=ComingIn(0.001, 10.0))
"""A shop in which next to nothing comes in."""


def week(days: int = 20, away: tuple[int, ...] = ()) -> list[tuple[float, float] | None]:
    """Open every day, away on some."""
    return [None if day in away else (OPENS, CLOSES) for day in range(days)]


def shop(*jobs: JobAhead, people: int = 2, **more: object) -> ShopAhead:
    """Two people, two stands, ten in the morning."""
    hands = tuple(Hands("ab"[one], week()) for one in range(people))
    return replace(ShopAhead(600.0, hands, people, jobs, QUIET, seed=1, runs=64), **more)  # type: ignore[arg-type]


def job(id: str = "one", minutes: float = 60, **more: object) -> JobAhead:
    """An hour's work, give or take."""
    return replace(JobAhead(id, (0.7 * minutes, minutes, 1.7 * minutes)), **more)  # type: ignore[arg-type]


JOBS = st.lists(
    st.builds(
        lambda n, minutes, promise, used, waits, nights, after, needs: JobAhead(
            str(n),
            (0.7 * minutes, minutes, 2 * minutes),
            "k",
            promise,
            used,
            "a" if used is not None else "",
            waits,
            nights,
            after,
            needs,
        ),
        st.integers(0, 10**6),
        st.floats(5, 400),
        st.none() | st.floats(-2 * DAY, 9 * DAY),
        st.none() | st.floats(0, 900),
        st.lists(
            st.builds(
                Wait,
                st.sampled_from(["part", "owner"]),
                st.sampled_from(["", "north"]),
                st.integers(0, 30),
                st.none() | st.integers(-9, 12),
            ),
            max_size=2,
        ).map(tuple),
        st.integers(0, 3),
        st.floats(0, 20),
        st.sampled_from([frozenset(), frozenset({"wheels"})]),
    ),
    max_size=9,
)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(jobs=JOBS, stands=st.integers(1, 3), seed=st.integers(0, 99), away=st.integers(0, 3))
def test_one_person_has_one_bike_and_one_stand_at_a_time(jobs, stands, seed, away):
    """Over any jobs: people and stands are never double, work lies in hours, after its part, and what needs a skill has it."""
    hands = (Hands("a", week(away=tuple(range(away)))), Hands("b", week(), frozenset({"wheels"})))
    ahead = ShopAhead(600.0, hands, stands, tuple(jobs), seed=seed, runs=6)
    played = play(ahead)
    for run in range(6):
        rows = [
            (who, stand, start, end, came)
            for who, stand, start, end, came in zip(
                *(
                    one[0, run]
                    for one in (played.person, played.stand, played.start, played.end, played.came)
                ),
                strict=True,
            )
            if np.isfinite(start)
        ]
        for which in (0, 1):
            spans = sorted((row[which], row[2], row[3]) for row in rows)
            for (one, _, ends), (other, begins, _) in itertools.pairwise(spans):
                assert one != other or ends <= begins + 1e-6
        assert all(row[2] >= row[4] - 1e-6 for row in rows), "a part is used before it came"
        assert all(OPENS <= row[2] % DAY < CLOSES for row in rows)
        assert all(row[0] != 0 or row[2] // DAY >= away for row in rows), "somebody works on a day off"
    for place, one in enumerate(jobs):
        who = played.person[0, :, place]
        assert not (one.needs and (who == 1).any())
        ready, end = played.ready[0, :, place], played.end[0, :, place]
        there = np.isfinite(ready)
        if one.nights:
            assert (ready[there] // DAY - end[there] // DAY >= one.nights).all(), "a cure is cut short"
            assert (ready[there] >= end[there] + one.after).all()
        else:
            # Never less than second look and ten stops.
            assert (end[there] - played.start[0, :, place][there] >= one.after - 1e-6).all()


@settings(max_examples=15, deadline=None, derandomize=True)
@given(jobs=JOBS, seed=st.integers(0, 99))
def test_the_same_seed_gives_the_same_odds(jobs, seed):
    """Asked twice, the answer is one; and a bike that nobody can start is never told as ready."""
    ahead = shop(*jobs, seed=seed, runs=16)
    assert open_odds(ahead) == open_odds(ahead)
    new = job("new")
    assert promise_odds(ahead, new, HOURS) == promise_odds(ahead, new, HOURS)


def test_the_middle_and_the_late_clock_are_counted_off_the_runs():
    """Half of 64 runs are ready by the middle clock and no more than half before it; nine of ten by the late one."""
    ahead = shop(job("one", 200, promise=1020.0), job("two", 90), people=1)
    played = play(ahead)
    for place, told in enumerate(open_odds(ahead)):
        ready = played.ready[0, :, place]
        assert told.person == "a" and (told.odds is None) == (place == 1)
        # Of 64 clocks in order half lies between the 32nd and the 33rd, nine tenths between the 57th and the 58th: the later counts.
        for clock, runs, number in (
            (told.middle, ready, 33),
            (told.late, ready, 58),
            (told.start, played.start[0, :, place], 33),
            (told.end, played.end[0, :, place], 33),
        ):
            assert sum(one < clock for one in runs) < number <= sum(one <= clock for one in runs)
        if told.odds is not None:
            assert told.odds == sum(one <= 1020.0 for one in ready) / 64


def test_what_is_begun_goes_on_before_what_is_promised_sooner():
    """The shop's own rule: the begun bike first, then the earliest promise."""
    begun = job("begun", used=30.0, used_by="a", promise=5 * DAY)
    soon, later = job("soon", promise=1020.0), job("later", promise=1021.0)
    played = play(shop(later, soon, begun, people=1))
    start = played.start[0].mean(0)
    assert start[2] < start[1] < start[0]


def test_an_empty_shop_promises_an_hour_of_work_for_today():
    """Ten in the morning, nothing else to do: an hour of work is ready by five in all but rare runs."""
    found = promise_odds(shop(), job(), HOURS, 0.8)
    assert found.best is not None
    assert found.best.at in (720.0, 1020.0)
    assert found.days[0] == found.best


def test_a_part_from_tomorrow_on_is_never_promised_for_today():
    """A part that the supplier said for the day after tomorrow: no odds at all before it."""
    found = promise_odds(shop(), job(waits=(Wait("part", "north", 0, 2),)), HOURS, 0.8)
    assert found.best is not None and found.best.at >= 2 * DAY
    assert all(one.odds == 0 for one in found.all_days if one.at < 2 * DAY)


def test_a_night_to_cure_is_a_night_later():
    """With two nights after the work it is never ready before the day after tomorrow opens."""
    found = promise_odds(shop(), job(nights=2), HOURS, 0.8)
    assert found.best is not None and found.best.at >= 2 * DAY
    played = play(shop(), job(nights=2), [1020.0])
    assert played.ready[0, :, 0].min() >= 2 * DAY + OPENS


def test_what_was_done_already_cures_while_the_rest_is_worked_on():
    """Sealed yesterday, cured tomorrow: today's half hour of other work makes it no sooner, and a weekend between no later."""
    played = play(shop(), job(minutes=30, used=10.0, cured_on=1, after=8.0), [1020.0])
    assert played.end[0, :, 0].min() < DAY
    assert played.ready[0, :, 0].min() == DAY + OPENS + 8
    # Asked in the evening: what is left is done tomorrow, and no night is put on top.
    evening = shop(hands=(Hands("a", week(away=(2, 3))),), now=1100.0, stands=1)
    ready = play(evening, job(minutes=10, used=0.0, cured_on=1), [DAY + 1020.0]).ready[0, :, 0]
    assert (ready < DAY + CLOSES).all()
    # Cured on a day on which nobody is in: the next one.
    shut = shop(hands=(Hands("a", week(away=(2, 3))),), stands=1)
    assert play(shut, job(cured_on=2), [5 * DAY]).ready[0, :, 0].min() >= 4 * DAY + OPENS


def test_a_part_that_was_ordered_yesterday_may_come_with_todays_first_round():
    """Before the shop opens it may be here this morning; once the round is over, tomorrow at the soonest. An answer may come all day."""
    for what, now, today in (
        ("part", 480.0, True),
        ("part", 570.0, True),
        ("part", 660.0, False),
        ("owner", 660.0, True),
        ("owner", 1050.0, False),
    ):
        came = play(shop(job(waits=(Wait(what, "", 1),)), now=now)).came[0, :, 0]
        assert (came < DAY).any() == today, (what, now)
        assert (came >= now).all()


def test_where_nobody_is_in_no_day_is_told_and_nothing_breaks():
    """Everybody away for all the days that are looked at: no odds, no turn, and that is why."""
    empty = shop(job("one", promise=1020.0), job("two", waits=(Wait(), Wait("owner", since=2))))
    empty = replace(empty, hands=(Hands("a", [None] * 20),), stands=1)
    assert [one.odds for one in open_odds(empty)] == [0.0, None]
    found = promise_odds(empty, job("new"), HOURS)
    assert found.best is None and any("Nobody is in" in one.words for one in found.reasons)


def test_a_new_job_is_not_promised_out_of_anothers_day():
    """Where today is just full of what is promised for today, the new bike is offered a day that spares them."""
    full = [job(f"{n}", 85, promise=1020.0) for n in range(4)]
    found = promise_odds(shop(*full), job("new", 120), HOURS, 0.8)
    assert found.best is not None and found.best.at > 1020.0
    assert all(one.before - one.after <= 0.1 for one in found.others)
    # Taken in for noon all the same, it costs them: that is seen.
    before, after = (
        play(shop(*full), job("new", 120), [promise]).ready[0, :, :4] for promise in (None, 720.0)
    )
    assert (after <= 1020).mean() < (before <= 1020).mean() - 0.05


def test_bikes_that_come_later_may_go_before():
    """A busy counter lowers the odds of a day that lies ahead; nothing that came later is forgotten."""
    ahead = shop(*(job(f"{n}", 200, promise=2 * DAY + 1020) for n in range(5)))
    busy = replace(ahead, learned=ShopTaught(coming=ComingIn(2000.0, 200.0)))
    quiet_odds, busy_odds = (np.mean([one.odds for one in open_odds(asked)]) for asked in (ahead, busy))
    assert busy_odds < quiet_odds - 0.05


def full_shop(open_jobs: int, behind: float, a_day: float, days: int = 20) -> ShopAhead:
    """So many jobs, promised a day ahead of what two people can do; *a_day* bikes come in, promised two days ahead at *behind* minutes."""
    jobs = tuple(job(f"{n}", 100, promise=(n // 5 + 1) * DAY + 1020) for n in range(open_jobs))
    past = tuple(PastJob(100, lead, queue=behind) for lead in (1.2, 1.9, 2.5, 3.1))
    hands = tuple(Hands(name, week(days)) for name in "ab")
    return shop(*jobs, hands=hands, learned=ShopTaught(coming=ComingIn(a_day * 100, 100.0, past)))


@pytest.mark.parametrize(("done_a_day", "longer"), [(600.0, 10 / 3), (800.0, 0.0)])
def test_later_bikes_are_promised_by_the_queue_that_they_meet(done_a_day: float, longer: float):
    """800 minutes come in a day: where 600 are done, a bike of ten days on is promised by a third of a day a day more; else as ever."""
    coming = ComingIn(8000.0, 1000.0, tuple(PastJob(100, one, queue=2000.0) for one in (1.2, 1.9, 2.5, 3.1)))
    opens = [(day * DAY + OPENS, day * DAY + CLOSES) for day in range(20)]
    later = draw_later(coming, opens, OPENS, 2000.0, np.full((256, 20), done_a_day), np.random.default_rng(1))
    leads = [
        (later.promise - later.came)[(later.came >= day * DAY) & (later.came < (day + 1) * DAY)].mean() / DAY
        for day in (0, 10)
    ]
    assert leads[1] - leads[0] == pytest.approx(longer, abs=0.4)


def test_the_queue_is_counted_in_usual_minutes():
    """What the jobs here may take at most moves no later bike's promise; what they usually take does, by so much of a day's work."""

    def promised(usual: float, most: float) -> np.ndarray:
        past = tuple(PastJob(100, lead, queue=500.0) for lead in (1.2, 1.9, 2.5, 3.1))
        jobs = tuple(JobAhead(f"{n}", (50.0, usual, most)) for n in range(10))
        ahead = shop(*jobs, learned=ShopTaught(coming=ComingIn(300.0, 100.0, past)))
        hours = hours_of(ahead.hands, AtBikes(0.9, 0.0, 0.0), ahead.runs, np.random.default_rng(1))
        drawn = draw(ahead, jobs, hours)
        return drawn.rank[:, len(jobs) :][np.isfinite(drawn.came[:, len(jobs) :])]

    few = promised(100, 170)
    assert few.size > 100
    assert np.array_equal(few, promised(100, 900))
    assert promised(200, 900).mean() > few.mean() + 0.5 * DAY


def test_a_bike_whose_part_comes_overnight_is_begun_the_next_morning():
    """Bikes of before waited one open day, or none: none that waits is begun before the doors open the day after."""
    opens = [(day * DAY + OPENS, day * DAY + CLOSES) for day in range(20)]
    for wait in (0, 1):
        coming = ComingIn(3000.0, 1000.0, (PastJob(100, 2.0, wait=wait, queue=0.0),))
        later = draw_later(coming, opens, OPENS, 0.0, np.full((64, 20), 600.0), np.random.default_rng(1))
        there = np.isfinite(later.came) & (later.came < 19 * DAY)
        came, ready = later.came[there], later.ready[there]
        by_hand = (np.floor(came / DAY) + 1) * DAY + OPENS if wait else came
        assert there.sum() > 100 and np.array_equal(ready, by_hand)


@pytest.mark.parametrize(
    ("open_jobs", "behind", "a_day"), [(30, 3000.0, 8.0), (12, 1200.0, 3.0), (40, 4000.0, 5.0)]
)
def test_the_day_is_the_first_of_all_that_does(open_jobs: int, behind: float, a_day: float):
    """Looking ever finer finds what looking at each hour by itself finds, near or far."""
    ahead, new = full_shop(open_jobs, behind, a_day), job("new", 60)
    own = len(ahead.jobs)
    for hour in (one for one in HOURS if one > ahead.now):
        played = play(ahead, new, [hour, None], _promise._until(ahead, hour))
        stand = _promise._standing(ahead, played)
        if (played.ready[0, :, own] <= hour).mean() >= 0.8 and _promise._spares(stand[1], stand[0]):
            break
    found = promise_odds(ahead, new, HOURS, 0.8).best
    assert found is not None and found.at == hour


@pytest.mark.parametrize(
    ("jobs", "told"),
    [(0, "1.5 times its minutes on the stand, as the trade has it"), (1, "by 1 done job and the trade's"), (20, "as 20 done jobs tell")],
)  # fmt: skip
def test_what_minutes_rest_on_is_said_as_it_is(jobs: int, told: str):
    """Own jobs count from the first on: what is drawn to them is not called the trade's."""
    minutes = learn_minutes([DoneJob(60, 180, "", "a")] * jobs)
    ahead = shop(learned=ShopTaught(minutes=minutes))
    words = " ".join(reason.words for reason in promise_odds(ahead, job("new"), HOURS, 0.8).reasons)
    assert told in words


def test_work_of_no_time_ends_when_it_is_begun():
    """At opening, and not at the closing of the day before."""
    hands = [Hands("a", week(3))]
    hours = hours_of(hands, AtBikes(0.9, 0.0, 0.0), 1, np.random.default_rng(1))
    one = np.zeros(1, int)
    assert done_at(hours, one, one, np.array([DAY + OPENS]), np.array([0.0])) == DAY + OPENS


def test_a_bike_has_a_day_behind_the_queue_of_an_overfull_shop():
    """More comes in than two people do: there is a day at 8 in 10 all the same, behind what is here and not before it."""
    found = promise_odds(full_shop(30, 100 * 30, 8.0), job("new", 60), HOURS, 0.8)
    assert found.best is not None and found.best.odds >= 0.8


def test_a_full_shop_says_so_and_names_the_day_that_holds_if_nothing_goes_before():
    """Habit promises two days ahead whatever stands here: no day at 8 in 10; with nothing sooner there is one."""
    found = promise_odds(full_shop(30, 100 * 90, 9.0), job("new", 60), HOURS, 0.8)
    assert found.best is None and found.is_full
    assert found.if_none_sooner is not None and found.if_none_sooner.odds >= 0.8
    assert all(one.odds < 0.8 for one in found.all_days if one.at >= 2 * DAY)


def test_what_hangs_on_a_hand_or_a_part_is_no_full_shop():
    """Nobody does wheels, or a part that is said for the last day: the queue is not why."""
    alone = replace(shop(), hands=(Hands("a", week(), frozenset({"wheels"})),))
    for ahead, new in (
        (alone, job(needs=frozenset({"wheels"}))),
        (shop(), job(waits=(Wait("part", "", 0, 19),))),
    ):
        found = promise_odds(ahead, new, HOURS, 0.95)
        assert found.best is None and not found.is_full and found.if_none_sooner is None


def test_work_for_more_weeks_than_are_looked_at_has_no_day_at_all():
    """Two hundred bikes promised behind one another, six days looked at: full, and no day even if nothing more comes in."""
    jobs = tuple(job(f"{n}", 100, promise=(n // 6 + 1) * DAY + 1020) for n in range(200))
    found = promise_odds(shop(*jobs), job("new", 100), [DAY * n + 1020 for n in range(6)], 0.8)
    assert found.best is None and found.is_full and found.if_none_sooner is None


def test_time_used_tells_of_the_time_that_is_left():
    """Five hours into an hour's work some of it is still left; an hour's work that has just begun takes about its minutes here."""
    fresh, long = (play(shop(job(used=used, used_by="a"), people=1)) for used in (0.0, 300.0))
    left = [np.median(one.end[0, :, 0] - one.start[0, :, 0]) for one in (fresh, long)]
    assert 60 * 1.5 * 0.8 < left[0] < 60 * 1.5 * 1.5
    assert 0.02 * 300 <= left[1] < 120


def test_a_job_past_nine_in_ten_has_grown():
    """The 90 % point of an hour's work by the trade's minutes: 60 x 1.5 x exp(1.2816 x spread)."""
    known = StandMinutes()
    edge = 60 * 1.5 * np.exp(1.2815515655446004 * known.job_spread((42, 60, 102)))
    assert not is_grown(edge - 0.1, job(), known)
    assert is_grown(edge + 0.1, job(), known)


def test_a_kind_of_work_and_a_person_are_told_apart():
    """Two hundred drawn jobs: bleeds take half as long again here, one person is a fifth quicker; both within 0.08."""
    rng = np.random.default_rng(7)
    kinds, people = {"bleed": 0.4, "chain": 0.0, "tyre": -0.1, "wheel": 0.1}, {"a": 0.0, "b": -0.2}
    done = []
    for n in range(400):
        kind, person = list(kinds)[n % 4], "ab"[n // 4 % 2]
        took = 50 * np.exp(0.4 + kinds[kind] + people[person] + 0.3 * rng.normal())
        done.append(DoneJob(50, float(took), kind, person))
    found = learn_minutes(done)
    for kind, off in kinds.items():
        for person, pace in people.items():
            assert found.middle(kind, person) == pytest.approx(0.4 + off + pace, abs=0.12)


def test_one_wild_job_hardly_moves_the_shop():
    """A bike whose clock ran over the weekend is left out; one slow job counts as one."""
    calm = learn_minutes([DoneJob(60, 90, "k", "a")] * 20)
    assert learn_minutes([*[DoneJob(60, 90, "k", "a")] * 20, DoneJob(60, 4000, "k", "a")]) == calm


def test_a_supplier_is_known_by_its_own_days():
    """Twenty deliveries after five days: five days is what it takes, whatever the others do."""
    found = learn_waiting({"slow": [5.0] * 20, "quick": [1.0] * 20})
    assert found.suppliers["slow"].chances()[3] > 0.8
    assert found.suppliers["quick"].chances()[0] > 0.8


def test_what_cannot_be_told_is_said():
    """Nobody with the skill: no day; fewer than twenty jobs: the trade's minutes, spread wide."""
    alone = replace(shop(), hands=(Hands("a", week(), frozenset({"wheels"})),))
    found = promise_odds(alone, job(needs=frozenset({"wheels"})), HOURS)
    assert found.best is None
    words = " ".join(one.words for one in found.reasons)
    assert "Nobody here does wheels" in words and "as the trade has it: no job is done here yet" in words


def test_what_is_out_of_sense_is_refused_in_a_sentence():
    """Odds, minutes, stands and hours."""
    with pytest.raises(InputRefused, match=r"0\.5 to 0\.99 is possible"):
        promise_odds(shop(), job(), HOURS, 1.0)
    with pytest.raises(InputRefused, match="no open hour ahead"):
        promise_odds(shop(), job(), [10.0])
    with pytest.raises(InputRefused, match="must not fall"):
        play(shop(JobAhead("one", (50, 40, 60))))
    with pytest.raises(InputRefused, match="no stand"):
        play(replace(shop(), stands=0))
    with pytest.raises(InputRefused, match="end before they begin"):
        play(replace(shop(), hands=(Hands("a", [(900.0, 800.0)]),)))
