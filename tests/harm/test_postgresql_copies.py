"""PostgreSQL's own tools copy the records while work goes on, and bring them back, as docs/how-to/back-up-and-restore.md says."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.harm.postgres_server import NotInstalled, programs, serving

ROOT = Path(__file__).resolve().parents[2]
SAYS = """
import json, sys
import django; django.setup()
from pathlib import Path
from django.utils import timezone
from pinchbolt.records.models import Event, Reading
from pinchbolt.serving.doctor import look_over
from pinchbolt.serving.keeping_copies import newest_good
looked = {one.what: one.good for one in look_over(timezone.now())}
print(json.dumps([list(Event.objects.values_list("key", flat=True)), Reading.objects.count(), looked["database"], looked["backup"]]))
"""


def _run(url: str, home: Path, *words: str) -> str:
    around = {
        **os.environ,
        "PINCHBOLT_HOME": str(home),
        "PINCHBOLT_DATABASE": url,
        "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
    }
    return subprocess.check_output([sys.executable, "-W", "ignore", *words], cwd=ROOT, env=around, text=True)


def test_a_dump_comes_back_whole_with_its_rules_and_the_doctor_knows_its_age(tmp_path: Path) -> None:
    """Every entry; what was written down still can't be changed there; the dump counts as the last good copy."""
    psycopg = pytest.importorskip("psycopg", reason="psycopg is an extra: pip install pinchbolt[postgres]")
    try:
        here = programs()
    except NotInstalled as missing:
        pytest.skip(str(missing))
    with serving(laid=True) as url:
        _run(url, tmp_path, "-m", "tests.harm.writer", "3")
        keys, readings, database, backup = json.loads(_run(url, tmp_path, "-c", SAYS))
        assert readings == 3 and database and not backup
        again = url.rpartition("/")[0] + "/bench_again"
        (tmp_path / "backups").mkdir()
        dump = tmp_path / "backups" / "bench-2026-11-28.dump"
        subprocess.check_call([f"{here}/pg_dump", "--format=custom", f"--file={dump}", url])
        with psycopg.connect(url, autocommit=True) as there:
            there.execute("CREATE DATABASE bench_again")
        subprocess.check_call(
            [f"{here}/pg_restore", "--exit-on-error", "--no-owner", f"--dbname={again}", str(dump)]
        )
        assert json.loads(_run(again, tmp_path, "-c", SAYS)) == [keys, readings, True, True]
        with psycopg.connect(again) as there, pytest.raises(psycopg.errors.IntegrityConstraintViolation):
            there.execute("UPDATE records_event SET kind = 'never'")
