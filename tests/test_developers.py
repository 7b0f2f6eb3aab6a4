"""DEVELOPERS.md and README.md name nothing that is not there."""

import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import get_commands
from django.urls import Resolver404, resolve

HOUSE = Path(settings.BASE_DIR)
DOCUMENTS = ["DEVELOPERS.md", "README.md"]
TOPS = ("parts/", "restoration/", "templates/", "static/", "tests/", ".ci/")
TOP_FILES = r"(?:requirements\.txt|\.importlinter|\.pytest\.ini|\.ruff\.toml|manage\.py)"


def text(name: str) -> str:
    return (HOUSE / name).read_text(encoding="utf-8")


@pytest.fixture(params=DOCUMENTS)
def document(request):
    return text(request.param)


def test_every_file_and_folder_is_there(document):
    paths = set(re.findall(r"(?<![\w/.-])((?:\.?\w[\w-]*/)+[\w.-]*\w|\.\w[\w.-]+)", document))
    named = {p.rstrip(".") for p in paths if p.startswith(TOPS) or re.fullmatch(TOP_FILES, p)}
    missing = {path for path in named if not (HOUSE / path).exists()}
    assert not missing


def test_every_command_is_there(document):
    named = set(re.findall(r"manage\.py ([a-z_]+)", document))
    assert named
    assert named - set(get_commands()) == set()


def test_every_setting_is_read(document):
    source = "".join(p.read_text(encoding="utf-8") for p in (HOUSE / "restoration").glob("*.py"))
    source += "".join(p.read_text(encoding="utf-8") for p in (HOUSE / "parts").rglob("*.py"))
    for name in set(re.findall(r"BEDPLATE_[A-Z_]+[A-Z]", document)):
        assert f'"{name}"' in source, name


def test_every_command_of_ours_is_told():
    ours = {name for name, app in get_commands().items() if app == "parts"}
    developers = set(re.findall(r"manage\.py ([a-z_]+)", text("DEVELOPERS.md")))
    readme = set(re.findall(r"^\| `([a-z_]+)", text("README.md"), re.MULTILINE))
    assert ours - developers == set()
    assert ours | {"changepassword"} == readme


def test_the_command_that_runs_one_test_selects_some():
    (line,) = re.findall(r"^\| run one test \| `([^`]+)` \|$", text("DEVELOPERS.md"), re.MULTILINE)
    python, *words = line.split()
    assert python == ".venv/bin/python"
    words = [sys.executable, *words, "--collect-only", "-n", "0", "-p", "no:cacheprovider"]
    done = subprocess.run(words, cwd=HOUSE, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout
    assert "::" in done.stdout


def test_what_services_run_is_there():
    started = re.findall(
        r"^ExecStart=\S+/\.venv/bin/python manage\.py (\w+)", text("README.md"), re.M
    )
    assert started == ["start", "backup"]


def test_every_name_of_code_is_there():
    """Words in backticks that are called, like `page_of`, stand somewhere in the code."""
    source = "".join(p.read_text(encoding="utf-8") for p in (HOUSE / "parts").rglob("*.py"))
    names = re.findall(
        r"`(?:access\.)?([a-z_]+_[a-z_]+|[A-Z][a-z]+[A-Z]\w+)`", text("DEVELOPERS.md")
    )
    assert len(names) >= 5
    missing = {n for n in names if not re.search(rf"\b{n}\b", source) and f"{n}_" not in source}
    assert missing <= {"bore_mm", "mass_kg", "below_datum_written"}


def test_the_pages_are_there(document):
    for address in set(re.findall(r"`(/[a-z/]+/)`", document)):
        try:
            resolve(address)
        except Resolver404:
            pytest.fail(f"{address} leads nowhere")


def test_the_readme_names_one_test_command():
    lines = [line for line in text("README.md").splitlines() if "-m pytest" in line]
    assert lines
    assert not lines[0].startswith("`")
