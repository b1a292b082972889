"""The country of the workshop and its open days."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Two fields that may be empty."""

    dependencies = [("records", "0009_tables_not_seen")]
    operations = [
        migrations.AddField("workshop", "country", models.CharField(blank=True, max_length=2)),
        migrations.AddField("workshop", "open_days", models.JSONField(blank=True, default=dict)),
    ]
