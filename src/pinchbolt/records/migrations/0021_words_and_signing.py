"""The shop's own words, a second place for backups, the first list put away, and who may sign off."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Fields with a value from the start: whoever worked here could sign off."""

    dependencies = [("records", "0020_counted_at_once")]
    operations = [
        migrations.AddField("workshop", "words", models.JSONField(blank=True, default=dict)),
        migrations.AddField("workshop", "backup_place", models.CharField(blank=True, default="", max_length=300)),
        migrations.AddField("workshop", "first_list_away", models.BooleanField(default=False)),
        migrations.AddField("person", "may_sign", models.BooleanField(default=True)),
    ]
