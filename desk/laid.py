"""Writes down what all steps of the tables make of an empty file, after a step was added: python -m desk.laid"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
_WALK = (
    "import django; django.setup(); from django.core.management import call_command; "
    "call_command('migrate', verbosity=0); from pinchbolt.records.laid import written_down; print(written_down(), end='')"
)


def walked() -> str:
    """Return the text of the file, from a new database that has walked every step."""
    own = {name: value for name, value in os.environ.items() if not name.startswith(("PINCHBOLT", "DJANGO"))}
    with tempfile.TemporaryDirectory(prefix="pinchbolt-laid-") as folder:
        around = {
            **own,
            "PINCHBOLT_HOME": folder,
            "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
            "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
        }
        said = subprocess.run(
            [sys.executable, "-c", _WALK], cwd=ROOT, env=around, check=True, stdout=subprocess.PIPE, text=True
        )
    return said.stdout


if __name__ == "__main__":
    (ROOT / "src" / "pinchbolt" / "records" / "laid.sql").write_text(walked(), encoding="utf-8")
