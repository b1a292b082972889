"""Writes down what all steps of the tables make of an empty file, after a step was added: python -m desk.laid"""

import os
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def walked() -> str:
    """Return the text of the file, from a database that has walked every step."""
    with tempfile.TemporaryDirectory(prefix="pinchbolt-laid-") as folder:
        os.environ |= {"PINCHBOLT_HOME": folder, "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings"}
        os.environ.pop("PINCHBOLT_DATABASE", None)
        import django

        django.setup()
        from django.core.management import call_command

        from pinchbolt.records.laid import written_down

        call_command("migrate", verbosity=0, interactive=False)
        return written_down()


if __name__ == "__main__":
    (ROOT / "src" / "pinchbolt" / "records" / "laid.sql").write_text(walked(), encoding="utf-8")
