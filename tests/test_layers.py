"""What may import what, and what is loaded only when it is needed."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import grimp
import pytest
from django.conf import settings

HOUSE = Path(settings.BASE_DIR)


def python(code: str) -> str:
    """Run code in a Python of its own and return what it printed."""
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=HOUSE, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def lint_imports(config: Path, folder: Path = HOUSE) -> subprocess.CompletedProcess:
    words = [Path(sys.executable).with_name("lint-imports"), "--no-cache", "--config", config]
    return subprocess.run(words, cwd=folder, capture_output=True, text=True, check=False)


def test_every_contract_on_imports_is_kept():
    done = lint_imports(HOUSE / ".importlinter")
    assert done.returncode == 0, done.stdout


BREACHES = {
    "a subject asks one above it": (
        "record/models/engine.py",
        "import parts.reports.queries.progress",
        "parts.record is not allowed to import parts.reports",
    ),
    "a subject of the workshop asks one above it": (
        "workshop/shapes/models.py",
        "import parts.workshop.pours.queries.plan",
        "parts.workshop.shapes is not allowed to import parts.workshop.pours",
    ),
    "a query writes": (
        "money/queries/costs.py",
        "import parts.money.actions",
        "parts.money.queries is not allowed to import parts.money.actions",
    ),
    "a calculation asks the record": (
        "engineering/steam/cylinder.py",
        "import django.db.models",
        "parts.engineering is not allowed to import django",
    ),
    "a sheet queries": (
        "money/sheets.py",
        "import parts.money.models",
        "parts.money.sheets is not allowed to import parts.money.models",
    ),
    "a drawing knows the record": (
        "drafting/pen.py",
        "import parts.record.models.choices",
        "parts.drafting is not allowed to import parts.record",
    ),
    "two modules stand on each other": (
        "elevation/sight.py",
        "import parts.elevation.pieces",
        ".sight -> .pieces",
    ),
    "a kind of engine borrows from another": (
        "elevation/beam/house.py",
        "import parts.elevation.vertical.motion",
        "parts.elevation.beam is not allowed to import parts.elevation.vertical",
    ),
    "a package that no contract names": (
        "attic.py",
        "",
        "attic",
    ),
}


@pytest.mark.parametrize("breach", BREACHES)
def test_a_planted_breach_is_seen(breach, tmp_path):
    """The whole application, copied, with one import that goes the wrong way."""
    where, line, said = BREACHES[breach]
    ignored = shutil.ignore_patterns("__pycache__", "*.jpg", "*.csv", "migrations")
    shutil.copytree(HOUSE / "parts", tmp_path / "parts", ignore=ignored)
    shutil.copy(HOUSE / ".importlinter", tmp_path)
    with (tmp_path / "parts" / where).open("a", encoding="utf-8") as file:
        file.write(f"\n{line}\n")
    done = lint_imports(tmp_path / ".importlinter", tmp_path)
    assert done.returncode == 1
    assert said in done.stdout


# Checked against the world, and not on a screen yet.
AWAITED = {
    "parts.engineering.estimating.progress": "the forecast of cost and finish",
    "parts.engineering.fasteners.tapping": "the tapping drill of a hole to be tapped",
    "parts.engineering.ground.adjusting": "positions adjusted over all tapes, with their error",
    "parts.engineering.ground.effort": "whether an hour is better spent searching or making",
    "parts.engineering.ground.fixes": "a fix that is typed in, read as people write it",
    "parts.engineering.ground.geodesy": "a fix of a phone brought onto the site's own grid",
    "parts.engineering.ground.pumping": "the water in a pit, and the pump that clears it",
    "parts.engineering.ground.searching": "the chance that a piece lies where it was searched for",
    "parts.engineering.ground.survey": "positions taped from pegs",
}
# They ask on behalf of nobody.
NO_SUBJECT = ("parts.engineering.", "parts.bench.", "parts.demo.", "parts.management.")


def unreached(graph: grimp.ImportGraph) -> set[str]:
    """The modules of engineering that no subject imports, straight or by way of others."""
    asked, waiting = set(), {m for m in graph.modules if not f"{m}.".startswith(NO_SUBJECT)}
    while waiting:
        asked |= waiting
        waiting = {i for m in waiting for i in graph.find_modules_directly_imported_by(m)} - asked
    sums = {m for m in graph.modules if m.startswith("parts.engineering.")}
    return {m for m in sums - asked if not graph.find_children(m)}


def test_each_calculation_is_asked_for_by_a_subject_or_is_named_as_awaited():
    graph = grimp.build_graph("parts", cache_dir=None)
    assert unreached(graph) == set(AWAITED)
    graph.add_module("parts.engineering.attic")
    assert "parts.engineering.attic" in unreached(graph)
    graph.add_import(importer="parts.money.queries", imported="parts.engineering.attic")
    assert "parts.engineering.attic" not in unreached(graph)


def test_only_the_lock_of_an_engine_begins_a_transaction():
    """What reads, checks and writes must hold the engine meanwhile: `writing`, never less."""
    begins = re.compile(r"\btransaction\.\w+\(|select_for_update\(")
    files = (p for p in (HOUSE / "parts").rglob("*.py") if begins.search(p.read_text("utf-8")))
    assert {p.relative_to(HOUSE / "parts").as_posix() for p in files} == {
        "record/actions/locking.py",
        "demo/load.py",  # makes engines of its own, which nobody else knows yet
        "exchange/older.py",  # writes a file of its own
        "exchange/rows.py",  # replaces the record as a whole
    }


def test_engineering_loads_no_solver_no_numpy_and_no_django():
    loaded = python(
        "import importlib, pkgutil, sys, parts.engineering\n"
        "for module in pkgutil.walk_packages(parts.engineering.__path__, 'parts.engineering.'):\n"
        "    importlib.import_module(module.name)\n"
        "print([name for name in ('numpy', 'highspy', 'django') if name in sys.modules])"
    )
    assert loaded == "[]"


def test_the_app_starts_without_the_solver_and_without_paper():
    loaded = python(
        "import os, sys, django\n"
        "os.environ['DJANGO_SETTINGS_MODULE'] = 'tests.settings'\n"
        "django.setup()\n"
        "import restoration.urls\n"
        "print([name for name in ('highspy', 'weasyprint') if name in sys.modules])"
    )
    assert loaded == "[]"
