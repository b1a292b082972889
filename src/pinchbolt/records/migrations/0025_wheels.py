"""What is said of wheels, read at their spokes, turned and broken; and a tension meter's table. Seven tables that are only added to."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

_TABLES = ("wheelsaid", "wheelreading", "nippleturn", "spokesheard", "brokenspoke", "metertable", "metercheck")
_SENTENCE = "what was written down is not changed or removed: add a correction"


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


class Migration(migrations.Migration):
    """Seven tables and their triggers; nothing that was written is touched."""

    dependencies = [
        ('records', '0024_gives_percent'),
    ]

    operations = [
        migrations.CreateModel(
            name='MeterCheck',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('spoke_kind', models.CharField(max_length=60)),
                ('mass_kg', models.FloatField()),
                ('shown', models.FloatField()),
                ('out', models.FloatField()),
                ('good', models.BooleanField()),
                ('words', models.CharField(max_length=200)),
                ('day', models.DateField()),
                ('tool', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='meter_checks', to='records.tool')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='MeterTable',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('spoke_kind', models.CharField(max_length=60)),
                ('points', models.JSONField(default=list)),
                ('tool', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='meter_tables', to='records.tool')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='SpokesHeard',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('pitches', models.JSONField(default=dict)),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='spokes_heard', to='records.job')),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='spokes_heard', to='records.part')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='WheelSaid',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('facts', models.JSONField(default=dict)),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='wheel_said', to='records.part')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='BrokenSpoke',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('spoke', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('at', models.CharField(max_length=20)),
                ('distance_km', models.FloatField(blank=True, null=True)),
                ('known', models.CharField(blank=True, max_length=20)),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='broken_spokes', to='records.part')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('at__in', ('elbow', 'thread', 'middle', 'nipple', 'rim hole', 'hub flange'))), name='spoke_broke_at_known')],
            },
        ),
        migrations.CreateModel(
            name='NippleTurn',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('spoke', models.PositiveSmallIntegerField()),
                ('quarters', models.SmallIntegerField()),
                ('reading', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='nipples_turned', to='records.event')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('quarters__gte', -12), ('quarters__lte', 12)), name='quarters_sane')],
            },
        ),
        migrations.CreateModel(
            name='WheelReading',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('how', models.CharField(max_length=20)),
                ('spokes', models.JSONField(default=list)),
                ('dish', models.FloatField(blank=True, null=True)),
                ('tension_sd', models.FloatField(default=45.0)),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='wheel_readings', to='records.job')),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='wheel_readings', to='records.part')),
                ('tool', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='wheels', to='records.tool')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('how__in', ('meter', 'newton', 'ear'))), name='wheel_read_how_known')],
            },
        ),
        migrations.RunPython(add, remove),
    ]
