"""Digests of requests of earlier releases go: they were unkeyed, so that a PIN could be found by trying guesses against them."""

from typing import Any

from django.db import migrations

_SENTENCE = "what was written down is not changed or removed: add a correction"


def forget(apps: Any, schema_editor: Any) -> None:
    """Empty the digests; an old mark that comes again is refused as used, never carried out twice."""
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute("ALTER TABLE records_event DISABLE TRIGGER event_only_added")
        schema_editor.execute("UPDATE records_event SET fingerprint = ''")
        schema_editor.execute("ALTER TABLE records_event ENABLE TRIGGER event_only_added")
        return
    schema_editor.execute("DROP TRIGGER event_no_update")
    schema_editor.execute("UPDATE records_event SET fingerprint = ''")
    schema_editor.execute(
        "CREATE TRIGGER event_no_update BEFORE UPDATE ON records_event "
        f"BEGIN SELECT RAISE(ABORT, '{_SENTENCE}'); END"
    )


def nothing(apps: Any, schema_editor: Any) -> None:
    """What was forgotten is not brought back."""


class Migration(migrations.Migration):
    """Empty digests; no column changes."""

    dependencies = [("records", "0014_money_askings_and_bills")]
    operations = [migrations.RunPython(forget, nothing)]
