"""Bolts of a tool are counted from an act on: the act stands before the joint, so that a tool's earlier years are not gone through."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Indexes alone; the triggers that guard the rows stay."""

    dependencies = [("records", "0033_counted_in_order")]
    operations = [
        migrations.RemoveIndex(model_name="donevalue", name="bolts_of_a_tool"),
        migrations.RemoveIndex(model_name="roundtick", name="tries_of_a_tool"),
        migrations.AddIndex(
            model_name="donevalue",
            index=models.Index(fields=["tool", "event", "joint"], name="bolts_since_an_act"),
        ),
        migrations.AddIndex(
            model_name="roundtick",
            index=models.Index(fields=["tool", "event", "joint"], name="tries_since_an_act"),
        ),
    ]
