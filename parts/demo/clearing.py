"""Takes the demonstration away again: its engines with all their rows and files, and its people."""

import shutil
from collections.abc import Iterable
from graphlib import TopologicalSorter
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.contrib.auth.models import Group
from django.db import models

from parts.people.actions import DEMO_GROUP
from parts.record.actions.locking import writing
from parts.record.models import Engine, Membership

from . import papers, people

# Folders of the files that are kept by engine, and files whose names begin with the engine's.
FOLDERS = ("photos/{}", "papers/{}", "reports/{}")
FILES = "reports/{}-*"


def _own(model) -> list[models.ForeignKey]:
    """The links of a model to rows of the record."""
    return [
        field
        for field in model._meta.concrete_fields
        if field.is_relation and field.related_model._meta.app_label == "parts"
    ]


def way_to_engine(model) -> str | None:
    """The lookup that leads from a row to its engine: "engine", "item__engine", …"""
    seen, ways = {model}, [("", model)]
    while ways:
        way, at = ways.pop(0)
        for field in _own(at):
            further = f"{way}{field.name}"
            if field.related_model is Engine:
                return further
            if field.related_model not in seen:
                seen.add(field.related_model)
                ways.append((f"{further}__", field.related_model))
    return None


def order() -> list[type[models.Model]]:
    """The models of the record, those first that nothing else points at."""
    every = [m for m in apps.get_app_config("parts").get_models() if m._meta.managed]
    points_at = {m: {f.related_model for f in _own(m)} - {m} for m in every}
    return list(TopologicalSorter(points_at).static_order())[::-1]


def remove_demo() -> tuple[int, list[str]]:
    """Delete the demonstration for good, in one step.

    Returns:
        How many engines went, and the logins that were kept because other engines need them.
        Their password no longer works: it was no secret.
    """
    gone = list(Engine.everything.filter(demo=True).values_list("pk", flat=True))
    with writing(*gone):
        for model in order():
            if model is Engine:
                continue
            way = way_to_engine(model)
            if way is None:
                continue
            rows = model._base_manager.filter(**{f"{way}__in": gone})
            for field in _own(model):
                if field.related_model is model:
                    rows.update(**{field.name: None})
            rows.delete()
        Engine.everything.filter(pk__in=gone).delete()
        kept = _remove_people()
    remove_files(gone)
    papers.take_away(settings.DATA_DIR / papers.FOLDER)
    people.forget_password()
    return len(gone), kept


def _remove_people() -> list[str]:
    kept = []
    for person in people.users():
        if Membership.everything.filter(user=person).exists():
            person.set_unusable_password()
            person.save(update_fields=["password"])
            person.groups.remove(*person.groups.filter(name=DEMO_GROUP))
            kept.append(person.get_username())
        else:
            person.delete()
    Group.objects.filter(name=DEMO_GROUP).delete()
    return kept


def remove_files(engines: Iterable[int]) -> None:
    """Delete the photos, papers and reports of engines that are not in the record any more."""
    media = Path(settings.MEDIA_ROOT)
    for pk in engines:
        for folder in FOLDERS:
            shutil.rmtree(media / folder.format(pk), ignore_errors=True)
        for file in media.glob(FILES.format(pk)):
            file.unlink(missing_ok=True)
