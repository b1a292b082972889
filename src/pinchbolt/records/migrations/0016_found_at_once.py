"""An index by which the newest act of a kind on a bike is found without reading all that ever was."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """One index on the event log; nothing that was written changes."""

    dependencies = [("records", "0015_no_guessing")]
    operations = [
        migrations.AddIndex(
            model_name="event",
            index=models.Index(fields=["bike", "kind", "id"], name="event_of_bike_by_kind"),
        )
    ]
