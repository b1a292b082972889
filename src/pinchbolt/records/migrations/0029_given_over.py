"""A bike may change hands: a stay says whose the bike was then, where it is somebody else's by now."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    """One column; every stay so far is of whoever has the bike."""

    dependencies = [("records", "0028_parts_stock")]
    operations = [
        migrations.AddField(
            model_name="job",
            name="owner",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="stays_before",
                to="records.owner",
            ),
        )
    ]
