"""Tokens of programs: named, for looking or for working, ended at any time, kept as digests."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    """One table; tokens of before were kept nowhere and end by themselves within twelve hours."""

    dependencies = [("records", "0025_wheels")]
    operations = [
        migrations.CreateModel(
            name="ApiToken",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(blank=True, max_length=60)),
                ("scope", models.CharField(max_length=10)),
                ("digest", models.CharField(max_length=64, unique=True)),
                ("proof", models.CharField(max_length=64)),
                ("made_at", models.DateTimeField()),
                ("ends_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                ("last_used", models.DateTimeField(blank=True, null=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tokens",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("scope__in", ["look", "work"])), name="token_scope_known"
                    )
                ]
            },
        )
    ]
