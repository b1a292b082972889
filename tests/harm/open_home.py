"""Brings the home folder that it is told of to today's tables and says as JSON what is in it. Run as a program."""

import json
import os
import sys

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinchbolt.serving.settings")


def main() -> None:
    """Migrate, forth, or where the argument is "twice" forth, back and forth again; then tell of every bike."""
    import django

    django.setup()
    from django.core.management import call_command

    from pinchbolt.records.models import Bike, Event
    from pinchbolt.workshop.acts.one_look import one_look
    from pinchbolt.workshop.bikes.build_sheet import parts_on
    from pinchbolt.workshop.torque.torque_sheet import joint_view

    steps = ["0007", "0005", "0007"] if sys.argv[1:] == ["twice"] else ["0007"]
    for step in steps:
        call_command("migrate", "records", step, verbosity=0)
    call_command("migrate", verbosity=0)
    last = Event.objects.order_by("-pk")[0].at
    told = {}
    with one_look():
        for bike in Bike.objects.order_by("tag"):
            parts = [[part.kind, part.place, part.start_facts] for part in parts_on(bike)]
            windows = {}
            for joint in bike.joints:
                seen = joint_view(joint, bike, None, last.date())
                windows[joint] = [seen.window.cap if seen.window else seen.refused, list(seen.markings)]
            told[bike.tag] = {"facts": bike.facts, "parts": parts, "windows": windows}
    sys.stdout.write(json.dumps(told))


if __name__ == "__main__":
    main()
