"""The owner's name on a bill moves out of the guarded row, so that it can be erased while the bill itself stays."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

_SENTENCE = "what was written down is not changed or removed: add a correction"


def nothing(apps: Any, schema_editor: Any) -> None:
    """On the way forth the triggers stay until the table is built anew."""


def guard(apps: Any, schema_editor: Any) -> None:
    """Put the triggers of the bill on again: SQLite may have built its table anew without them."""
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute("DROP TRIGGER IF EXISTS bill_only_added ON records_bill")
        schema_editor.execute(
            "CREATE TRIGGER bill_only_added BEFORE UPDATE OR DELETE ON records_bill "
            "FOR EACH ROW EXECUTE FUNCTION records_only_added()"
        )
        return
    for act in ("UPDATE", "DELETE"):
        schema_editor.execute(
            f"CREATE TRIGGER IF NOT EXISTS bill_no_{act.lower()} BEFORE {act} ON records_bill "
            f"BEGIN SELECT RAISE(ABORT, '{_SENTENCE}'); END"
        )


def lift(apps: Any, schema_editor: Any) -> None:
    """On the way back the names are written into the bills again, which their triggers would refuse."""
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute("DROP TRIGGER IF EXISTS bill_only_added ON records_bill")
        return
    for act in ("update", "delete"):
        schema_editor.execute(f"DROP TRIGGER IF EXISTS bill_no_{act}")


def names_out(apps: Any, schema_editor: Any) -> None:
    """Copy each bill's name."""
    bills, names = apps.get_model("records", "Bill"), apps.get_model("records", "BillBuyer")
    rows = bills.objects.order_by("pk").values_list("pk", "buyer").iterator(chunk_size=1000)
    names.objects.bulk_create((names(bill_id=bill, name=name) for bill, name in rows), batch_size=1000)
    if schema_editor.connection.vendor == "postgresql":
        # Else the table of bills could not be changed while the new rows' references are unproven.
        schema_editor.execute("SET CONSTRAINTS ALL IMMEDIATE")


def names_back(apps: Any, schema_editor: Any) -> None:
    """Copy the names into the bills."""
    bills, names = apps.get_model("records", "Bill"), apps.get_model("records", "BillBuyer")
    for bill, name in names.objects.order_by("pk").values_list("bill_id", "name").iterator(chunk_size=1000):
        bills.objects.filter(pk=bill).update(buyer=name)


class Migration(migrations.Migration):
    """One table; one field moves into it."""

    dependencies = [("records", "0016_found_at_once")]

    operations = [
        # First, so that it comes last on the way back.
        migrations.RunPython(nothing, guard),
        migrations.CreateModel(
            name='BillBuyer',
            fields=[
                ('bill', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='bought_by', serialize=False, to='records.bill')),
                ('name', models.CharField(blank=True, max_length=120)),
            ],
        ),
        migrations.RunPython(names_out, names_back),
        # With a default, so that the way back has something to put in before the names come.
        migrations.AlterField(model_name='bill', name='buyer', field=models.CharField(default='', max_length=120)),
        migrations.RemoveField(model_name='bill', name='buyer'),
        migrations.RunPython(guard, lift),
    ]
