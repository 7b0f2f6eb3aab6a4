"""The house stands as it is drawn: floors, and what is loaded only when it is needed."""

import configparser
import subprocess
import sys
from pathlib import Path

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


def test_a_floor_imports_only_downward():
    done = lint_imports(HOUSE / ".importlinter")
    assert done.returncode == 0, done.stdout


def test_the_check_of_the_floors_sees_a_broken_one(tmp_path):
    """A house with the same floors, in which the trade asks the record, is refused."""
    layers = configparser.ConfigParser()
    layers.read(HOUSE / ".importlinter")
    floors = layers["importlinter:contract:floors"]["layers"].split()
    house = tmp_path / "parts"
    for name in [floor for floor in floors if floor != "|"]:
        (house / name).mkdir(parents=True)
        (house / name / "__init__.py").touch()
    for name in ("__init__.py", "apps.py", "migrations.py"):
        (house / name).touch()
    config = tmp_path / ".importlinter"
    written = (HOUSE / ".importlinter").read_text(encoding="utf-8")
    config.write_text(written.split("[importlinter:contract:trade]")[0], encoding="utf-8")
    assert lint_imports(config, tmp_path).returncode == 0
    (house / "trade" / "__init__.py").write_text("import parts.models\n", encoding="utf-8")
    done = lint_imports(config, tmp_path)
    assert done.returncode == 1
    assert "parts.trade is not allowed to import parts.models" in done.stdout


def test_the_trade_loads_no_solver_no_numpy_and_no_django():
    loaded = python(
        "import importlib, pkgutil, sys, parts.trade\n"
        "for module in pkgutil.walk_packages(parts.trade.__path__, 'parts.trade.'):\n"
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
