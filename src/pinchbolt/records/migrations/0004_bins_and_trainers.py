"""Parts in the bins and to order; what an indoor trainer has in place of a rear wheel."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """One table and one field."""

    dependencies = [
        ('records', '0003_bolts_read_and_rounds'),
    ]

    operations = [
        migrations.AddField(
            model_name='trainer',
            name='facts',
            field=models.JSONField(blank=True, default=dict),
        ),
        migrations.CreateModel(
            name='BinPart',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.CharField(max_length=60, unique=True)),
                ('kind', models.CharField(max_length=60)),
                ('place', models.CharField(blank=True, max_length=5)),
                ('words', models.CharField(max_length=200)),
                ('facts', models.JSONField(blank=True, default=dict)),
                ('meets', models.CharField(blank=True, max_length=120)),
                ('price', models.DecimalField(decimal_places=2, max_digits=8)),
                ('minutes', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('bin', models.CharField(blank=True, max_length=40)),
                ('count', models.PositiveIntegerField(default=0)),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('price__gte', 0)), name='bin_price_not_negative'), models.CheckConstraint(condition=models.Q(('place__in', ['', 'front', 'rear'])), name='bin_place_known')],
            },
        ),
    ]
