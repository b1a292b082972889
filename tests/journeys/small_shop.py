"""Sets up a small invented workshop in PINCHBOLT_HOME: two mechanics with a PIN, gauges, every torque tool. Run as a program."""

import os
from datetime import timedelta
from decimal import Decimal

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinchbolt.serving.settings")

import django

django.setup()

from django.core.management import call_command
from django.utils import timezone

from pinchbolt.records.models import Event, Instrument, Person, Tool, ToolCheck, Workshop
from pinchbolt.workshop.common.trade_tables import tables
from tests.journeys.people import NAMES, PASSPHRASE, PINS


def set_up() -> None:
    """Write the workshop, its people and its board."""
    call_command("migrate", verbosity=0)
    Workshop.objects.create(
        name="Mossgate Yard Workshop",
        town="Ostermere",
        labour_an_hour=Decimal("54.00"),
        tax_percent=Decimal("20"),
        stands=3,
    )
    ines = Person.objects.make("ines", NAMES["ines"], "mechanic", PASSPHRASE, PINS["ines"])
    Person.objects.make("marnie", NAMES["marnie"], "owner of the workshop", PASSPHRASE, PINS["marnie"])
    Person.objects.make("tobias", NAMES["tobias"], "mechanic", PASSPHRASE, PINS["tobias"])
    for row in ("chain-gauge-go-nogo", "caliper", "micrometer"):
        Instrument.objects.create(table_id=row, name=tables().instruments[row].name)
    now = timezone.now()
    for row in tables().torque_tools.values():
        tool = Tool.objects.create(table_id=row.id, name=row.name)
        checked = Event.objects.create(
            at=now, by=ines, kind="tool checked", key=f"checked-{row.id}", fingerprint="", said={}
        )
        ToolCheck.objects.create(
            event=checked,
            tool=tool,
            day=now.date() - timedelta(days=30),
            due=now.date() + timedelta(days=330),
            deviation=0.03,
            good=True,
        )


if __name__ == "__main__":
    set_up()
