"""How much of a job a person may give away by themselves."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """One column; nobody is bounded until somebody says so."""

    dependencies = [("records", "0023_owners_erased_from_wanted")]
    operations = [
        migrations.AddField(
            model_name="person",
            name="gives_percent",
            field=models.PositiveSmallIntegerField(blank=True, null=True),
        )
    ]
