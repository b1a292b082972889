"""What was read on a bolt, the ticks of a bolt round, and a maker's target torque; the two new tables are only added to."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

_TABLES = ("bolt", "roundtick")
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
    """A field that may be empty (so that the table of markings keeps its triggers), two tables, their triggers."""

    dependencies = [
        ('records', '0002_only_ever_added'),
    ]

    operations = [
        migrations.AddField(
            model_name='marking',
            name='target',
            field=models.FloatField(blank=True, null=True),
        ),
        migrations.CreateModel(
            name='Bolt',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('joint', models.CharField(max_length=60)),
                ('property_class', models.CharField(blank=True, max_length=30)),
                ('preparation', models.CharField(blank=True, max_length=30)),
                ('bike', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='bolts', to='records.bike')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='RoundTick',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('joint', models.CharField(max_length=60)),
                ('held', models.BooleanField()),
                ('set_n_m', models.FloatField(blank=True, null=True)),
                ('done_n_m', models.FloatField(blank=True, null=True)),
                ('inside', models.BooleanField()),
                ('words', models.CharField(max_length=300)),
                ('day', models.DateField()),
                ('bike', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='round_ticks', to='records.bike')),
                ('tool', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='round_ticks', to='records.tool')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('done_n_m__isnull', True), models.Q(('done_n_m__gt', 0), ('done_n_m__lte', 300)), _connector='OR'), name='round_tick_sane')],
            },
        ),
        migrations.RunPython(add, remove),
    ]
