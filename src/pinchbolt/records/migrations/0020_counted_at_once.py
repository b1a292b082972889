"""Indexes by which a tool's bolts are counted without reading every bolt ever tightened."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Two indexes; nothing that was written changes."""

    dependencies = [("records", "0019_parts_and_tags")]
    operations = [
        migrations.AddIndex(
            model_name="donevalue",
            index=models.Index(fields=["tool", "event", "joint"], name="done_with_a_tool"),
        ),
        migrations.AddIndex(
            model_name="roundtick",
            index=models.Index(fields=["tool", "event", "joint"], name="tried_with_a_tool"),
        ),
    ]
