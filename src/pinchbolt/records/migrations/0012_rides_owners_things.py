"""Hooks on an owner's wall, whose a trainer is, what a bike's display showed, and how sure it is which bike a ride was on."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

_SENTENCE = "what was written down is not changed or removed: add a correction"


def add(apps: Any, schema_editor: Any) -> None:
    """Add the triggers; the function that they call on PostgreSQL is there since 0002."""
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(
            "CREATE TRIGGER display_only_added BEFORE UPDATE OR DELETE ON records_display "
            "FOR EACH ROW EXECUTE FUNCTION records_only_added()"
        )
        return
    _guard(schema_editor, "display")


def remove(apps: Any, schema_editor: Any) -> None:
    """Take the triggers away again."""
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute("DROP TRIGGER display_only_added ON records_display")
        return
    for act in ("update", "delete"):
        schema_editor.execute(f"DROP TRIGGER display_no_{act}")


def nothing(apps: Any, schema_editor: Any) -> None:
    """On the way forth rides' places keep their triggers: the new field may be empty, so the table is not built anew."""


def guard_places(apps: Any, schema_editor: Any) -> None:
    """On the way back SQLite may build the table anew, and its triggers are gone with the old one."""
    if schema_editor.connection.vendor != "postgresql":
        _guard(schema_editor, "rideplace")


def _guard(schema_editor: Any, table: str) -> None:
    for act in ("UPDATE", "DELETE"):
        schema_editor.execute(
            f"CREATE TRIGGER IF NOT EXISTS {table}_no_{act.lower()} BEFORE {act} ON records_{table} "
            f"BEGIN SELECT RAISE(ABORT, '{_SENTENCE}'); END"
        )


_THINGS = ("bike", "wheel", "trainer", "peg")


def _on_one_thing() -> models.Q:
    """Fitted to one thing, and to no other."""
    found = models.Q()
    for thing in _THINGS:
        found |= models.Q(**{f"{one}__isnull": one != thing for one in _THINGS})
    return found


class Migration(migrations.Migration):
    """Two tables, three fields; nothing that was written is touched."""

    dependencies = [
        ('records', '0011_look_answers'),
    ]

    operations = [
        # First, so that it comes last on the way back.
        migrations.RunPython(nothing, guard_places),
        migrations.AddField(
            model_name='rideplace',
            name='sure',
            field=models.FloatField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='trainer',
            name='owner',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='trainers', to='records.owner'),
        ),
        migrations.CreateModel(
            name='Peg',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('words', models.CharField(max_length=120)),
                ('owner', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='pegs', to='records.owner')),
            ],
        ),
        migrations.CreateModel(
            name='Display',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('what', models.CharField(max_length=20)),
                ('value', models.FloatField()),
                ('day', models.DateField()),
                ('bike', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='displays', to='records.bike')),
            ],
            options={
                'constraints': [
                    models.CheckConstraint(condition=models.Q(('what__in', ('odometer', 'motor hours', 'charge cycles'))), name='display_shows_what_is_known'),
                    models.CheckConstraint(condition=models.Q(('value__gte', 0), ('value__lte', 1000000)), name='display_sane'),
                ],
            },
        ),
        migrations.RemoveConstraint(
            model_name='fitting',
            name='fitted_to_one_thing',
        ),
        migrations.AddField(
            model_name='fitting',
            name='peg',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='fittings', to='records.peg'),
        ),
        migrations.AddConstraint(
            model_name='fitting',
            constraint=models.CheckConstraint(condition=_on_one_thing(), name='fitted_to_one_thing'),
        ),
        migrations.RunPython(add, remove),
    ]
