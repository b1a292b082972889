"""Parts wanted, suppliers, bins as moves, earlier tags; minutes and price of a line by hand."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

_ADDED_TO = ("line",)
_NEW = ("earliertag", "wantedpart", "wantedmove", "binmove")
_SENTENCE = "what was written down is not changed or removed: add a correction"
_BEFORE = "counted before"


def add(apps: Any, schema_editor: Any) -> None:
    """Add the triggers of the new tables; the function that they call on PostgreSQL is there since 0002."""
    for table in _NEW:
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
    for table in _NEW:
        if schema_editor.connection.vendor == "postgresql":
            schema_editor.execute(f"DROP TRIGGER {table}_only_added ON records_{table}")
            continue
        for act in ("update", "delete"):
            schema_editor.execute(f"DROP TRIGGER {table}_no_{act}")


def count_before(apps: Any, schema_editor: Any) -> None:
    """Each count of a bin becomes its first move: nobody wrote down how it came about."""
    moves = apps.get_model("records", "BinMove")
    counted = apps.get_model("records", "BinPart").objects.exclude(count=0).values_list("pk", "count")
    moves.objects.bulk_create(
        (moves(part_id=part, count=count, why=_BEFORE) for part, count in counted.iterator()), batch_size=500
    )


def nothing(apps: Any, schema_editor: Any) -> None:
    """On the way forth lines keep their triggers: the new fields may be empty, so no table is built anew."""


def guard(apps: Any, schema_editor: Any) -> None:
    """On the way back SQLite may build the tables anew, and their triggers are gone with the old ones."""
    if schema_editor.connection.vendor == "postgresql":
        return
    for table in _ADDED_TO:
        for act in ("UPDATE", "DELETE"):
            schema_editor.execute(
                f"CREATE TRIGGER IF NOT EXISTS {table}_no_{act.lower()} BEFORE {act} ON records_{table} "
                f"BEGIN SELECT RAISE(ABORT, '{_SENTENCE}'); END"
            )


class Migration(migrations.Migration):
    """New tables, and fields that may be empty; a count below 0 is allowed; nothing that was written is touched."""

    dependencies = [("records", "0018_owners")]

    operations = [
        # First, so that it comes last on the way back.
        migrations.RunPython(nothing, guard),
        migrations.AddField(
            model_name='line',
            name='own_minutes',
            field=models.PositiveSmallIntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='line',
            name='own_price',
            field=models.DecimalField(blank=True, decimal_places=2, max_digits=9, null=True),
        ),
        migrations.CreateModel(
            name='Supplier',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=120, unique=True)),
                ('phone', models.CharField(blank=True, max_length=40)),
                ('how', models.CharField(blank=True, max_length=200)),
                ('our_number', models.CharField(blank=True, max_length=60)),
                ('days', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('note', models.CharField(blank=True, max_length=400)),
            ],
        ),
        migrations.AddField(
            model_name='binpart',
            name='low_mark',
            field=models.PositiveSmallIntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='binpart',
            name='order_up_to',
            field=models.PositiveSmallIntegerField(blank=True, null=True),
        ),
        migrations.AlterField(
            model_name='binpart',
            name='count',
            field=models.IntegerField(default=0),
        ),
        migrations.CreateModel(
            name='BinMove',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('count', models.IntegerField()),
                ('why', models.CharField(max_length=40)),
                ('event', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='bin_moves', to='records.event')),
                ('line', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='bin_moves', to='records.line')),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='moves', to='records.binpart')),
            ],
        ),
        migrations.CreateModel(
            name='EarlierTag',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('tag', models.CharField(db_index=True, max_length=12)),
                ('bike', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='earlier_tags', to='records.bike')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='WantedPart',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('part', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('words', models.CharField(max_length=200)),
                ('count', models.PositiveSmallIntegerField(default=1)),
                ('number', models.CharField(blank=True, max_length=60)),
                ('bin_part', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='wanted', to='records.binpart')),
                ('job', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='wanted', to='records.job')),
                ('line', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='wanted', to='records.line')),
            ],
        ),
        migrations.CreateModel(
            name='WantedMove',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('state', models.CharField(max_length=20)),
                ('price', models.DecimalField(blank=True, decimal_places=2, max_digits=8, null=True)),
                ('due', models.DateField(blank=True, null=True)),
                ('count', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('words', models.CharField(blank=True, max_length=200)),
                ('supplier', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='moves', to='records.supplier')),
                ('wanted', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='moves', to='records.wantedpart')),
            ],
        ),
        migrations.AddConstraint(
            model_name='wantedpart',
            constraint=models.CheckConstraint(condition=models.Q(('count__gte', 1)), name='wanted_counted'),
        ),
        migrations.AddConstraint(
            model_name='wantedmove',
            constraint=models.CheckConstraint(condition=models.Q(('state__in', ('ordered', 'late', 'arrived', 'from the bins', 'wrong', 'sent back', 'credited', 'kept for the bins', 'given to the owner', 'not wanted', 'fitted'))), name='wanted_state_known'),
        ),
        migrations.CreateModel(
            name='Photo',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='photo', serialize=False, to='records.event')),
                ('about', models.CharField(max_length=20)),
                ('jpeg', models.BinaryField()),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='photos', to='records.job')),
            ],
        ),
        migrations.RunPython(count_before, migrations.RunPython.noop),
        migrations.RunPython(add, remove),
    ]
