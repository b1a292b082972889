"""A home folder whose database is new: it is laid once a process, the file is copied after that."""

import atexit
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
_MADE = "import django; django.setup(); from pinchbolt.serving.migrating import migrate; migrate()"


def lay_new(home: Path) -> Path:
    """Lay a new database into this home folder, and return the folder."""
    home.mkdir(parents=True, exist_ok=True)
    shutil.copy2(_new(), home)
    return home


def walk_all_steps(home: Path, more: Mapping[str, str]) -> None:
    """Bring the database of this home folder up to this release, in a process of its own; *more* goes into its environment."""
    own = {name: value for name, value in os.environ.items() if not name.startswith(("PINCHBOLT", "DJANGO"))}
    around = {
        **own,
        **more,
        "PINCHBOLT_HOME": str(home),
        "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
    }
    subprocess.run([sys.executable, "-c", _MADE], cwd=ROOT, env=around, check=True)


@cache
def _new() -> Path:
    folder = Path(tempfile.mkdtemp(prefix="pinchbolt-new-home-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    walk_all_steps(folder, {})
    assert not list(folder.glob("*-wal")), "something still has the new database open"
    return folder / "bench.sqlite3"
