"""What was looked at on a walk-round, what the owner complained of; four tables more are only added to."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

_TABLES = ("lookanswer", "toldcomplaint", "complainttest", "complaintclosed")
_SENTENCE = "what was written down is not changed or removed: add a correction"
_ANSWERS = ("sound", "found", "not looked at", "could not see")


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


def _event() -> Any:
    return models.OneToOneField(
        on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name="%(class)s", serialize=False,
        to="records.event",
    )  # fmt: skip


def _to(what: str, name: str, **more: Any) -> Any:
    return models.ForeignKey(
        on_delete=django.db.models.deletion.PROTECT, related_name=name, to=f"records.{what}", **more
    )


class Migration(migrations.Migration):
    """Four tables and their triggers; nothing that was written is touched."""

    dependencies = [
        ('records', '0010_opening'),
    ]

    operations = [
        migrations.CreateModel(
            name='LookAnswer',
            fields=[
                ('event', _event()),
                ('look', models.CharField(max_length=80)),
                ('answer', models.CharField(max_length=20)),
                ('chance', models.FloatField(blank=True, null=True)),
                ('card', _to('event', 'looks_answered')),
                ('job', _to('job', 'look_answers')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('answer__in', _ANSWERS)), name='look_answer_known')],
            },
        ),
        migrations.CreateModel(
            name='ToldComplaint',
            fields=[
                ('event', _event()),
                ('complaint', models.CharField(max_length=60)),
                ('job', _to('job', 'complaints')),
            ],
            options={'abstract': False},
        ),
        migrations.CreateModel(
            name='ComplaintTest',
            fields=[
                ('event', _event()),
                ('split', models.CharField(max_length=60)),
                ('yes', models.BooleanField()),
                ('told', _to('toldcomplaint', 'tests')),
            ],
            options={'abstract': False},
        ),
        migrations.CreateModel(
            name='ComplaintClosed',
            fields=[
                ('event', _event()),
                ('words', models.CharField(blank=True, max_length=200)),
                ('finding', _to('finding', 'complaints_closed', blank=True, null=True)),
                ('told', _to('toldcomplaint', 'closings')),
            ],
            options={'abstract': False},
        ),
        migrations.RunPython(add, remove),
    ]
