"""Words at wanted parts may name their owner: erasing reaches them too."""

from typing import Any

from django.db import migrations

_TABLES = ("wantedpart", "wantedmove")
_SENTENCE = "what was written down is not changed or removed: add a correction"


def _triggers(schema_editor: Any, when: str) -> None:
    # On PostgreSQL the one function of all triggers asks since 0018.
    if schema_editor.connection.vendor == "postgresql":
        return
    for table in _TABLES:
        for act in ("UPDATE", "DELETE"):
            schema_editor.execute(f"DROP TRIGGER IF EXISTS {table}_no_{act.lower()}")
            schema_editor.execute(
                f"CREATE TRIGGER {table}_no_{act.lower()} BEFORE {act} ON records_{table} {when}"
                f"BEGIN SELECT RAISE(ABORT, '{_SENTENCE}'); END"
            )


def open_for_erasing(apps: Any, schema_editor: Any) -> None:
    """Let the triggers stand aside while an owner is being erased."""
    _triggers(schema_editor, "WHEN NOT EXISTS (SELECT 1 FROM records_erasing) ")


def shut(apps: Any, schema_editor: Any) -> None:
    """The triggers as they were."""
    _triggers(schema_editor, "")


class Migration(migrations.Migration):
    """Triggers alone; no column changes."""

    dependencies = [("records", "0022_screw_sockets")]
    operations = [migrations.RunPython(open_for_erasing, shut)]
