"""What may import what, and what is loaded only when it is needed."""

import shutil
import subprocess
import sys
from pathlib import Path

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
