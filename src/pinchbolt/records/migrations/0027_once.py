"""The database itself refuses what may be there once: a second standing handover of a job, a second standing correction of a reading.

Acts are carried out one after the other, so no act of ours comes to it; this holds for whatever else writes here.
"""

from typing import Any

from django.db import migrations

_CORRECTED = "this was corrected already: correct the newest one"
_GONE = "this job was handed over already"
_STANDS = "NOT EXISTS (SELECT 1 FROM records_event u WHERE u.corrects_id = e.id AND u.kind = 'undone')"
_RULES = (
    (
        "event_corrected_once",
        _CORRECTED,
        "NEW.corrects_id IS NOT NULL AND NEW.kind IN ('reading taken', 'done value', 'display read')",
        f"SELECT 1 FROM records_event e WHERE e.corrects_id = NEW.corrects_id AND e.kind = NEW.kind AND {_STANDS}",
    ),
    (
        "event_handed_over_once",
        _GONE,
        "NEW.kind = 'handed over'",
        f"SELECT 1 FROM records_event e WHERE e.job_id = NEW.job_id AND e.kind = 'handed over' AND {_STANDS}",
    ),
)


def add(apps: Any, schema_editor: Any) -> None:
    """Add the rules, in the database's own dialect."""
    for name, sentence, when, found in _RULES:
        if schema_editor.connection.vendor == "postgresql":
            schema_editor.execute(
                f"CREATE FUNCTION records_{name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
                f"IF EXISTS ({found}) THEN RAISE EXCEPTION '{sentence}' USING ERRCODE = 'integrity_constraint_violation'; "
                "END IF; RETURN NEW; END $$"
            )
            schema_editor.execute(
                f"CREATE TRIGGER {name} BEFORE INSERT ON records_event FOR EACH ROW WHEN ({when}) "
                f"EXECUTE FUNCTION records_{name}()"
            )
        else:
            schema_editor.execute(
                f"CREATE TRIGGER {name} BEFORE INSERT ON records_event WHEN {when} AND EXISTS ({found}) "
                f"BEGIN SELECT RAISE(ABORT, '{sentence}'); END"
            )


def remove(apps: Any, schema_editor: Any) -> None:
    """Take them away again."""
    for name, *_ in _RULES:
        if schema_editor.connection.vendor == "postgresql":
            schema_editor.execute(f"DROP TRIGGER {name} ON records_event")
            schema_editor.execute(f"DROP FUNCTION records_{name}()")
        else:
            schema_editor.execute(f"DROP TRIGGER {name}")


class Migration(migrations.Migration):
    """Two triggers on the event log; nothing that was written changes."""

    dependencies = [("records", "0026_api_tokens")]
    operations = [migrations.RunPython(add, remove)]
