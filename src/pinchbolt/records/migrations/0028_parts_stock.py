"""Terms of suppliers, what each sells of the bins, the number under a part's bar code, the workshop's e-mail address."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    """New columns that may be empty, and one table of things; nothing that was written is touched."""

    dependencies = [("records", "0027_once")]

    operations = [
        *(
            migrations.AddField(
                model_name="supplier",
                name=name,
                field=models.DecimalField(blank=True, decimal_places=2, max_digits=8, null=True),
            )
            for name in ("carriage", "free_from", "least_order")
        ),
        migrations.AddField(
            model_name="binpart",
            name="gtin",
            field=models.CharField(blank=True, db_index=True, default="", max_length=14),
        ),
        migrations.AddField(
            model_name="workshop",
            name="mail",
            field=models.CharField(blank=True, default="", max_length=200),
        ),
        migrations.CreateModel(
            name="SupplierPart",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("number", models.CharField(blank=True, max_length=60)),
                ("each", models.DecimalField(decimal_places=2, max_digits=8)),
                ("pack", models.PositiveSmallIntegerField(default=1)),
                (
                    "bin_part",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sold_by",
                        to="records.binpart",
                    ),
                ),
                (
                    "supplier",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sells",
                        to="records.supplier",
                    ),
                ),
            ],
        ),
        migrations.AddConstraint(
            model_name="supplierpart",
            constraint=models.UniqueConstraint(fields=("bin_part", "supplier"), name="sold_once_by_a_supplier"),
        ),
        migrations.AddConstraint(
            model_name="supplierpart",
            constraint=models.CheckConstraint(
                condition=models.Q(("each__gte", 0), ("pack__gte", 1)), name="sold_in_packs"
            ),
        ),
    ]
