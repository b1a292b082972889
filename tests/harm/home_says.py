"""Says as JSON what a home folder holds, through the doors that people use. Run as a program: PINCHBOLT_HOME names the home.

What the release that made a stored home said of it lies beside it; a later release must say the same after its migrations.
"""

import json
import os
import sys
from datetime import datetime
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinchbolt.serving.settings")

# Tables of the framework: what they hold follows from the models, not from anybody's work.
_OF_THE_FRAMEWORK = ("django_", "auth_", "axes_", "sqlite_")


def home_says() -> dict[str, Any]:
    """Return counts of rows and what the doors say of each bike and job, on the day of the last event."""
    from pinchbolt.records.models import Bike, Event, Job
    from pinchbolt.workshop.stays.note_finding import findings_of

    now = Event.objects.order_by("-at").values_list("at", flat=True)[0]
    return {
        "counts": _counts(),
        "bikes": {bike.tag: _bike_says(bike, now) for bike in Bike.objects.order_by("tag")},
        "jobs": {
            str(job.pk): {str(seen.id): seen.verdict for seen in findings_of(job)}
            for job in Job.objects.order_by("pk")
        },
    }


def _counts() -> dict[str, int]:
    from django.db import connection

    with connection.cursor() as cursor:
        names = [
            name
            for name in connection.introspection.table_names(cursor)
            if not name.startswith(_OF_THE_FRAMEWORK)
        ]
        counts = {}
        for name in sorted(names):
            cursor.execute(f"SELECT count(*) FROM {connection.ops.quote_name(name)}")
            counts[name] = int(cursor.fetchone()[0])
    return counts


def _bike_says(bike: Any, now: datetime) -> dict[str, Any]:
    from pinchbolt.records.models import Marking
    from pinchbolt.workshop.bikes.build_sheet import build_of
    from pinchbolt.workshop.bikes.joint_names import joint_names
    from pinchbolt.workshop.common.checks import local_day
    from pinchbolt.workshop.leaving.bike_sheet import bike_sheet
    from pinchbolt.workshop.leaving.sign_off import items_for
    from pinchbolt.workshop.stays.walk_round import walk_round
    from pinchbolt.workshop.torque.torque_sheet import joint_view

    sheet, job = bike_sheet(bike.tag, now), bike.jobs.order_by("-pk")[0]
    # A joint that was put on a torque sheet by hand and marked there is on no build sheet.
    marked = Marking.objects.filter(bike=bike).exclude(joint="").values_list("joint", flat=True)
    windows = {}
    joints = joint_names(build_of(bike))
    for name in sorted({*joints, *marked}):
        seen = joint_view(name, bike, None, local_day(now))
        windows[name] = [seen.window.floor, seen.window.cap] if seen.window else seen.refused
    # What no fit rule looks at is told of its part alone.
    of_parts = {name: value for part in sheet.parts for name, value in part.specification.items()}
    return {
        "facts": {**of_parts, **sheet.facts},
        "joints": sorted(joints),
        "parts": {str(part.id): [part.kind, part.place] for part in sheet.parts},
        "km": {str(part.id): round(part.km, 6) for part in sheet.parts if part.km is not None},
        "verdicts": {
            str(part.id): {seen.limit: seen.verdict for seen in part.last}
            for part in sheet.parts
            if part.last
        },
        "windows": windows,
        "items": sorted(item.id for item in items_for(job.bike)),
        "readings": sorted(
            f"{due.part} {due.limit}" for place in walk_round(job, now) for due in place.readings
        ),
    }


def main() -> None:
    """Bring the home up to this release where asked, and print what it holds."""
    import django

    django.setup()
    from pinchbolt.serving.migrating import migrate, open_steps
    from pinchbolt.workshop.acts.one_look import one_look

    if sys.argv[1:] == ["migrate"]:
        migrate()
    assert not open_steps(), "the home is of another release"
    with one_look():
        said = home_says()
    json.dump(said, sys.stdout, indent=1, sort_keys=True)


if __name__ == "__main__":
    main()
