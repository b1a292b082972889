"""Bills, tax rates with their first day, papers as they were handed out; place and count of a line; where an answer was asked."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

_ADDED_TO = ("line", "answer")
_NEW = ("bill", "taxrate")
_SENTENCE = "what was written down is not changed or removed: add a correction"


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


def nothing(apps: Any, schema_editor: Any) -> None:
    """On the way forth lines and answers keep their triggers: the new fields may be empty, so no table is built anew."""


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
    """New tables, and fields that may be empty or have a plain default; nothing that was written is touched."""

    dependencies = [
        ('records', '0013_torque_bolt_heads'),
    ]

    operations = [
        # First, so that it comes last on the way back.
        migrations.RunPython(nothing, guard),
        migrations.CreateModel(
            name='Bill',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('year', models.PositiveSmallIntegerField()),
                ('number', models.PositiveIntegerField()),
                ('issued', models.DateField()),
                ('supplied', models.DateField()),
                ('buyer', models.CharField(max_length=120)),
                ('said', models.JSONField()),
            ],
        ),
        migrations.CreateModel(
            name='Paper',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80, unique=True)),
                ('at', models.DateTimeField()),
                ('pdf', models.BinaryField()),
            ],
        ),
        migrations.CreateModel(
            name='SentText',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='sent_text', serialize=False, to='records.event')),
                ('text', models.TextField()),
            ],
        ),
        migrations.CreateModel(
            name='TaxRate',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('tax_class', models.CharField(max_length=20)),
                ('percent', models.DecimalField(decimal_places=2, max_digits=5)),
                ('from_day', models.DateField()),
            ],
        ),
        migrations.AddField(
            model_name='answer',
            name='asking',
            field=models.PositiveSmallIntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='answer',
            name='said_by',
            field=models.CharField(blank=True, max_length=120, null=True),
        ),
        migrations.AddField(
            model_name='line',
            name='count',
            field=models.PositiveSmallIntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='line',
            name='place',
            field=models.CharField(blank=True, max_length=20, null=True),
        ),
        migrations.AddField(
            model_name='workshop',
            name='address',
            field=models.CharField(blank=True, default='', max_length=300),
        ),
        migrations.AddField(
            model_name='workshop',
            name='foot_words',
            field=models.CharField(blank=True, default='', max_length=400),
        ),
        migrations.AddField(
            model_name='workshop',
            name='holds_days',
            field=models.PositiveSmallIntegerField(default=14),
        ),
        migrations.AddField(
            model_name='workshop',
            name='is_registered',
            field=models.BooleanField(default=True),
        ),
        migrations.AddField(
            model_name='workshop',
            name='paper',
            field=models.CharField(default='a4', max_length=6),
        ),
        migrations.AddField(
            model_name='workshop',
            name='phone',
            field=models.CharField(blank=True, default='', max_length=40),
        ),
        migrations.AddField(
            model_name='workshop',
            name='remind_days',
            field=models.PositiveSmallIntegerField(default=3),
        ),
        migrations.AddField(
            model_name='workshop',
            name='tax_number',
            field=models.CharField(blank=True, default='', max_length=40),
        ),
        migrations.AddConstraint(
            model_name='workshop',
            constraint=models.CheckConstraint(condition=models.Q(('paper__in', ['a4', 'letter'])), name='paper_known'),
        ),
        migrations.AddField(
            model_name='bill',
            name='job',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='bills', to='records.job'),
        ),
        migrations.AddField(
            model_name='bill',
            name='reverses',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='reversed_by', to='records.bill'),
        ),
        migrations.AddConstraint(
            model_name='taxrate',
            constraint=models.CheckConstraint(condition=models.Q(('percent__gte', 0), ('percent__lt', 100)), name='tax_rate_sane'),
        ),
        migrations.AddConstraint(
            model_name='bill',
            constraint=models.UniqueConstraint(fields=('year', 'number'), name='bill_number_once'),
        ),
        migrations.AddConstraint(
            model_name='bill',
            constraint=models.CheckConstraint(condition=models.Q(('number__gte', 1)), name='bill_number_from_one'),
        ),
        migrations.RunPython(add, remove),
    ]
