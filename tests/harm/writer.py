"""Takes readings one after the other in a home folder and says each on standard output once it is saved. Run as a program."""

import os
import sys

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinchbolt.serving.settings")


def main() -> None:
    """Check a bike in and read its chain until somebody pulls the plug, or as often as the argument says."""
    import django

    django.setup()
    from django.core.management import call_command

    from pinchbolt.records.models import Part
    from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
    from tests import story

    call_command("migrate", verbosity=0)
    there = story.checked_in("gravel-1x")
    chain = Part.objects.filter(fittings__bike=there.record.bike, kind="chain").get()
    for number in range(int(sys.argv[1])):
        asked = ReadingRequest(there.job, chain.pk, story.first_limit(there.tag, chain), value=0.3)
        taken = take_reading(asked, by=there.first, key=f"cut-{number:06d}", now=story.NOW)
        sys.stdout.write(f"{taken.reading}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
