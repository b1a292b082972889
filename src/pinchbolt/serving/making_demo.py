"""The invented workshop on disk: loaded once into a home of its own, thrown away when a fresh one is asked for."""

import json
import os
import shutil
from dataclasses import asdict

from pinchbolt.errors import NotPossibleNow
from pinchbolt.serving.home import home_folder, in_the_demo, invented_people_file
from pinchbolt.values.wording import worded


def make_the_demo() -> int:
    """Load the invented workshop, and write down for its sign-in page who is in it; return the number of bikes."""
    from django.utils import timezone

    from pinchbolt.workshop.demo import load_demo

    loaded = load_demo(timezone.now())
    told = json.dumps([asdict(one) for one in loaded.people], ensure_ascii=False, indent=1)
    path = invented_people_file()
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        file.write(told)
    return loaded.bikes


def throw_the_demo_away() -> None:
    """Remove the home folder of the invented workshop, and no other one.

    Raises:
        NotPossibleNow: This process does not work in the demo.
    """
    if not in_the_demo():
        raise NotPossibleNow(
            worded("Only the invented workshop can be thrown away: this is a workshop's own home folder.")
        )
    shutil.rmtree(home_folder(), ignore_errors=True)
