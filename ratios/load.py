"""What each page of a grown home costs, beside an empty page of the same framework, and what fifty tablets make of it.

    python -m ratios.load HOME [--often 20] [--tablets 50] [--acts 2000]

Processor time, not the clock: a machine that others use as well would time them. With one tablet a page costs its own
processor time. With fifty, each doing one act every five seconds and looking at the page that answers it, requests wait for one
another: one process answers one request at a time (the interpreter's lock), so the wait follows from the costs that were
measured, drawn by chance from them in the order in which tablets ask.
"""

import argparse
import heapq
import os
import random
import resource
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from functools import partial
from itertools import count, cycle
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

from pinchbolt.serving.seldom_swept import leave_out_what_lasts, search_seldom
from ratios.size import opened

if TYPE_CHECKING:
    from pinchbolt.records.models import Job
    from pinchbolt.workshop.stays.take_reading import ReadingRequest
    from pinchbolt.workshop.stays.walk_round import ReadingDue

EVERY_S = 5.0
# Readings of the stay whose pages are looked at, and rows of the other bike that are read in turn. Own choice, no source.
READ = 8
PAGES: tuple[tuple[str, str], ...] = (
    ("an empty page", "/an-empty-page/"),
    ("sign-in", "/sign-in/"),
    ("shop day", "/"),
    ("find by tag", "/find/?find={tag}"),
    ("find by name", "/find/?find={name}"),
    ("find, not there", "/find/?find=zyxwvu"),
    ("bike", "/bike/{tag}/"),
    ("build sheet", "/bike/{tag}/build/"),
    ("rides", "/bike/{tag}/rides/"),
    ("owner", "/owner/{owner}/"),
    ("check-in", "/check-in/"),
    ("parts wanted", "/parts/"),
    ("bins", "/bins/"),
    ("tool board", "/tools/"),
    ("kit", "/kit/"),
    ("settings", "/settings/"),
    ("not sent yet", "/unsent/"),
    ("walk-round", "/job/{job}/walk-round/"),
    ("a place of it", "/job/{job}/walk-round/{place}/"),
    ("ten minutes", "/job/{job}/looks/"),
    ("findings", "/job/{job}/findings/"),
    ("estimate", "/job/{job}/estimate/"),
    ("job card", "/job/{job}/work/"),
    ("torque sheet", "/job/{job}/work/torque/"),
    ("something came up", "/job/{job}/came-up/"),
    ("photos", "/job/{job}/photos/"),
    ("money", "/job/{job}/money/"),
    ("sign-off", "/job/{job}/sign-off/"),
    ("handover", "/job/{job}/handover/"),
)
# What a tablet does and sees at the bench, and how often of a hundred acts. Own choice, no source.
MIX = (
    ("reading", 30), ("finding", 15), ("a place of it", 25), ("ten minutes", 20), ("job card", 20), ("torque sheet", 15), ("shop day", 20),
    ("findings", 10), ("find by name", 5), ("bike", 10),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Here:
    """A signed-in tablet, the bike whose pages are looked at (`names`), and another one on which acts are written, so that the first
    stays as full as a stay makes it."""

    get: Callable[[str], object]
    person: int
    job: int
    readings: "tuple[ReadingRequest, ...]"
    names: dict[str, object]


def _started(home: Path) -> None:
    """The home as `pinchbolt serve` makes it ready before its first answer."""
    opened(home)
    from pinchbolt.serving.migrating import migrate

    migrate()


def _here(jobs: int) -> Here:
    """So many bikes in the shop; the last one of them is worked on."""
    from django.conf import settings
    from django.http import HttpResponse
    from django.test import Client
    from django.urls import path
    from django.utils import timezone

    from pinchbolt.records.models import Bike, Person, Workshop
    from pinchbolt.serving import urls
    from pinchbolt.workshop.acts.state import jobs_here
    from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
    from pinchbolt.workshop.stays.take_reading import take_reading

    empty = ModuleType("ratios.empty")
    vars(empty).update({name: value for name, value in vars(urls).items() if name.startswith("handler")})
    empty.urlpatterns = [path("an-empty-page/", lambda _: HttpResponse("")), *urls.urlpatterns]  # type: ignore[attr-defined]
    sys.modules["ratios.empty"] = empty
    settings.ROOT_URLCONF = "ratios.empty"
    person = Person.objects.filter(role="mechanic").order_by("pk")[0]
    Workshop.objects.update(stands=max(60, jobs))
    mark = count()
    for bike in Bike.objects.exclude(jobs__here__isnull=False).order_by("-pk")[
        : max(0, jobs - jobs_here().count())
    ]:
        key = f"load-{time.time_ns()}-{next(mark)}"
        check_in(CheckInRequest(tag=bike.tag), by=person.pk, key=key, now=timezone.now())
    job, other = jobs_here().select_related("bike__owner").order_by("-pk")[:2]
    rows = _to_read(job)
    if not job.readings.exists():
        # What a stay brings: pages of a job that nobody read anything on would be cheap.
        for _, due in rows[:READ]:
            key = f"load-{time.time_ns()}-{next(mark)}"
            take_reading(_reading(job.pk, due), by=person.pk, key=key, now=timezone.now())
    tablet = Client(headers={"host": "127.0.0.1"})
    tablet.force_login(person, backend="pinchbolt.serving.sign_in.PassphraseBackend")
    names = {
        "tag": job.bike.tag,
        "job": job.pk,
        "place": rows[0][0],
        "owner": job.bike.owner_id,
        "name": job.bike.owner.name.split()[-1],
    }
    readings = tuple(_reading(other.pk, due) for _, due in _to_read(other)[:READ])
    return Here(tablet.get, person.pk, other.pk, readings, names)


def _to_read(job: "Job") -> "list[tuple[str, ReadingDue]]":
    """What is measured on a bike, with its place of the walk-round."""
    from django.utils import timezone

    from pinchbolt.workshop.stays.walk_round import walk_round

    places = walk_round(job, timezone.now())
    return [
        (place.id, one)
        for place in places
        for one in place.readings
        if one.unit in ("%", "mm") and not one.is_deeper
    ]


def _reading(job: int, due: "ReadingDue") -> "ReadingRequest":
    """A reading a quarter of the usual way along."""
    from pinchbolt.workshop.stays.take_reading import ReadingRequest

    low, high = due.usual
    return ReadingRequest(job, due.part, due.limit, value=low + (high - low) / 4)


def _acts(here: Here) -> dict[str, Callable[[], object]]:
    """Acts by their use case, as every door does them."""
    from django.utils import timezone

    from pinchbolt.workshop.stays.note_finding import FindingRequest, note_finding
    from pinchbolt.workshop.stays.take_reading import take_reading

    mark, readings = count(), cycle(here.readings)

    def named() -> dict[str, object]:
        return {"by": here.person, "key": f"load-act-{time.time_ns()}-{next(mark)}", "now": timezone.now()}

    def read() -> object:
        return take_reading(next(readings), **named())  # type: ignore[arg-type]

    def find() -> object:
        return note_finding(FindingRequest(here.job, "creaks", "keep an eye on it"), **named())  # type: ignore[arg-type]

    return {"reading": read, "finding": find}


def costs(home: Path, often: int, jobs: int) -> dict[str, tuple[list[float], int]]:
    """Processor time of each page and act in milliseconds, and how often the page asks the records."""
    _started(home)
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    here = _here(jobs)
    todo: list[tuple[str, Callable[[], object]]] = [
        (name, partial(here.get, address.format(**here.names))) for name, address in PAGES
    ]
    todo += _acts(here).items()
    # As a server that has run for half an hour: each page was looked at before.
    for _, do in todo:
        do()
    search_seldom()
    leave_out_what_lasts()
    found: dict[str, tuple[list[float], int]] = {}
    for name, do in todo:
        with CaptureQueriesContext(connection) as asked:
            answer = do()
        many = len(asked)
        status = getattr(answer, "status_code", 200)
        if status not in (200, 303, 409):
            raise RuntimeError(f"{name} answered {status}")
        times = []
        for _ in range(often):
            began = time.process_time()
            do()
            times.append((time.process_time() - began) * 1000)
        found[name] = (sorted(times), many)
    return found


def waits(
    of: dict[str, list[float]], tablets: int, acts: int, seed: int = 20
) -> tuple[dict[str, list[float]], float]:
    """Answer times in milliseconds where so many tablets ask of one process, first come first served, and how busy it is."""
    chance = random.Random(seed)
    names, shares = zip(*MIX, strict=True)
    ready = [(chance.random() * EVERY_S * 1000, tablet) for tablet in range(tablets)]
    heapq.heapify(ready)
    free, worked, found = 0.0, 0.0, {name: [] for name in names}  # type: tuple[float, float, dict[str, list[float]]]
    for _ in range(acts):
        at, tablet = heapq.heappop(ready)
        name = chance.choices(names, shares)[0]
        cost = chance.choice(of[name])
        began = max(at, free)
        free, worked = began + cost, worked + cost
        found[name].append(free - at)
        # A tablet that waits for an answer asks no more meanwhile; nobody acts like a clock.
        heapq.heappush(ready, (max(free, at + EVERY_S * 1000 * (0.5 + chance.random())), tablet))
    return {name: sorted(times) for name, times in found.items() if times}, worked / free


def at_share(times: Sequence[float], share: float) -> float:
    """The time that this share of *times* (sorted) does not pass."""
    return times[min(len(times) - 1, int(share * len(times)))]


def show(found: dict[str, tuple[list[float], int]], tablets: int, acts: int) -> None:
    """Print the tables."""
    base = at_share(found["an empty page"][0], 0.5)
    print("| page or act | p50 | p95 | p99 | queries | times an empty page |\n|---|---|---|---|---|---|")
    for name, (times, asked) in found.items():
        p50, p95, p99 = (at_share(times, share) for share in (0.5, 0.95, 0.99))
        print(f"| {name} | {p50:.0f} | {p95:.0f} | {p99:.0f} | {asked} | {p50 / base:.0f} |")
    of = {name: times for name, (times, _) in found.items()}
    waited, busy = waits(of, tablets, acts)
    print(f"\n{tablets} tablets, one act each {EVERY_S:g} s: the process is busy {busy:.0%} of the time\n")
    print("| page or act | p50 | p95 | p99 |\n|---|---|---|---|")
    every = sorted(time for times in waited.values() for time in times)
    for name, times in (*waited.items(), ("all of them", every)):
        print(
            f"| {name} | {at_share(times, 0.5):.0f} | {at_share(times, 0.95):.0f} | {at_share(times, 0.99):.0f} |"
        )


def soak(home: Path, hours: float, say: Callable[[str], object] = print) -> None:
    """Pages and acts without a pause for so many hours of a shop's day; what the process holds, ten times on the way."""
    from django.utils import timezone

    _started(home)
    here = _here(20)
    acts, ask = list(_acts(here).values()), _by_the_server(here)
    addresses = [address.format(**here.names) for _, address in PAGES]
    until, said = timezone.now() + timedelta(hours=hours), 0
    step, began = timedelta(hours=hours) / 10, timezone.now()
    for number in count():
        ask(addresses[number % len(addresses)])
        if number % 25 == 0:
            acts[number // 25 % len(acts)]()
        if timezone.now() >= began + step * said:
            said += 1
            say(
                f"{number:7d} requests, {_held_mb():.0f} MB held, at most {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB"
            )
        if timezone.now() >= until:
            return


def _by_the_server(here: Here) -> Callable[[str], None]:
    """Asks as the server does: the client of the tests keeps three entries of each request for good."""
    from django.core.handlers.wsgi import WSGIHandler
    from django.test import RequestFactory

    kept = here.get.__self__.cookies  # type: ignore[attr-defined]
    cookies = "; ".join(f"{name}={one.value}" for name, one in kept.items())
    application, asked = WSGIHandler(), RequestFactory(headers={"host": "127.0.0.1"}, HTTP_COOKIE=cookies)

    def ask(address: str) -> None:
        answer = application(asked.get(address).environ, lambda *_: None)  # type: ignore[arg-type]
        for _ in answer:
            pass
        answer.close()

    return ask


def _held_mb() -> float:
    """What the process holds in memory now."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


if __name__ == "__main__":
    asked = argparse.ArgumentParser(prog="load", description=__doc__.split("\n")[0])
    asked.add_argument("home", type=Path)
    asked.add_argument("--often", type=int, default=20)
    asked.add_argument("--tablets", type=int, default=50)
    asked.add_argument("--acts", type=int, default=20_000)
    asked.add_argument("--jobs", type=int, default=50)
    asked.add_argument("--soak-hours", type=float, default=0.0)
    told = asked.parse_args()
    if told.soak_hours:
        soak(told.home, told.soak_hours)
    else:
        show(costs(told.home, told.often, told.jobs), told.tablets, told.acts)
