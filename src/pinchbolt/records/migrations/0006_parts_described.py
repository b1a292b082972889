"""What is known of a part and how, corners looked at, where a part went, markings of a part; two tables more are only added to."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

_TABLES = ("partdescription", "cornercheck")
_SENTENCE = "what was written down is not changed or removed: add a correction"
_SOURCES = ("read off the part", "measured", "maker's sheet", "records", "owner's word", "template", "guess")
_GONE_TO = ("moved", "bins", "owner", "scrap", "never there")


def add(apps: Any, schema_editor: Any) -> None:
    """Add the triggers; the function that they call on PostgreSQL is there since 0002."""
    for table in _TABLES:
        if schema_editor.connection.vendor == "postgresql":
            schema_editor.execute(
                f"CREATE TRIGGER {table}_only_added BEFORE UPDATE OR DELETE ON records_{table} "
                "FOR EACH ROW EXECUTE FUNCTION records_only_added()"
            )
            continue
        for act in ("UPDATE", "DELETE"):
            schema_editor.execute(
                f"CREATE TRIGGER {table}_no_{act.lower()} BEFORE {act} ON records_{table} "
                f"BEGIN SELECT RAISE(ABORT, '{_SENTENCE}'); END"
            )


def remove(apps: Any, schema_editor: Any) -> None:
    """Take the triggers away again."""
    for table in _TABLES:
        if schema_editor.connection.vendor == "postgresql":
            schema_editor.execute(f"DROP TRIGGER {table}_only_added ON records_{table}")
            continue
        for act in ("update", "delete"):
            schema_editor.execute(f"DROP TRIGGER {table}_no_{act}")


def nothing(apps: Any, schema_editor: Any) -> None:
    """On the way forth the table of markings keeps its triggers: its new field may be empty, so it is not built anew."""


def guard_markings(apps: Any, schema_editor: Any) -> None:
    """On the way back SQLite builds the table of markings anew, and its triggers are gone with the old one."""
    if schema_editor.connection.vendor == "postgresql":
        return
    for act in ("UPDATE", "DELETE"):
        schema_editor.execute(
            f"CREATE TRIGGER IF NOT EXISTS marking_no_{act.lower()} BEFORE {act} ON records_marking "
            f"BEGIN SELECT RAISE(ABORT, '{_SENTENCE}'); END"
        )


class Migration(migrations.Migration):
    """Two tables, their triggers, and fields that may be empty (so that the table of markings keeps its triggers)."""

    dependencies = [
        ('records', '0005_rides'),
    ]

    operations = [
        # First, so that it comes last on the way back.
        migrations.RunPython(nothing, guard_markings),
        migrations.AddField(
            model_name='part',
            name='start_facts',
            field=models.JSONField(blank=True, default=dict),
        ),
        migrations.AddField(
            model_name='fitting',
            name='gone_to',
            field=models.CharField(blank=True, default='', max_length=12),
        ),
        migrations.AddConstraint(
            model_name='fitting',
            constraint=models.CheckConstraint(condition=models.Q(('gone_to', ''), models.Q(('gone_to__in', _GONE_TO), ('end__isnull', False)), _connector='OR'), name='gone_only_where_it_ended'),
        ),
        migrations.AddField(
            model_name='marking',
            name='on_part',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='markings', to='records.part'),
        ),
        migrations.RemoveConstraint(
            model_name='binpart',
            name='bin_place_known',
        ),
        migrations.AlterField(
            model_name='binpart',
            name='place',
            field=models.CharField(blank=True, max_length=20),
        ),
        migrations.AddField(
            model_name='binpart',
            name='used_part',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='bin_part', to='records.part'),
        ),
        migrations.AddConstraint(
            model_name='binpart',
            constraint=models.CheckConstraint(condition=models.Q(('used_part__isnull', True), ('count__lte', 1), _connector='OR'), name='a_used_part_is_one_piece'),
        ),
        migrations.CreateModel(
            name='PartDescription',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('facts', models.JSONField(default=dict)),
                ('source', models.CharField(max_length=20)),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='descriptions', to='records.part')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('source__in', _SOURCES)), name='description_source_known')],
            },
        ),
        migrations.CreateModel(
            name='CornerCheck',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('corner', models.CharField(max_length=40)),
                ('bike', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='corner_checks', to='records.bike')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.RunPython(add, remove),
    ]
