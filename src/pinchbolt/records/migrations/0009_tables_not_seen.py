"""Looks that could not be had, and items of the safety list that could not be seen."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

_SENTENCE = "what was written down is not changed or removed: add a correction"


def _guard(schema_editor: Any, table: str) -> None:
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(
            f"CREATE TRIGGER {table}_only_added BEFORE UPDATE OR DELETE ON records_{table} "
            "FOR EACH ROW EXECUTE FUNCTION records_only_added()"
        )
        return
    for act in ("UPDATE", "DELETE"):
        schema_editor.execute(
            f"CREATE TRIGGER IF NOT EXISTS {table}_no_{act.lower()} BEFORE {act} ON records_{table} "
            f"BEGIN SELECT RAISE(ABORT, '{_SENTENCE}'); END"
        )


def nothing(apps: Any, schema_editor: Any) -> None:
    """The list's own table keeps its triggers: the new field may be empty, so it is not built anew."""


def guard_again(apps: Any, schema_editor: Any) -> None:
    """On the way back SQLite builds the list's table anew, and its triggers are gone with the old one."""
    if schema_editor.connection.vendor != "postgresql":
        _guard(schema_editor, "listcheck")


def guard(apps: Any, schema_editor: Any) -> None:
    """Add the triggers of the new table; the function that they call on PostgreSQL is there since 0002."""
    _guard(schema_editor, "notseen")


class Migration(migrations.Migration):
    """One table with its triggers, one field; nothing that was written is touched."""

    dependencies = [
        ('records', '0008_whose_rides'),
    ]

    operations = [
        # First, so that it comes last on the way back.
        migrations.RunPython(nothing, guard_again),
        migrations.AddField(
            model_name='listcheck',
            name='unseen',
            field=models.BooleanField(blank=True, null=True),
        ),
        migrations.CreateModel(
            name='NotSeen',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('limit', models.CharField(max_length=60)),
                ('why', models.CharField(max_length=20)),
                ('words', models.CharField(blank=True, max_length=200)),
                ('leaves', models.BooleanField(default=False)),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='not_seen', to='records.job')),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='not_seen', to='records.part')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.RunPython(guard, nothing),
    ]
