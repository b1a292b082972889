"""Whose a ride is from here on, what it was at the same time as, its sport in words; and since when an owner says that a part is on."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

_TABLES = ("ride", "rideplace")
_SENTENCE = "what was written down is not changed or removed: add a correction"


def nothing(apps: Any, schema_editor: Any) -> None:
    """On the way forth both tables keep their triggers: the new fields may be empty, so no table is built anew."""


def guard(apps: Any, schema_editor: Any) -> None:
    """On the way back SQLite may build the tables anew, and their triggers are gone with the old ones."""
    if schema_editor.connection.vendor == "postgresql":
        return
    for table in _TABLES:
        for act in ("UPDATE", "DELETE"):
            schema_editor.execute(
                f"CREATE TRIGGER IF NOT EXISTS {table}_no_{act.lower()} BEFORE {act} ON records_{table} "
                f"BEGIN SELECT RAISE(ABORT, '{_SENTENCE}'); END"
            )


class Migration(migrations.Migration):
    """Fields alone; nothing that was written is touched."""

    dependencies = [
        ('records', '0007_facts_of_parts'),
    ]

    operations = [
        # First, so that it comes last on the way back.
        migrations.RunPython(nothing, guard),
        migrations.AddField(
            model_name='ride',
            name='sport',
            field=models.CharField(blank=True, max_length=60, null=True),
        ),
        migrations.AddField(
            model_name='rideplace',
            name='owner',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='ride_places', to='records.owner'),
        ),
        migrations.AddField(
            model_name='rideplace',
            name='beside',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='places_beside', to='records.ride'),
        ),
        migrations.AddField(
            model_name='fitting',
            name='since_said',
            field=models.CharField(blank=True, default='', max_length=12),
        ),
        migrations.AddField(
            model_name='fitting',
            name='seen_from',
            field=models.DateField(blank=True, null=True),
        ),
    ]
