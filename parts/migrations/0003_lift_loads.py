"""How many pieces of each part a lift carries, and what was written of mud and tackle.

No screen could write a lift before this, so the plain list of its parts is dropped.
"""

import django.core.validators
import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("parts", "0002_the_workshop")]

    operations = [
        migrations.AddField(
            model_name="lift",
            name="extra_unit",
            field=models.CharField(blank=True, editable=False, max_length=8),
        ),
        migrations.AddField(
            model_name="lift",
            name="extra_written",
            field=models.CharField(blank=True, max_length=60, verbose_name="mud, water and tackle"),
        ),
        migrations.AlterField(
            model_name="lift",
            name="extra_kg",
            field=models.FloatField(default=0, editable=False),
        ),
        migrations.RemoveField(model_name="lift", name="parts"),
        migrations.CreateModel(
            name="LiftLoad",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "pieces",
                    models.PositiveSmallIntegerField(
                        default=1, validators=[django.core.validators.MinValueValidator(1)]
                    ),
                ),
                (
                    "lift",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="loads",
                        to="parts.lift",
                    ),
                ),
                (
                    "part",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lift_loads",
                        to="parts.part",
                    ),
                ),
            ],
            options={"ordering": ["part__item"]},
        ),
        migrations.AddField(
            model_name="lift",
            name="parts",
            field=models.ManyToManyField(
                blank=True, related_name="lifts", through="parts.LiftLoad", to="parts.part"
            ),
        ),
        migrations.AddConstraint(
            model_name="liftload",
            constraint=models.UniqueConstraint(fields=("lift", "part"), name="lift_load_once"),
        ),
        migrations.AddConstraint(
            model_name="liftload",
            constraint=models.CheckConstraint(
                condition=models.Q(("pieces__gt", 0)),
                name="lift_load_pieces",
                violation_error_message="Give a number of pieces, 1 or more.",
            ),
        ),
    ]
