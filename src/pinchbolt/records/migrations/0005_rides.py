"""Rides as files told them, and which bike each counts for; both tables are only added to."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

_TABLES = ("ride", "rideplace")
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
    """Two tables and their triggers."""

    dependencies = [
        ('records', '0004_bins_and_trainers'),
    ]

    operations = [
        migrations.CreateModel(
            name='Ride',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('digest', models.CharField(max_length=64)),
                ('number', models.PositiveIntegerField()),
                ('form', models.CharField(max_length=4)),
                ('start', models.DateTimeField(db_index=True)),
                ('day', models.DateField()),
                ('elapsed_s', models.FloatField()),
                ('moving_s', models.FloatField()),
                ('distance_m', models.FloatField()),
                ('distance_from', models.CharField(max_length=10)),
                ('ascent_m', models.FloatField(blank=True, null=True)),
                ('descent_m', models.FloatField(blank=True, null=True)),
                ('energy_kj', models.FloatField(blank=True, null=True)),
                ('work_kj', models.FloatField(blank=True, null=True)),
                ('indoor', models.BooleanField(blank=True, null=True)),
                ('device', models.CharField(blank=True, max_length=120)),
                ('device_mark', models.CharField(blank=True, max_length=16)),
                ('damaged', models.JSONField(blank=True, default=list)),
                ('double_of', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='doubles', to='records.ride')),
                ('event', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='rides', to='records.event')),
                ('owner', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='rides', to='records.owner')),
            ],
        ),
        migrations.CreateModel(
            name='RidePlace',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('how', models.CharField(max_length=30)),
                ('bike', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='ride_places', to='records.bike')),
                ('event', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='ride_places', to='records.event')),
                ('ride', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='places', to='records.ride')),
                ('trainer', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='ride_places', to='records.trainer')),
            ],
        ),
        migrations.AddConstraint(
            model_name='ride',
            constraint=models.UniqueConstraint(fields=('digest', 'number'), name='a_ride_comes_in_once'),
        ),
        migrations.AddConstraint(
            model_name='ride',
            constraint=models.CheckConstraint(condition=models.Q(('distance_m__gte', 0), ('distance_m__lte', 3000000), ('elapsed_s__gte', 0), ('moving_s__gte', 0)), name='ride_sums_sane'),
        ),
        migrations.RunPython(add, remove),
    ]
