"""The database itself refuses to change or remove an event or its typed side."""

from typing import Any

from django.db import migrations

_TABLES = (
    "event",
    "distance",
    "marking",
    "reading",
    "finding",
    "line",
    "answer",
    "donevalue",
    "listcheck",
    "instrumentcheck",
    "toolcheck",
)
_SENTENCE = "what was written down is not changed or removed: add a correction"


def add(apps: Any, schema_editor: Any) -> None:
    """Add the triggers, in the database's own dialect."""
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(
            "CREATE FUNCTION records_only_added() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN RAISE EXCEPTION '{_SENTENCE}' USING ERRCODE = 'integrity_constraint_violation'; END $$"
        )
        for table in _TABLES:
            schema_editor.execute(
                f"CREATE TRIGGER {table}_only_added BEFORE UPDATE OR DELETE ON records_{table} "
                "FOR EACH ROW EXECUTE FUNCTION records_only_added()"
            )
        return
    for table in _TABLES:
        for act in ("UPDATE", "DELETE"):
            schema_editor.execute(
                f"CREATE TRIGGER {table}_no_{act.lower()} BEFORE {act} ON records_{table} "
                f"BEGIN SELECT RAISE(ABORT, '{_SENTENCE}'); END"
            )


def remove(apps: Any, schema_editor: Any) -> None:
    """Take the triggers away again."""
    if schema_editor.connection.vendor == "postgresql":
        for table in _TABLES:
            schema_editor.execute(f"DROP TRIGGER {table}_only_added ON records_{table}")
        schema_editor.execute("DROP FUNCTION records_only_added()")
        return
    for table in _TABLES:
        for act in ("update", "delete"):
            schema_editor.execute(f"DROP TRIGGER {table}_no_{act}")


class Migration(migrations.Migration):
    """Triggers on every event table."""

    dependencies = [("records", "0001_first")]
    operations = [migrations.RunPython(add, remove)]
