"""What is known of an owner, consent with its day, merging, erasing; owners are found by one narrow row each."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

from pinchbolt.values.plain_words import figures, plain, run_together

# Where words of an owner, or about them, may stand: emptied, or taken out, only inside the one transaction that erases.
_ERASED_FROM = (
    "event", "distance", "finding", "line", "answer", "listcheck", "donevalue", "roundtick", "notseen", "partdescription",
    "complaintclosed", "ride", "rideplace",
)
_SENTENCE = "what was written down is not changed or removed: add a correction"
_UNLESS = "WHEN NOT EXISTS (SELECT 1 FROM records_erasing) "
_FUNCTION = (
    "CREATE OR REPLACE FUNCTION records_only_added() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {unless}"
    f"RAISE EXCEPTION '{_SENTENCE}' USING ERRCODE = 'integrity_constraint_violation'; END $$"
)
_WHILE_ERASING = (
    "IF EXISTS (SELECT 1 FROM records_erasing) THEN IF TG_OP = 'DELETE' THEN RETURN OLD; END IF; RETURN NEW; END IF; "
)


def open_for_erasing(apps: Any, schema_editor: Any) -> None:
    """Let the triggers stand aside while an owner is being erased."""
    _triggers(schema_editor, _UNLESS, _WHILE_ERASING)


def shut(apps: Any, schema_editor: Any) -> None:
    """The triggers as they were."""
    _triggers(schema_editor, "", "")


def _triggers(schema_editor: Any, when: str, first: str) -> None:
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(_FUNCTION.format(unless=first))
        return
    for table in _ERASED_FROM:
        for act in ("UPDATE", "DELETE"):
            schema_editor.execute(f"DROP TRIGGER IF EXISTS {table}_no_{act.lower()}")
            schema_editor.execute(
                f"CREATE TRIGGER {table}_no_{act.lower()} BEFORE {act} ON records_{table} {when}"
                f"BEGIN SELECT RAISE(ABORT, '{_SENTENCE}'); END"
            )


def look_ups(apps: Any, schema_editor: Any) -> None:
    """Write down the words by which each owner is found."""
    rows = []
    for owner in apps.get_model("records", "Owner").objects.prefetch_related("bikes").iterator(2000):
        name = plain(owner.name).split()
        words = [*name, "".join(name) if len(name) > 1 else "", figures(owner.phone)]
        for bike in owner.bikes.all():
            words += [run_together(bike.tag), run_together(bike.frame_number), *plain(bike.words).split()]
        rows.append((owner.pk, f" {' '.join(filter(None, words))} "))
    look_up = apps.get_model("records", "LookUp")
    look_up.objects.bulk_create([look_up(owner_id=pk, words=words) for pk, words in rows], batch_size=2000)


def nothing(apps: Any, schema_editor: Any) -> None:
    """The rows go with their table."""


class Migration(migrations.Migration):
    """New tables, and fields that may be empty or have a plain default; no guarded table is built anew."""

    dependencies = [("records", "0017_bill_buyers")]

    operations = [
        migrations.CreateModel(
            name='Erasing',
            fields=[
                ('owner', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, primary_key=True, serialize=False, to='records.owner')),
            ],
        ),
        migrations.CreateModel(
            name='LookUp',
            fields=[
                ('owner', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, primary_key=True, related_name='look_up', serialize=False, to='records.owner')),
                ('words', models.TextField()),
            ],
        ),
        migrations.AddField(
            model_name='bike',
            name='came_with',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='bikes_brought', to='records.owner'),
        ),
        migrations.AddField(
            model_name='owner',
            name='address',
            field=models.CharField(blank=True, default='', max_length=300),
        ),
        migrations.AddField(
            model_name='owner',
            name='belongs_to',
            field=models.CharField(blank=True, default='', max_length=120),
        ),
        migrations.AddField(
            model_name='owner',
            name='called',
            field=models.CharField(blank=True, default='', max_length=60),
        ),
        migrations.AddField(
            model_name='owner',
            name='erased_at',
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='owner',
            name='language',
            field=models.CharField(blank=True, default='', max_length=40),
        ),
        migrations.AddField(
            model_name='owner',
            name='may_say_yes',
            field=models.CharField(blank=True, default='', max_length=200),
        ),
        migrations.AddField(
            model_name='owner',
            name='merged_into',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='merged', to='records.owner'),
        ),
        migrations.AddField(
            model_name='owner',
            name='not_after',
            field=models.CharField(blank=True, default='', max_length=5),
        ),
        migrations.AddField(
            model_name='owner',
            name='not_before',
            field=models.CharField(blank=True, default='', max_length=5),
        ),
        migrations.AddField(
            model_name='owner',
            name='note',
            field=models.TextField(blank=True, default=''),
        ),
        migrations.AddField(
            model_name='owner',
            name='their_number',
            field=models.CharField(blank=True, default='', max_length=60),
        ),
        migrations.AddField(
            model_name='owner',
            name='ways',
            field=models.JSONField(blank=True, default=list),
        ),
        migrations.CreateModel(
            name='OwnerWords',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='owner_words', serialize=False, to='records.event')),
                ('changes', models.JSONField(default=dict)),
                ('owner', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='words', to='records.owner')),
            ],
        ),
        migrations.CreateModel(
            name='Consent',
            fields=[
                ('event', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='consent', serialize=False, to='records.event')),
                ('about', models.CharField(max_length=20)),
                ('by_way', models.CharField(max_length=20)),
                ('yes', models.BooleanField()),
                ('day', models.DateField()),
                ('how', models.CharField(max_length=40)),
                ('owner', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='consents', to='records.owner')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('about__in', ('call-backs', 'news'))), name='consent_about_known'), models.CheckConstraint(condition=models.Q(('by_way__in', ('text', 'e-mail', 'letter', 'phone'))), name='consent_way_known')],
            },
        ),
        migrations.RunPython(look_ups, nothing),
        migrations.RunPython(open_for_erasing, shut),
    ]
