"""One open stay a bike, one bike a stand: the database itself lets no second one through."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

_ENDING = ("handed over", "called off", "not collected")
_ON_STAND = ("put on stand", "work started")
_OFF_STAND = ("set aside", "moved", "battery swollen", "signed off")


def fill(apps: Any, schema_editor: Any) -> None:
    """Work it out in the database: an undone correction counts no longer; where records of before name two, the newest has it."""
    event, job = apps.get_model("records", "Event"), apps.get_model("records", "Job")
    undone = event.objects.filter(corrects=models.OuterRef("pk"), kind="undone")
    named = event.objects.filter(corrects=models.OuterRef("pk")).filter(~models.Exists(undone))
    stands = event.objects.filter(~models.Exists(named), job__isnull=False)
    over = set(stands.filter(kind__in=_ENDING).values_list("job_id", flat=True))
    told = job.objects.order_by("pk").values_list("bike_id", "pk")
    here = {bike: pk for bike, pk in told if pk not in over}
    open_jobs = set(here.values())
    moved = stands.filter(kind__in=(*_ON_STAND, *_OFF_STAND)).order_by("pk").only("job_id", "kind", "said")
    last = {row.job_id: row for row in moved.iterator(2000) if row.job_id in open_jobs}
    held = {
        row.said["stand"]: row.job_id
        for row in sorted(last.values(), key=lambda row: row.pk)
        if row.kind in _ON_STAND
    }
    on = {pk: stand for stand, pk in held.items()}
    row_of = apps.get_model("records", "JobHere")
    row_of.objects.bulk_create(
        [row_of(job_id=pk, bike_id=bike, stand=on.get(pk)) for bike, pk in here.items()], batch_size=2000
    )


def nothing(apps: Any, schema_editor: Any) -> None:
    """The rows go with their table."""


class Migration(migrations.Migration):
    """A narrow table that can be written anew at any time, made anew; no guarded one is touched."""

    dependencies = [("records", "0031_proof")]
    operations = [
        migrations.DeleteModel("JobHere"),
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
                ),
                (
                    "bike",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="+", to="records.bike"
                    ),
                ),
                ("stand", models.PositiveIntegerField(null=True, unique=True)),
            ],
        ),
        migrations.RunPython(fill, nothing),
    ]
