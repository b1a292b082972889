"""Warranties, claims and what came of them; photos kept beside what they prove. Three tables that are only added to, one of photos."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

_TABLES = ("warranty", "claim", "claimmove")
_SENTENCE = "what was written down is not changed or removed: add a correction"


def add(apps: Any, schema_editor: Any) -> None:
    """Add the triggers, which stand aside while an owner is erased; the function that they call on PostgreSQL is there since 0002."""
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
                "WHEN NOT EXISTS (SELECT 1 FROM records_erasing) "
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
    """Four tables and their triggers; nothing that was written is touched."""

    dependencies = [
        ('records', '0030_now'),
    ]

    operations = [
        migrations.CreateModel(
            name='Claim',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('broke', models.CharField(max_length=400)),
                ('day', models.DateField()),
                ('instrument', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='claims', to='records.instrument')),
                ('part', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='claims', to='records.part')),
                ('tool', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='claims', to='records.tool')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('instrument__isnull', True), ('part__isnull', False), ('tool__isnull', True)), models.Q(('instrument__isnull', True), ('part__isnull', True), ('tool__isnull', False)), models.Q(('instrument__isnull', False), ('part__isnull', True), ('tool__isnull', True)), _connector='OR'), name='claim_of_one_thing')],
            },
        ),
        migrations.CreateModel(
            name='ClaimMove',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('state', models.CharField(max_length=20)),
                ('words', models.CharField(blank=True, max_length=200)),
                ('answer_by', models.DateField(blank=True, null=True)),
                ('claim', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='moves', to='records.claim')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('state__in', ('sent', 'granted', 'refused', 'dropped'))), name='claim_state_known')],
            },
        ),
        migrations.CreateModel(
            name='ProofPhoto',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='proof', serialize=False, to='records.event')),
                ('words', models.CharField(blank=True, max_length=200)),
                ('jpeg', models.BinaryField()),
                ('claim', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='proofs', to='records.claim')),
            ],
        ),
        migrations.CreateModel(
            name='Warranty',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='records.event')),
                ('bought', models.DateField(blank=True, null=True)),
                ('seller', models.CharField(blank=True, max_length=120)),
                ('months', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('for_life', models.BooleanField(default=False)),
                ('words', models.CharField(blank=True, max_length=200)),
                ('instrument', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='warranties', to='records.instrument')),
                ('part', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='warranties', to='records.part')),
                ('tool', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='warranties', to='records.tool')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('instrument__isnull', True), ('part__isnull', False), ('tool__isnull', True)), models.Q(('instrument__isnull', True), ('part__isnull', True), ('tool__isnull', False)), models.Q(('instrument__isnull', False), ('part__isnull', True), ('tool__isnull', True)), _connector='OR'), name='warranty_of_one_thing'), models.CheckConstraint(condition=models.Q(('months__isnull', True), ('for_life', False), _connector='OR'), name='warranty_months_or_life')],
            },
        ),
        migrations.RunPython(add, remove),
    ]
