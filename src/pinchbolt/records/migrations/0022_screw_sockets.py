"""How wide the socket in a joint's screw was measured: a rounded one is changed."""

from typing import Any

from django.db import migrations, models

_SENTENCE = "what was written down is not changed or removed: add a correction"


def nothing(apps: Any, schema_editor: Any) -> None:
    """On the way forth the table keeps its triggers: the new field may be empty, so it is not built anew."""


def guard(apps: Any, schema_editor: Any) -> None:
    """On the way back SQLite may build the table anew, and its triggers are gone with the old one."""
    if schema_editor.connection.vendor == "postgresql":
        return
    for act in ("UPDATE", "DELETE"):
        schema_editor.execute(
            f"CREATE TRIGGER IF NOT EXISTS bolt_no_{act.lower()} BEFORE {act} ON records_bolt "
            f"BEGIN SELECT RAISE(ABORT, '{_SENTENCE}'); END"
        )


class Migration(migrations.Migration):
    """A field alone; nothing that was written is touched."""

    dependencies = [("records", "0021_words_and_signing")]

    operations = [
        # First, so that it comes last on the way back.
        migrations.RunPython(nothing, guard),
        migrations.AddField(
            model_name="bolt",
            name="socket_mm",
            field=models.FloatField(blank=True, null=True),
        ),
    ]
