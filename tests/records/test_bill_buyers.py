"""The name on a bill stands apart from the guarded row: there and back again nothing is lost, and the guard holds on both sides."""

import os
import subprocess
import sys
from pathlib import Path

from tests.new_home import lay_new

ROOT = Path(__file__).resolve().parents[2]
THERE_AND_BACK = """
import django; django.setup()
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction

from tests.workshop.leaving.test_bills import gone, ready
from pinchbolt.records.models import Bill, BillBuyer
from pinchbolt.workshop.leaving.bill import bill_by_number

bill = gone(ready())

def refused(act):
    try:
        with transaction.atomic():
            act()
    except IntegrityError as error:
        return "not changed or removed" in str(error)
    return False

def by_hand():
    with connection.cursor() as cursor:
        cursor.execute("UPDATE records_bill SET number = 9")

assert bill.buyer == "Dov Ellenby" and bill_by_number(bill.number) == bill
call_command("migrate", "records", "0016", verbosity=0)
with connection.cursor() as cursor:
    cursor.execute("SELECT buyer FROM records_bill")
    assert cursor.fetchall() == [("Dov Ellenby",)]
assert refused(by_hand)
call_command("migrate", "records", verbosity=0)
assert bill_by_number(bill.number) == bill
assert refused(by_hand)
BillBuyer.objects.update(name="")
assert bill_by_number(bill.number).buyer == ""
"""


def test_the_name_moves_there_and_back(tmp_path: Path) -> None:
    """In a home of its own, as an upgrade does it."""
    lay_new(tmp_path)
    around = {
        **{name: value for name, value in os.environ.items() if name != "PINCHBOLT_DATABASE"},
        "PINCHBOLT_HOME": str(tmp_path),
        "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
    }
    done = subprocess.run(
        [sys.executable, "-c", THERE_AND_BACK],
        check=False,
        cwd=ROOT,
        env=around,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
