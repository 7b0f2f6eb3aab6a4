"""Ids made in the form, rows of sizes and loads that are marked instead of deleted, whole reports."""

import uuid

import django.core.validators
import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models

import parts.models.people

WITH_UID = ("diaryentry", "costpaper", "drawing")
MARKED = ("bodysize", "liftload")


def give_ids(apps, schema_editor):
    for name in WITH_UID:
        model = apps.get_model("parts", name)
        for row in model._base_manager.only("pk").iterator():
            model._base_manager.filter(pk=row.pk).update(uid=uuid.uuid4())


def name_reports(apps, schema_editor):
    """Reports issued before take the names as they are now, so that they change no more."""
    reports = apps.get_model("parts", "Report")._base_manager
    for row in reports.select_related("engine", "made_by").iterator():
        by = row.made_by
        who = "Bedplate"
        if by is not None:
            who = f"{by.first_name} {by.last_name}".strip() or by.username
        reports.filter(pk=row.pk).update(engine_name=row.engine.name, drawn_up=who[:150])


def uid(**more):
    return models.UUIDField(default=uuid.uuid4, editable=False, **more)


class Migration(migrations.Migration):
    dependencies = [
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
        ("parts", "0008_booked_by_pours"),
    ]

    operations = [
        *(migrations.AddField(name, "uid", uid(null=True)) for name in WITH_UID),
        migrations.RunPython(give_ids, migrations.RunPython.noop),
        *(migrations.AlterField(name, "uid", uid(unique=True)) for name in WITH_UID),
        migrations.AddField(
            "report",
            "engine_name",
            models.CharField(blank=True, editable=False, max_length=120),
        ),
        migrations.AddField(
            "report",
            "drawn_up",
            models.CharField(
                blank=True, editable=False, max_length=150, verbose_name="drawn up by"
            ),
        ),
        migrations.AddField(
            "report", "tables", models.JSONField(blank=True, default=dict, editable=False)
        ),
        migrations.AlterField(
            "report",
            "pdf",
            models.FileField(blank=True, editable=False, upload_to=parts.models.people.pdf_path),
        ),
        migrations.RunPython(name_reports, migrations.RunPython.noop),
        migrations.RemoveField("lift", "parts"),
        migrations.RemoveConstraint("bodysize", "body_size_once"),
        migrations.RemoveConstraint("liftload", "lift_load_once"),
    ]
    for name in MARKED:
        operations += [
            migrations.AddField(
                name, "version", models.PositiveIntegerField(default=1, editable=False)
            ),
            migrations.AddField(
                name,
                "made_at",
                models.DateTimeField(auto_now_add=True, default=django.utils.timezone.now),
                preserve_default=False,
            ),
            migrations.AddField(
                name,
                "made_by",
                models.ForeignKey(
                    editable=False,
                    null=True,
                    on_delete=django.db.models.deletion.SET_NULL,
                    related_name="+",
                    to=settings.AUTH_USER_MODEL,
                ),
            ),
            migrations.AddField(
                name, "removed_at", models.DateTimeField(blank=True, editable=False, null=True)
            ),
        ]
    operations += [
        migrations.AlterField(
            "bodysize",
            "body",
            models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="sizes",
                to="parts.body",
            ),
        ),
        migrations.AlterField(
            "liftload",
            "lift",
            models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="loads",
                to="parts.lift",
            ),
        ),
            migrations.AddConstraint(
            "bodysize",
            models.UniqueConstraint(
                fields=("body", "key"),
                condition=models.Q(removed_at__isnull=True),
                name="body_size_once",
                violation_error_message="The shape has this size already.",
            ),
        ),
        migrations.AddConstraint(
            "liftload",
            models.UniqueConstraint(
                fields=("lift", "part"),
                condition=models.Q(removed_at__isnull=True),
                name="lift_load_once",
                violation_error_message="This part is on the lift already.",
            ),
        ),
    ]
