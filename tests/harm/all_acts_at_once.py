"""Every act of the job screens, by eight tablets at the same moment: four taps of one form, four people with a form each.

Says as JSON how each ended. Run as a program: `python -m tests.harm.all_acts_at_once FROM STEP` takes each STEPth act.
"""

import json
import os
import sys
from collections import Counter
from collections.abc import Callable
from threading import Barrier, Thread

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinchbolt.serving.settings")
TAPS, PEOPLE = 4, 4


def main(first: int, step: int) -> None:
    """Play every act once."""
    import django

    django.setup()
    from django.conf import settings

    from pinchbolt.serving.migrating import migrate

    settings.ALLOWED_HOSTS.append("testserver")
    migrate()
    from pinchbolt.records.models import Workshop
    from tests import story
    from tests.bench.job_screens.acts import ACTS

    seen = {}
    for act in ACTS[first::step]:
        arrived = story.checked_in("gravel-1x")
        Workshop.objects.update(stands=99)
        seen[act.name] = _at_once(*act.ready(arrived))
        _off_every_stand()
    json.dump(seen, sys.stdout)


def _at_once(address: str, data: dict[str, object]) -> dict[str, object]:
    """How eight tablets were answered, and how often what one form's mark says is written down."""
    from pinchbolt.records.models import Event

    mark = str(data["key"])
    keys = [mark] * TAPS + [f"{mark[:50]}-p{number}" for number in range(PEOPLE)]
    ends = _together([lambda key=key: _sent(address, {**data, "key": key}) for key in keys])  # type: ignore[misc]
    written = Event.objects.filter(key=mark).count()
    return {"taps": Counter(ends[:TAPS]), "people": Counter(ends[TAPS:]), "written": written}


def _sent(address: str, data: dict[str, object]) -> int:
    from tests.bench.job_screens.conftest import client_of

    client = client_of("ines")
    client.raise_request_exception = False
    return int(client.post(address, data).status_code)


def _together(acts: list[Callable[[], int]]) -> list[int]:
    from django.db import connections

    line, ends = Barrier(len(acts)), [0] * len(acts)

    def one(number: int) -> None:
        line.wait()
        try:
            ends[number] = acts[number]()
        except Exception:
            ends[number] = 599
        finally:
            connections.close_all()

    hands = [Thread(target=one, args=[number]) for number in range(len(acts))]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()
    return ends


def _off_every_stand() -> None:
    """The next act finds an empty workshop: each bike leaves, as an end of the story that no test looks at."""
    from pinchbolt.records.models import Event, Job

    for job in Job.objects.exclude(events__kind="called off"):
        event = job.events.order_by("-pk")[0]
        if not job.events.filter(kind="handed over").exists():
            Event.objects.create(
                at=event.at,
                by=event.by,
                kind="called off",
                key=f"end-{job.pk:06d}",
                fingerprint="",
                job=job,
                bike=job.bike,
                said={},
            )


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
