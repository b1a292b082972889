"""Eight people do the same thing at the same moment, again and again; says as JSON what came of it. Run as a program."""

import json
import os
import sys
from collections import Counter
from collections.abc import Callable
from threading import Barrier, Thread

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinchbolt.serving.settings")
HANDS = 8
MARK = "the-same-mark-{}"


def main(rounds: int) -> None:
    """Play every race so many times."""
    import django

    django.setup()
    from django.db import connections

    from pinchbolt.errors import PinchboltError
    from pinchbolt.records.models import Workshop
    from pinchbolt.serving.migrating import migrate
    from tests import story

    def together(acts: list[Callable[[], object]]) -> Counter[str]:
        """How these acts ended, all begun at once: 'done', the name of a refusal, or of an error that is ours."""
        line, ends = Barrier(len(acts)), []

        def one(act: Callable[[], object]) -> None:
            line.wait()
            try:
                act()
                ends.append("done")
            except PinchboltError as refusal:
                ends.append(type(refusal).__name__)
            except Exception as error:
                ends.append(f"ERROR {type(error).__name__}: {error}"[:200])
            finally:
                connections.close_all()

        hands = [Thread(target=one, args=[act]) for act in acts]
        for hand in hands:
            hand.start()
        for hand in hands:
            hand.join()
        return Counter(ends)

    migrate()
    story.open_shop()
    Workshop.objects.update(stands=12)
    seen: dict[str, list[tuple[Counter[str], int]]] = {}
    for number in range(rounds):
        for name, race in RACES.items():
            acts, after = race(number)
            seen.setdefault(name, []).append((together(acts), after()))
    json.dump(seen, sys.stdout)


def _arrivals(number: int) -> tuple[list[Callable[[], object]], Callable[[], int]]:
    """Eight new bikes: eight jobs, eight tags."""
    from pinchbolt.records.models import Bike

    before = Bike.objects.count()
    acts = [_arrival(f"arrival-{number}-{hand}") for hand in range(HANDS)]
    return acts, lambda: Bike.objects.count() - before


def _arrival(key: str, tag: str = "") -> Callable[[], object]:
    from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
    from tests.story import NOW

    asked = CheckInRequest(tag=tag) if tag else CheckInRequest(template="child", owner_name="Pip Farrow")
    return lambda: check_in(asked, by=_somebody(), key=key, now=NOW)


def _somebody() -> int:
    from pinchbolt.records.models import Person

    return int(Person.objects.order_by("pk")[0].pk)


def _double_taps(number: int) -> tuple[list[Callable[[], object]], Callable[[], int]]:
    """One new bike by one mark, eight times: one bike."""
    from pinchbolt.records.models import Bike

    before = Bike.objects.count()
    return [_arrival(MARK.format(number))] * HANDS, lambda: Bike.objects.count() - before


def _one_bike(number: int) -> tuple[list[Callable[[], object]], Callable[[], int]]:
    """One known bike by eight people: one open job."""
    from pinchbolt.records.models import Job
    from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
    from tests import story

    at = story.checked_in("child")
    hand_over(HandOverRequest(at.job, True, as_unsafe=True), by=at.first, key=at.key(), now=story.NOW)
    acts = [_arrival(f"again-{number}-{hand}", at.tag) for hand in range(HANDS)]
    return acts, lambda: Job.objects.filter(bike__tag=at.tag).count() - 1


def _leaving(number: int) -> tuple[list[Callable[[], object]], Callable[[], int]]:
    """One job is handed over by eight people: once."""
    from pinchbolt.records.models import Event
    from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
    from tests import story

    at = story.checked_in("child")
    asked = HandOverRequest(at.job, True, as_unsafe=True)
    acts: list[Callable[[], object]] = [
        lambda hand=hand: hand_over(asked, by=at.first, key=f"leave-{number}-{hand}", now=story.NOW)  # type: ignore[misc]
        for hand in range(HANDS)
    ]
    return acts, lambda: Event.objects.filter(kind="handed over", job=at.job).count()


def _one_stand(number: int) -> tuple[list[Callable[[], object]], Callable[[], int]]:
    """Eight bikes and one stand: one bike on it."""
    from pinchbolt.records.models import Event, Job
    from pinchbolt.workshop.acts.state import job_state
    from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
    from pinchbolt.workshop.stays.start_work import StandRequest, put_on_stand
    from tests import story

    on_it = [job for job in Job.objects.exclude(events__kind="handed over") if job_state(job).stand == 3]
    for job in on_it:
        hand_over(
            HandOverRequest(job.pk, True, as_unsafe=True),
            by=_somebody(),
            key=f"off-{job.pk:05d}",
            now=story.NOW,
        )
    all_here = [story.checked_in("child") for _ in range(HANDS)]
    acts: list[Callable[[], object]] = [
        lambda at=at: put_on_stand(StandRequest(at.job, 3), by=at.first, key=at.key(), now=story.NOW)  # type: ignore[misc]
        for at in all_here
    ]
    jobs = [at.job for at in all_here]
    return acts, lambda: Event.objects.filter(kind="put on stand", job__in=jobs).count()


def _put_right(number: int) -> tuple[list[Callable[[], object]], Callable[[], int]]:
    """One reading is put right by eight people: one correction stands."""
    from pinchbolt.records.models import Event, Part
    from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
    from tests import story

    at = story.checked_in("child")
    chain = Part.objects.filter(fittings__bike=at.record.bike, kind="chain").get()
    limit = story.first_limit(at.tag, chain)
    first = take_reading(
        ReadingRequest(at.job, chain.pk, limit, value=0.3), by=at.first, key=at.key(), now=story.NOW
    )
    acts: list[Callable[[], object]] = [
        lambda hand=hand: take_reading(  # type: ignore[misc]
            ReadingRequest(at.job, chain.pk, limit, value=0.2 + hand / 100, corrects=first.reading),
            by=at.first,
            key=f"right-{number}-{hand}",
            now=story.NOW,
        )
        for hand in range(HANDS)
    ]
    return acts, lambda: Event.objects.filter(corrects=first.reading).count()


RACES = {
    "new bikes": _arrivals,
    "one mark": _double_taps,
    "one known bike": _one_bike,
    "one handover": _leaving,
    "one stand": _one_stand,
    "one correction": _put_right,
}

if __name__ == "__main__":
    main(int(sys.argv[1]))
