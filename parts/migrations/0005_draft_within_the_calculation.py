"""A draft that could be stored and never calculated with becomes none, and its note says so."""

from django.conf import settings
from django.db import migrations, models

MOST_DEG = 30.0


def say_so(apps, schema_editor):
    faces = apps.get_model("parts", "PatternFace").objects.filter(draft_deg__gt=MOST_DEG)
    for face in faces:
        typed = f"Draft was typed as {face.draft_deg:g}°, more than the {MOST_DEG:g}° that can be."
        face.note = f"{typed} {face.note}".strip()[:160]
        face.draft_deg = 0
        face.save(update_fields=["note", "draft_deg"])


class Migration(migrations.Migration):
    dependencies = [
        ("parts", "0004_drawings"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RunPython(say_so, migrations.RunPython.noop),
        migrations.RemoveConstraint(model_name="patternface", name="pattern_draft"),
        migrations.AddConstraint(
            model_name="patternface",
            constraint=models.CheckConstraint(
                condition=models.Q(("draft_deg__gte", 0), ("draft_deg__lte", MOST_DEG)),
                name="pattern_draft",
                violation_error_message="A draft is an angle from 0 to 30 degrees.",
            ),
        ),
    ]
