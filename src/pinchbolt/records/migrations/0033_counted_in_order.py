"""What is asked in an order lies in it: bolts of a tool by joint, call-backs and stays by day."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Indexes alone; the triggers that guard the rows stay."""

    dependencies = [("records", "0032_one_a_bike")]
    operations = [
        migrations.RemoveIndex(model_name="donevalue", name="done_with_a_tool"),
        migrations.RemoveIndex(model_name="roundtick", name="tried_with_a_tool"),
        migrations.AddIndex(
            model_name="donevalue",
            index=models.Index(fields=["tool", "joint", "event"], name="bolts_of_a_tool"),
        ),
        migrations.AddIndex(
            model_name="roundtick",
            index=models.Index(fields=["tool", "joint", "event"], name="tries_of_a_tool"),
        ),
        migrations.AddIndex(
            model_name="job", index=models.Index(fields=["opened_at"], name="stays_by_day")
        ),
        migrations.AlterField(model_name="bikecallback", name="day", field=models.DateField()),
        migrations.AddIndex(
            model_name="bikecallback",
            index=models.Index(fields=["day", "event"], name="call_backs_by_day"),
        ),
    ]
