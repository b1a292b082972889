"""What is so now, in rows of its own; filled from the events once, kept by the acts from then on."""

from datetime import date
from typing import Any

import django.db.models.deletion
from django.db import migrations, models

_ENDING = ("handed over", "called off", "not collected")


def fill(apps: Any, schema_editor: Any) -> None:
    """Work it out in the database: an undone correction counts no longer."""
    event, job = apps.get_model("records", "Event"), apps.get_model("records", "Job")
    undone = event.objects.filter(corrects=models.OuterRef("pk"), kind="undone")
    named = event.objects.filter(corrects=models.OuterRef("pk")).filter(~models.Exists(undone))
    stands = event.objects.filter(~models.Exists(named))
    over = set(stands.filter(kind__in=_ENDING, job__isnull=False).values_list("job_id", flat=True))
    here = apps.get_model("records", "JobHere")
    here.objects.bulk_create(
        [here(job_id=pk) for pk in job.objects.values_list("pk", flat=True) if pk not in over], batch_size=2000
    )
    newest: dict[int, Any] = {}
    told = stands.filter(kind__in=("call-back set", "checked in"), bike__isnull=False).order_by("pk")
    for row in told.only("bike_id", "kind", "said", "at").iterator(2000):
        newest[row.bike_id] = row
    back = apps.get_model("records", "BikeCallBack")
    back.objects.bulk_create(
        [
            back(bike_id=bike, event_id=row.pk, day=date.fromisoformat(row.said["day"]), at=row.at)
            for bike, row in newest.items()
            if row.kind == "call-back set"
        ],
        batch_size=2000,
    )


def nothing(apps: Any, schema_editor: Any) -> None:
    """The rows go with their tables."""


class Migration(migrations.Migration):
    """Two narrow tables; no guarded one is touched."""

    dependencies = [("records", "0029_given_over")]
    operations = [
        migrations.CreateModel(
            name="JobHere",
            fields=[
                (
                    "job",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="here",
                        serialize=False,
                        to="records.job",
                    ),
                )
            ],
        ),
        migrations.CreateModel(
            name="BikeCallBack",
            fields=[
                (
                    "bike",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="call_back",
                        serialize=False,
                        to="records.bike",
                    ),
                ),
                ("day", models.DateField(db_index=True)),
                ("at", models.DateTimeField()),
                (
                    "event",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="+", to="records.event"
                    ),
                ),
            ],
        ),
        migrations.RunPython(fill, nothing),
    ]
