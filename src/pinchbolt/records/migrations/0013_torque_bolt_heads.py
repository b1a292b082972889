"""What turns a joint's bolt, its thread, and the part that brought it: another part has another bolt; a tool's own arm."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

_SENTENCE = "what was written down is not changed or removed: add a correction"


def nothing(apps: Any, schema_editor: Any) -> None:
    """On the way forth the table keeps its triggers: the new fields may be empty, so it is not built anew."""


def guard(apps: Any, schema_editor: Any) -> None:
    """On the way back SQLite may build the table anew, and its triggers are gone with the old one."""
    if schema_editor.connection.vendor == "postgresql":
        return
    for act in ("UPDATE", "DELETE"):
        schema_editor.execute(
            f"CREATE TRIGGER IF NOT EXISTS bolt_no_{act.lower()} BEFORE {act} ON records_bolt "
            f"BEGIN SELECT RAISE(ABORT, '{_SENTENCE}'); END"
        )


class Migration(migrations.Migration):
    """Fields alone; nothing that was written is touched."""

    dependencies = [
        ('records', '0012_rides_owners_things'),
    ]

    operations = [
        # First, so that it comes last on the way back.
        migrations.RunPython(nothing, guard),
        migrations.AddField(
            model_name='bolt',
            name='on_part',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='bolts_read', to='records.part'),
        ),
        migrations.AddField(
            model_name='bolt',
            name='drive',
            field=models.CharField(blank=True, max_length=40, null=True),
        ),
        migrations.AddField(
            model_name='bolt',
            name='thread',
            field=models.CharField(blank=True, max_length=20, null=True),
        ),
        migrations.AddField(
            model_name='tool',
            name='arm_mm',
            field=models.FloatField(blank=True, null=True),
        ),
    ]
